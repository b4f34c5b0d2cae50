import { type Boxes, shared } from "../boxes.js";
import type { Victory } from "../superiority.js";
import { RANKS, type Rule } from "../types.js";
import { implies, witnessOf } from "../witness.js";
import { type Contradiction, contradictionsBetween, isSettled } from "./claims-kept.js";
import { type Finding, finding, type Told, type WitnessHole } from "./finding.js";
import { isLikely } from "./likely.js";
import { holesWhere, type Look, othersIn, type Spot, sayHoles, titled } from "./look.js";

/** Rules that say otherwise at the same hole, with one such hole, and what decides between the two. */
export function oppositionTo(look: Look): readonly Finding[] {
  return othersIn(look).flatMap((other) => {
    const contradictions = contradictionsBetween(look.rule, other, look.words);
    if (contradictions.length === 0) return [];
    const meeting = meetingOf(look, other);
    if (meeting === null) return [];
    return contradictions.map((contradiction) => told(look, other, contradiction, meeting));
  });
}

/** Where two rules hold together. */
interface Meeting {
  /** Holes of the kit at which both hold … */
  readonly both: readonly Spot[];
  /** … and those at which both do or may hold. */
  readonly perhaps: readonly Spot[];
  readonly witness: WitnessHole;
}

/** Where the rule and another hold together; null where no hole can be, or none was found within the limits. */
function meetingOf(look: Look, other: Rule): Meeting | null {
  const [own, theirs] = [look.shape(look.rule), look.shape(other)];
  const common = own && theirs && shared(own, theirs);
  if (common !== null && common.length === 0) return null;
  const perhaps = holesWhere(look, [look.rule, other], true);
  const both = holesWhere(look, [look.rule, other]);
  const [hole] = [...both, ...perhaps];
  if (hole) return { both, perhaps, witness: { hole: hole.id } };
  if (common === null) {
    look.notCompared.add(other.id);
    return null;
  }
  const facts = inventedIn(look, common);
  if (facts === "not shown") look.notCompared.add(other.id);
  return typeof facts === "object" ? { both, perhaps, witness: { facts } } : null;
}

/** Facts of a hole that the kit does not have, and that could well be. */
function inventedIn(look: Look, common: Boxes) {
  const records = look.holes.map(({ record }) => record);
  const likely = common.filter((box) => isLikely(box, records, look.rulebook));
  return witnessOf(likely, look.rulebook.domains);
}

function told(look: Look, other: Rule, contradiction: Contradiction, meeting: Meeting): Finding {
  const { rule, rulebook } = look;
  const base = {
    kind: "opposes" as const,
    rules: [other.id],
    attribute: contradiction.attribute,
    witness: meeting.witness,
    holes: (meeting.both.length > 0 ? meeting.both : meeting.perhaps).map(({ id }) => id),
    pointer: "/event/params",
  };
  const opening = `${titled(rule)} and ${titled(other)} contradict each other ${where(look, meeting)}: ${contradiction.said}.`;
  if (!isSettled(rule))
    return finding(rule.id, { ...base, ...added(other, contradiction, meeting, opening) });
  const { superiority } = rulebook;
  const won = superiority.over(rule, other);
  if (won) {
    return finding(rule.id, {
      ...base,
      severity: "note",
      said: `${opening} This rule goes before: ${look.words.principle(won.principle, rule, other, won.reason)}.`,
      fix: "Nothing needs to be done where this is what you want.",
    });
  }
  const lost = superiority.over(other, rule);
  return finding(rule.id, {
    ...base,
    ...(lost
      ? beaten(look, other, meeting, opening, lost)
      : tied(look, other, contradiction, meeting, opening)),
  });
}

type Rest = Pick<Told, "severity" | "said" | "fix">;

/** Orders and limits add up: nothing decides between them. */
function added(other: Rule, { binding }: Contradiction, { both, perhaps }: Meeting, opening: string): Rest {
  const isHere = both.length > 0 || perhaps.length > 0;
  return {
    severity: binding && isHere ? "warning" : "note",
    said: binding
      ? `${opening} Rules of this family add up, so there no work keeps both.`
      : `${opening} One of them is only a preference and gives way.`,
    fix: `Limit one of the two, or ask whoever stands behind ${other.id}.`,
  };
}

function beaten(look: Look, other: Rule, { perhaps }: Meeting, opening: string, victory: Victory): Rest {
  const { rule } = look;
  // At an invented hole it is no departure yet: nobody meets that hole in this kit.
  const departs = rule.basis.rank === "shop" && isStronger(other, rule) && perhaps.length > 0;
  const [own, theirs] = [look.shape(rule), look.shape(other)];
  const isEverywhere = own && theirs && implies(own, theirs, look.rulebook.domains) === "yes";
  return {
    severity: departs || (isEverywhere && !isStronger(other, rule)) ? "warning" : "note",
    said: `${opening} The other rule goes before: ${look.words.principle(victory.principle, other, rule, null)}${isEverywhere ? "; so this one never counts" : ""}.`,
    fix: departs
      ? `Keep to the ${other.basis.rank}; or, with the kit maker's agreement, declare a departure from ${other.id} with its reference.`
      : "Nothing needs to be done where this is what you want.",
  };
}

function isStronger(a: Rule, b: Rule): boolean {
  return RANKS.indexOf(a.basis.rank) < RANKS.indexOf(b.basis.rank);
}

/** No principle decides between the two by themselves; at the kit's holes a third rule may. */
function tied(
  look: Look,
  other: Rule,
  { attribute }: Contradiction,
  { both, perhaps }: Meeting,
  opening: string,
): Rest {
  const { rule } = look;
  const fix = `Say which goes first: name ${other.id} in this rule's overrides with the reason, or the other way round.`;
  const rulings = perhaps.map((spot) => ({
    spot,
    ruling: attribute === null ? null : spot.site.rulings.attribute(spot.id, attribute),
  }));
  const isAmong = (ids: readonly string[] | undefined) =>
    ids !== undefined && (ids.includes(rule.id) || ids.includes(other.id));
  const torn = rulings.filter(({ ruling }) => ruling?.status === "conflict" && isAmong(ruling.ruleIds));
  if (torn.length > 0) {
    const spots = torn.map(({ spot }) => spot);
    return {
      severity: "warning",
      said: `${opening} Nothing decides between them: ${sayHoles(look, spots)} is in conflict.`,
      fix,
    };
  }
  const open = rulings.filter(({ ruling }) => ruling?.status === "undecided");
  if (open.length > 0) {
    const said = `${opening} Nothing decides between them, and a fact is missing: undecided at ${sayHoles(
      look,
      open.map(({ spot }) => spot),
    )}.`;
    return { severity: "warning", said, fix };
  }
  if (perhaps.length > 0) {
    const titleOf = (id: string): string => titled(look.rulebook.byId.get(id) ?? { title: id });
    const by = rulings[0]?.ruling?.ruleIds.map(titleOf).join(", ");
    const which = both.length > 0 ? "there" : "where both may hold";
    return {
      severity: "note",
      said: `${opening} Nothing decides between the two by themselves; ${which} it is settled by ${by || "other rules"}.`,
      fix,
    };
  }
  return {
    severity: "note",
    said: `${opening} Nothing decides between them there; no hole of the kit is so.`,
    fix,
  };
}

function where(look: Look, { both, perhaps, witness }: Meeting): string {
  if (both.length > 0) return `at ${sayHoles(look, both)}`;
  if (perhaps.length > 0) return `perhaps at ${sayHoles(look, perhaps)}, where a fact is missing`;
  return "facts" in witness ? `at a hole with ${look.words.facts(witness.facts)}` : "";
}
