import { type Box, type Boxes, remainder, type Side, uncoveredIn } from "../boxes.js";
import { complement, type Interval, type NumberSet, numbers } from "../value-set.js";
import { witnessOf } from "../witness.js";
import { isSettled } from "./claims-kept.js";
import { type Finding, finding } from "./finding.js";
import { isLikely } from "./likely.js";
import { holesWhere, type Look, type Spot, sayHoles, titled } from "./look.js";

/** What the rule leaves open in its family: at its own holes, elsewhere in the kit, and between it and the next rule. */
export function gapsBeside(look: Look): readonly Finding[] {
  if (!isSettled(look.rule)) return [];
  return [...atItsHoles(look), ...elsewhere(look), ...slices(look)];
}

/** Attributes without which a hole is not decided. */
function required({ rulebook }: Look): readonly string[] {
  return [...rulebook.dictionary.attributes.values()].filter((one) => one.required).map(({ name }) => name);
}

/** Holes where no rule claims the attribute; not those where something in conflict keeps a claim from holding. */
function unclaimed(spots: readonly Spot[], attribute: string): readonly Spot[] {
  return spots.filter(({ id, site }) => {
    const ruling = site.rulings.attribute(id, attribute);
    return ruling?.status === "unclaimed" && ruling.unsettled.length === 0;
  });
}

function named({ words }: Look, attribute: string): string {
  return `the ${words.attribute(attribute)}`;
}

/** Holes where the rule holds and nobody says the rest: a flush head without a treatment. */
function atItsHoles(look: Look): readonly Finding[] {
  const { rule } = look;
  if (rule.family !== "treatment") return [];
  const own = holesWhere(look, [rule]);
  return required(look).flatMap((attribute): readonly Finding[] => {
    const open = unclaimed(own, attribute);
    const [hole] = open;
    if (!hole) return [];
    return [
      finding(rule.id, {
        kind: "gap",
        severity: "warning",
        attribute,
        witness: { hole: hole.id },
        holes: open.map(({ id }) => id),
        said: `Where ${titled(rule)} holds, no rule says ${named(look, attribute)}: ${sayHoles(look, open)}. It stays undecided there.`,
        pointer: "/event/params",
        fix: `Claim ${named(look, attribute)} too, or write a rule that does.`,
      }),
    ];
  });
}

/** Other holes of the kit for which no rule claims what this one claims. */
function elsewhere(look: Look): readonly Finding[] {
  const { rule, holes } = look;
  const truths = look.truths(rule);
  const others = holes.filter((_, i) => truths[i] === "false");
  return Object.keys(rule.event.params)
    .filter((attribute) => required(look).includes(attribute))
    .flatMap((attribute): readonly Finding[] => {
      const open = unclaimed(others, attribute);
      const [hole] = open;
      if (!hole) return [];
      return [
        finding(rule.id, {
          kind: "gap",
          severity: "note",
          attribute,
          witness: { hole: hole.id },
          holes: open.map(({ id }) => id),
          said: `Neither this rule nor another says ${named(look, attribute)} of ${sayHoles(look, open)}.`,
          pointer: "/conditions",
          fix: "Widen the rule if it is meant for these holes too.",
        }),
      ];
    });
}

/**
 * A slice between this rule and the next: the rule reaches up to a number, others take over beyond a larger one,
 * and what lies between, the number itself often, nobody claims ("less than 1" beside "more than 1").
 */
function slices(look: Look): readonly Finding[] {
  const { rule, rulebook } = look;
  const own = look.shape(rule);
  if (!own) return [];
  const found = new Map<string, Finding>();
  for (const attribute of Object.keys(rule.event.params)) {
    const shapes = (rulebook.claims.get(attribute) ?? []).map((claim) => look.shape(claim.rule));
    // The most general first: they leave the least to be cut further.
    const claimed: Boxes = shapes.flatMap((shape) => shape ?? []).sort((a, b) => a.size - b.size);
    for (const box of own) {
      for (const side of box.values()) {
        if (side.axis.kind !== "value" || side.set.kind !== "numbers") continue;
        const slice = sliceBeside(look, box, side, side.set, claimed);
        if (!slice) continue;
        const { fact } = side.axis;
        const key = `${attribute} ${fact} ${slice.said}`;
        found.set(
          key,
          finding(rule.id, {
            kind: "gap",
            severity: "warning",
            attribute,
            witness: slice.witness,
            said: `No rule says ${named(look, attribute)} where ${look.words.fact(fact)} is ${slice.said}, between ${titled(rule)} and the next rule.`,
            pointer: "/conditions",
            fix: `Let one of the two rules take it in ("lessThanInclusive", "greaterThanInclusive").`,
          }),
        );
      }
    }
  }
  return [...found.values()];
}

interface Slice {
  readonly said: string;
  readonly witness: Finding["witness"];
}

/** The slice next to one half-line side of a box; null when there is none. */
function sliceBeside(look: Look, box: Box, side: Side, set: NumberSet, claimed: Boxes): Slice | null {
  const [interval] = set.intervals;
  if (!interval || set.intervals.length !== 1) return null;
  if (isLowest(interval, set) === isHighest(interval, set)) return null;
  const along = (part: NumberSet): Box => new Map(box).set(side.axis.key, { axis: side.axis, set: part });
  // Beyond a slice everything is claimed again: where even the far end is not, this is no slice but open country.
  if (uncoveredIn(along(farthest(side.axis.key, set, interval, claimed)), claimed) !== null) return null;
  const open = remainder([along(complement(set) as NumberSet)], claimed);
  if (open === null || open.length === 0) return null;
  const records = look.holes.map(({ record }) => record);
  for (const piece of open) {
    const rest = piece.get(side.axis.key)?.set;
    const [gap] = rest?.kind === "numbers" ? rest.intervals : [];
    if (!gap || isLowest(gap, set) || isHighest(gap, set) || !isLikely(piece, records, look.rulebook))
      continue;
    if (uncoveredIn(along(past(set, interval, gap)), claimed) !== null) continue;
    const facts = witnessOf([piece], look.rulebook.domains);
    if (typeof facts === "object")
      return { said: sayInterval(gap, sayNumberOf(look, side)), witness: { facts } };
  }
  return null;
}

/** Whether an interval reaches down to the least number that there is. */
function isLowest({ from }: Interval, { range }: NumberSet): boolean {
  return from.at === range.from.at;
}

/** Whether an interval reaches up to the largest number that there is. */
function isHighest({ to }: Interval, { range }: NumberSet): boolean {
  return to.at === range.to.at;
}

/** The numbers beyond every end that any rule names along this axis, on the side away from the rule. */
function farthest(axis: string, set: NumberSet, own: Interval, claimed: Boxes): NumberSet {
  const { whole, range } = set;
  const ends = claimed
    .flatMap((box) => {
      const theirs = box.get(axis)?.set;
      return theirs?.kind === "numbers" ? theirs.intervals.flatMap(({ from, to }) => [from.at, to.at]) : [];
    })
    .filter((at) => range.from.at < at && at < range.to.at);
  return isLowest(own, set)
    ? numbers(whole, { from: { at: Math.max(own.to.at, ...ends), closed: false } }, range)
    : numbers(whole, { to: { at: Math.min(own.from.at, ...ends), closed: false } }, range);
}

/** The numbers beyond a slice, on the side away from the rule. */
function past(set: NumberSet, own: Interval, gap: Interval): NumberSet {
  const { whole, range } = set;
  return isLowest(own, set)
    ? numbers(whole, { from: { at: gap.to.at, closed: !gap.to.closed } }, range)
    : numbers(whole, { to: { at: gap.from.at, closed: !gap.from.closed } }, range);
}

function sayNumberOf({ words }: Look, { axis }: Side): (value: number) => string {
  return (value) => ("fact" in axis ? words.value(axis.fact, value) : String(value));
}

function sayInterval(interval: Interval, say: (value: number) => string): string {
  const { from, to } = interval;
  if (from.at === to.at) return `exactly ${say(from.at)}`;
  return `${from.closed ? "from" : "above"} ${say(from.at)} ${to.closed ? "up to" : "and below"} ${say(to.at)}`;
}
