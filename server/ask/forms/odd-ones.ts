import { finder } from "../../kit/find.js";
import { type ClaimTrace, type ClaimValue, RANKS } from "../../ruling/types.js";
import { cautionsFor } from "../cautions.js";
import { briefFor } from "../first-line.js";
import type { Form } from "../form.js";
import { alike, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots } from "../types.js";
import { counted, listed, plural, sentences, the } from "../wording/grammar.js";
import { attributeLabel } from "../wording/measures.js";
import { namesOf } from "../wording/names.js";
import { sayNotComparedAt } from "../wording/odd-ones.js";
import { reading } from "../wording/readings.js";
import { sayRule, sayUndecided, sayValueShort } from "../wording/rulings.js";
import { explain } from "./explain.js";
import { grouped, openVerdict, ruledAt, type Settled } from "./ruled.js";
import { chosenSlot, familyOf, idSlot, partSlot, requiredSlot } from "./slots.js";

/** One attribute at the same place (row name and number) of every member that has that place. */
export interface Comparison {
  readonly attribute: string;
  readonly row: string;
  readonly number: number;
  /** Members that agree, with what they agree on; largest group first. */
  readonly sides: readonly Side[];
  /** What more members have than anything else; null when no side has a majority. */
  readonly norm: Side | null;
}

export interface Side {
  readonly status: Settled["status"];
  readonly value: ClaimValue | null;
  /** Hole ids, one of each member, in the family's order. */
  readonly holes: readonly string[];
}

/**
 * Members of a family that are not like the rest: in which holes, in what, and because of which rule; or one of them
 * (`part`) against the rest, or against one `other` part.
 */
export const oddOnes: Form = {
  id: "odd-ones",
  answer(job: Job, slots: Slots): FormAnswer {
    const known = [...job.rulebook.dictionary.attributes.keys()];
    const attribute = chosenSlot(slots, "attribute", known);
    const attributes = attribute ? [attribute] : known;
    const part = partSlot(job, slots);
    const other = idSlot(
      slots,
      "other",
      job.assembly.parts.map(({ id }) => id),
    );
    if (part && other) return pairAnswer(job, part, other, attributes);
    const family = part ? ownFamily(job, part) : familyOf(job, familySlot(slots));
    if (!family) return aloneAnswer(job, part ?? "");
    const comparisons = compareMembers(job, family.members, attributes);
    return part ? memberAnswer(job, family, part, comparisons) : familyAnswer(job, family, comparisons);
  },
};

type Family = Job["assembly"]["families"][number];

function familySlot(slots: Slots): string {
  return requiredSlot(slots, "family", "Say which family of parts, such as the ribs.");
}

function ownFamily(job: Job, part: string): Family | undefined {
  return job.assembly.families.find(({ members }) => members.includes(part));
}

/** A part of no family has nothing that it could differ from. */
function aloneAnswer(job: Job, part: string): FormAnswer {
  return {
    ...evidence(job, [], []),
    headline: sentences(
      `${namesOf(job).thePart(part)} is not one of a family, so there is no rest to compare it with. Name another part to compare the two`,
    ),
    rows: [],
    followUps: [reading(job, "treatment", { part })],
  };
}

function familyAnswer(job: Job, family: Family, comparisons: readonly Comparison[]): FormAnswer {
  const differing = comparisons.filter(({ sides }) => sides.length > 1);
  const odd = differing.flatMap(oddHoles);
  const ties = differing.filter(({ norm }) => norm === null);
  const lacking = lackingPlaces(job, family.members);
  const headline = headlineOf(job, family, differing, lacking.length > 0);
  return {
    ...evidence(job, differing, [
      ...odd,
      ...ties.flatMap(({ sides }) => sides.flatMap((side) => side.holes)),
    ]),
    headline,
    ...briefFor(headline, headlineOf(job, family, differing, lacking.length > 0, true)),
    rows: [...oddRows(job, differing), ...tieRows(job, ties), ...lacking],
    followUps: membersOf(job, odd)
      .slice(0, 3)
      .map((part) => reading(job, "treatment", { part })),
  };
}

/** One member against what most of its family have. */
function memberAnswer(
  job: Job,
  family: Family,
  part: string,
  comparisons: readonly Comparison[],
): FormAnswer {
  const names = namesOf(job);
  const isOf = (id: string): boolean => membersOf(job, [id])[0] === part;
  const own = ({ holes }: Side): readonly string[] => holes.filter(isOf);
  const shared = comparisons.filter(({ sides }) => sides.some((side) => own(side).length > 0));
  const differing = shared.filter(({ sides }) => sides.length > 1);
  const odd = differing.filter((one) => membersOf(job, oddHoles(one)).includes(part));
  const ties = differing.filter(({ norm }) => norm === null);
  const holes = odd.flatMap(({ sides }) => sides.flatMap(own));
  const rest = `the rest of ${the(names.family(family.id))}`;
  const certain = odd.filter((one) => toldHoles(one).some(isOf));
  const told = new Set(certain.flatMap(toldHoles).filter(isOf));
  const open = inOrder(job, odd.flatMap(openHoles).filter(isOf));
  const notDecided = sayNotComparedAt(
    job,
    open,
    odd.map(({ attribute }) => attribute),
  );
  return {
    ...evidence(job, odd, [...holes, ...ties.flatMap(({ sides }) => sides.flatMap(own))]),
    headline: sentences(
      shared.length === 0
        ? `${names.thePart(part)} shares no place with ${rest}, so there is nothing to compare`
        : odd.length > 0
          ? told.size > 0
            ? `${names.thePart(part)} differs from ${rest} in ${counted(told.size, "hole")}: ${labelsOf(certain)}`
            : `whether ${names.thePart(part)} differs from ${rest} is ${notDecided}`
          : `${names.thePart(part)} is like ${rest}${ties.length > 0 ? " where most of them agree" : ""}`,
      told.size > 0 && notDecided,
      ties.length > 0 && `in ${counted(placesIn(ties), "place")} no side has a majority`,
    ),
    rows: [
      ...oddRows(job, odd).filter(({ member }) => member === part),
      ...tieRows(job, ties),
      ...lackingPlaces(job, family.members),
    ],
    followUps: [reading(job, "treatment", { part }), reading(job, "odd-ones", { family: family.id })],
  };
}

/** Two parts against each other, at the places that both have. */
function pairAnswer(job: Job, part: string, other: string, attributes: readonly string[]): FormAnswer {
  const names = namesOf(job);
  const comparisons = compareMembers(job, [part, other], attributes);
  const differing = comparisons.filter(({ sides }) => sides.length > 1);
  const both = `${names.thePart(part)} and ${names.thePart(other)}`;
  const lacking = lackingPlaces(job, [part, other]);
  const holes = differing.flatMap(({ sides }) => sides.flatMap((side) => side.holes));
  const certain = differing.filter((one) => openHoles(one).length === 0);
  const notDecided = sayNotComparedAt(
    job,
    inOrder(job, differing.flatMap(openHoles)),
    differing.map(({ attribute }) => attribute),
  );
  return {
    ...evidence(job, differing, holes),
    headline: sentences(
      comparisons.length === 0
        ? `${both} share no row, so there is nothing to compare`
        : differing.length === 0
          ? `${both} are alike${lacking.length > 0 ? " in the places that they share" : ""}`
          : certain.length > 0
            ? `${both} differ in ${counted(placesIn(certain), "place")}: ${labelsOf(certain)}`
            : `whether ${both} differ is ${notDecided}`,
      certain.length > 0 && notDecided,
    ),
    rows: [...pairRows(job, differing), ...lacking],
    followUps: [part, other].map((one) => reading(job, "treatment", { part: one })),
  };
}

/** What every comparison answers with: the holes, how far they are open, and both sides of the evidence. */
function evidence(
  job: Job,
  differing: readonly Comparison[],
  odd: readonly string[],
): Pick<FormAnswer, "verdict" | "holes" | "trace" | "cautions" | "sources"> {
  const holes = inOrder(job, odd);
  const attributes = [...new Set(differing.map((one) => one.attribute))];
  const trace = attributes.flatMap((one) => rulingTrace(job, tracedHoles(differing, one), [one]));
  return {
    verdict: openVerdict(holes.map((id) => ruledAt(job, id))),
    holes,
    trace,
    cautions: cautionsFor(job, [], [], trace),
    sources: ruleSources(job, rulesIn(trace)),
  };
}

function placesIn(comparisons: readonly Comparison[]): number {
  return new Set(comparisons.map(({ row, number }) => `${row} ${number}`)).size;
}

/**
 * Compares the members of a family place by place, attribute by attribute. A place that fewer than two members have
 * is not compared; a hole that is undecided or in conflict differs from one that is settled.
 */
function compareMembers(
  job: Job,
  members: readonly string[],
  attributes: readonly string[],
): readonly Comparison[] {
  const places = placesOf(job, members).filter(({ holes }) => holes.length > 1);
  return places.flatMap(({ row, number, holes }) =>
    attributes.map((attribute) => {
      const sides = grouped(holes, (hole) => {
        const { status, value } = ruledAt(job, hole).of(attribute);
        return [status, value];
      })
        .map((list): Side => {
          const { status, value } = ruledAt(job, list[0] ?? "").of(attribute);
          return { status, value, holes: list };
        })
        .sort((a, b) => b.holes.length - a.holes.length);
      const [most] = sides;
      const norm = most && most.holes.length * 2 > holes.length ? most : null;
      return { attribute, row, number, sides, norm };
    }),
  );
}

interface Place {
  readonly row: string;
  readonly number: number;
  readonly holes: readonly string[];
}

/** Every place that a member's own rows have, with the holes there. */
function placesOf(job: Job, members: readonly string[]): readonly Place[] {
  const find = finder(job.assembly);
  const own = members.flatMap((member) =>
    job.assembly.rows.filter(({ part }) => part === member).flatMap(({ id }) => find.holesOfRow(id)),
  );
  return grouped(own, ({ row, number }) => [row, number]).map((list) => ({
    row: list[0]?.row ?? "",
    number: list[0]?.number ?? 0,
    holes: list.map(({ id }) => id),
  }));
}

function oddHoles({ norm, sides }: Comparison): readonly string[] {
  return norm === null ? [] : sides.filter((side) => side !== norm).flatMap(({ holes }) => holes);
}

/** Odd holes of which that is known; at the others, their own side or the others' is not settled. */
function toldHoles(comparison: Comparison): readonly string[] {
  const open = new Set(openHoles(comparison));
  return oddHoles(comparison).filter((id) => !open.has(id));
}

/** Holes of which it is not known whether they are like the others. */
function openHoles({ norm, sides }: Comparison): readonly string[] {
  if (norm === null || isOpen(norm))
    return sides.some(isOpen) ? sides.filter((side) => side !== norm).flatMap(({ holes }) => holes) : [];
  return sides.filter(isOpen).flatMap(({ holes }) => holes);
}

function isOpen({ status }: Side): boolean {
  return status === "undecided" || status === "conflict";
}

function labelsOf(comparisons: readonly Comparison[]): string {
  return listed([...new Set(comparisons.map(({ attribute }) => attributeLabel(attribute)))]);
}

/** The odd holes of one attribute, and one like the norm beside each: both sides of the evidence. */
function tracedHoles(differing: readonly Comparison[], attribute: string): readonly string[] {
  return [
    ...new Set(
      differing
        .filter((one) => one.attribute === attribute)
        .flatMap(({ norm, sides }) =>
          norm
            ? [
                ...norm.holes.slice(0, 1),
                ...sides.filter((side) => side !== norm).flatMap(({ holes }) => holes),
              ]
            : sides.flatMap(({ holes }) => holes),
        ),
    ),
  ];
}

function inOrder(job: Job, ids: readonly string[]): readonly string[] {
  const find = finder(job.assembly);
  return [...new Set(ids)].sort((a, b) => find.hole(a).index - find.hole(b).index);
}

function membersOf(job: Job, holes: readonly string[]): readonly string[] {
  const find = finder(job.assembly);
  return [...new Set(holes.map((id) => find.hole(id).part))];
}

/** What one hole has otherwise than the norm. */
interface Difference {
  readonly attribute: string;
  readonly own: string;
  readonly norm: string;
  readonly rules: readonly string[];
}

/** Holes of one member that differ in the same things for the same rules, in one row. */
function oddRows(job: Job, differing: readonly Comparison[]): readonly AnswerRow[] {
  const byHole = new Map<string, Difference[]>();
  for (const { attribute, norm, sides } of differing) {
    if (!norm) continue;
    for (const side of sides) {
      if (side === norm) continue;
      for (const hole of side.holes) {
        const difference = {
          attribute,
          own: saySide(job, attribute, side),
          norm: saySide(job, attribute, norm),
          rules: ruledAt(job, hole).of(attribute).ruleIds,
        };
        byHole.set(hole, [...(byHole.get(hole) ?? []), difference]);
      }
    }
  }
  const find = finder(job.assembly);
  const holes = inOrder(job, [...byHole.keys()]);
  return grouped(holes, (hole) => [find.hole(hole).part, find.hole(hole).row, byHole.get(hole)]).map(
    (group) => {
      const differences = byHole.get(group[0] ?? "") ?? [];
      return {
        holes: group,
        where: namesOf(job).everywhere(group),
        what: sentences(
          ...differences.map(
            ({ attribute, own, norm }) => `${attributeLabel(attribute)} ${own}, the others ${norm}`,
          ),
          ...becauseOf(job, group[0] ?? "", differences),
        ),
        member: find.hole(group[0] ?? "").part,
        attributes: differences.map(({ attribute }) => attribute),
        rules: [...new Set(differences.flatMap(({ rules }) => rules))],
      };
    },
  );
}

/** What is behind the differences; one that follows from another difference is not explained again. */
function becauseOf(job: Job, hole: string, differences: readonly Difference[]): readonly string[] {
  const differing = new Set(differences.map(({ attribute }) => attribute));
  const grounds = differences.flatMap(({ attribute }) => {
    const [group] = alike(job, [hole], attribute);
    return group && !explain(job, group).restsOn.some((ground) => differing.has(ground)) ? [group] : [];
  });
  const open = grounds.filter(({ first }) => first.status !== "settled");
  const rules = grounds
    .filter(({ first }) => first.status === "settled")
    .flatMap(({ first: { claims, ruleIds } }) =>
      strongest(claims.filter(({ rule }) => ruleIds.includes(rule))),
    );
  return [
    ...(rules.length > 0
      ? [`because of ${listed([...new Set(rules.map(({ title }) => sayRule(title)))])}`]
      : []),
    ...open
      .filter(({ first }) => first.status === "undecided")
      .map(({ attribute }) =>
        sayUndecided([attribute], ruledAt(job, hole).of(attribute).missing, finder(job.assembly).hole(hole)),
      ),
  ];
}

/** The claims of the highest rank among those that carry a ruling. */
function strongest(claims: readonly ClaimTrace[]): readonly ClaimTrace[] {
  const rank = ({ basis }: ClaimTrace): number => RANKS.indexOf(basis.rank);
  const best = Math.min(...claims.map(rank));
  return claims.filter((claim) => rank(claim) === best);
}

function saySide(job: Job, attribute: string, { status, value }: Side): string {
  if (status === "settled") return sayValueShort(attribute, value ?? "", namesOf(job), job.kit.units);
  if (status === "unclaimed")
    return { hold: "not held open", under: "as the treatment says" }[attribute] ?? "not ruled";
  return status === "conflict" ? "in conflict" : "undecided";
}

/** Places where no side has a majority: all sides, none called odd. */
function tieRows(job: Job, ties: readonly Comparison[]): readonly AnswerRow[] {
  return sidesRows(job, ties, (attribute) => `${attribute}: no majority. `);
}

/** Places where two parts differ: what each of them has. */
function pairRows(job: Job, differing: readonly Comparison[]): readonly AnswerRow[] {
  return sidesRows(job, differing, (attribute) => `${attribute}: `);
}

function sidesRows(
  job: Job,
  ties: readonly Comparison[],
  lead: (attribute: string) => string,
): readonly AnswerRow[] {
  const names = namesOf(job);
  const find = finder(job.assembly);
  const partsOf = ({ holes }: Side): string[] => holes.map((id) => find.hole(id).part);
  return grouped(ties, ({ attribute, row, sides }) => [
    attribute,
    row,
    sides.map((side) => [side.status, side.value, partsOf(side)]),
  ]).map((group) => {
    const [first] = group as readonly [Comparison, ...Comparison[]];
    const holes = inOrder(
      job,
      group.flatMap(({ sides }) => sides.flatMap((side) => side.holes)),
    );
    const said = first.sides.map(
      (side) => `${names.parts(partsOf(side))}: ${saySide(job, first.attribute, side)}`,
    );
    return {
      holes,
      where: names.everywhere(holes),
      what: sentences(`${lead(attributeLabel(first.attribute))}${said.join("; ")}`),
      member: null,
      attributes: [first.attribute],
      rules: [],
    };
  });
}

/** Rows in which members do not have the same number of holes: there they cannot be compared throughout. */
function lackingPlaces(job: Job, members: readonly string[]): readonly AnswerRow[] {
  const find = finder(job.assembly);
  const rows = job.assembly.rows.filter(({ part }) => members.includes(part));
  return [...new Set(rows.map(({ row }) => row))].flatMap((name): AnswerRow[] => {
    const counts = members.map((member) => ({
      member,
      holes: rows.find(({ part, row }) => part === member && row === name)?.holes.length ?? 0,
    }));
    if (new Set(counts.map(({ holes }) => holes)).size === 1) return [];
    const label = rows.find(({ row }) => row === name)?.name ?? name;
    const said = grouped(counts, ({ holes }) => holes).map(
      (group) =>
        `${namesOf(job).parts(group.map(({ member }) => member))}: ${counted(group[0]?.holes ?? 0, "hole")}`,
    );
    return [
      {
        holes: rows
          .filter(({ row }) => row === name)
          .flatMap(({ id }) => find.holesOfRow(id).map(({ id: hole }) => hole)),
        where: label,
        what: sentences(`not the same number of holes. ${said.join("; ")}`),
        member: null,
        attributes: [],
        rules: [],
      },
    ];
  });
}

/** @param isBrief  without what they differ in, which the rows say */
function headlineOf(
  job: Job,
  family: Family,
  differing: readonly Comparison[],
  uneven: boolean,
  isBrief = false,
): string {
  const names = namesOf(job);
  const certain = differing.flatMap(toldHoles);
  const members = family.members.filter((member) => membersOf(job, certain).includes(member));
  const ties = differing.filter(({ norm }) => norm === null);
  const untold = differing.filter(({ norm }) => norm !== null);
  const open = inOrder(job, untold.flatMap(openHoles));
  const others = the(names.family(family.id));
  const notDecided = sayNotComparedAt(
    job,
    open,
    untold.map(({ attribute }) => attribute),
    isBrief,
  );
  if (members.length === 0 && ties.length === 0)
    return sentences(
      open.length > 0
        ? `whether all ${family.members.length} of ${others} are alike is ${notDecided}`
        : `all ${family.members.length} of ${others} are alike${uneven ? " in the places that they share" : ""}`,
    );
  const told = members.map((member) => {
    const isOf = (id: string): boolean => membersOf(job, [id])[0] === member;
    const own = differing.filter((one) => toldHoles(one).some(isOf));
    const holes = new Set(own.flatMap(toldHoles).filter(isOf));
    return isBrief
      ? names.part(member)
      : `${names.part(member)} in ${counted(holes.size, "hole")} (${labelsOf(own)})`;
  });
  return sentences(
    members.length > 0 &&
      `${members.length} of the ${family.members.length} ${names.family(family.id)} ${plural(members.length, "differs", "differ")} from the rest: ${listed(told)}`,
    notDecided,
    ties.length > 0 && `in ${counted(placesIn(ties), "place")} no side has a majority`,
  );
}
