import type { LayerWork } from "../../fastener/layer-work.js";
import type { Hole } from "../../kit/types.js";
import type { Units } from "../../kit/units.js";
import { isLarger } from "../../order/prep.js";
import { type Basis, type ClaimTrace, type Principle, RANKS, type Rank } from "../../ruling/types.js";
import { listed, the } from "./grammar.js";
import { attributeLabel, sayGrowth, sayHole, theFact } from "./measures.js";
import type { Names } from "./names.js";

/** What is done to a hole, as settled; null where it is not. */
export interface HoleWork {
  readonly treatment: string | null;
  readonly finalDiameterMm: number | null;
  readonly punchedMm: number;
  /** How each layer is formed, head side first. */
  readonly layers: readonly LayerWork[];
  /** Formed at the punched size, and drilled afterwards; null where the kit names no order. */
  readonly isFormedFirst?: boolean | null;
}

/** How layers are formed: "dimple both layers", "dimple the top skin and countersink the spar for its dimples". */
function sayForms(layers: readonly LayerWork[], names: Names): string {
  const dimpled = layers.flatMap(({ act, part }) => (act === "dimple" ? [part] : []));
  const sunk = layers.find(({ act }) => act === "countersink");
  if (sunk && dimpled.length > 0)
    return `dimple ${names.parts(dimpled)} and countersink ${names.thePart(sunk.part)} for ${dimpled.length === 1 ? "its dimple" : "their dimples"}`;
  if (sunk) return "countersink";
  return `dimple${layers.length === 1 ? "" : layers.length === 2 ? " both layers" : ` all ${layers.length} layers`}`;
}

/** The work at a hole as an order to oneself: "enlarge 3.3 → 4.1 mm, then dimple both layers". */
export function sayWork(
  { treatment, finalDiameterMm, punchedMm, layers, isFormedFirst }: HoleWork,
  names: Names,
  units: Units,
): string {
  const grows = finalDiameterMm !== null && isLarger(finalDiameterMm, punchedMm);
  const growth = grows ? `enlarge ${sayGrowth(punchedMm, finalDiameterMm, units)}` : "";
  switch (treatment) {
    case null:
      return "treatment undecided";
    case "as punched":
      // A final diameter beyond the punched one would speak against it: then both are said.
      return grows
        ? `leave as punched at ${sayHole(punchedMm, units)}, though the finished hole is ruled ${sayHole(finalDiameterMm, units)}`
        : `leave as punched at ${sayHole(punchedMm, units)}`;
    case "enlarge":
      if (finalDiameterMm === null)
        return `enlarge from ${sayHole(punchedMm, units)}; to what size is undecided`;
      return grows ? growth : `enlarge, though it is punched ${sayHole(punchedMm, units)} already`;
    case "dimple":
    case "countersink": {
      const forms = sayForms(layers, names);
      if (finalDiameterMm === null) return `${forms}; the hole's final size is undecided`;
      if (!grows) return `${forms} at ${sayHole(punchedMm, units)}`;
      if (isFormedFirst === null) return `${growth} and ${forms}; which comes first the kit does not say`;
      return isFormedFirst ? `${forms}, then ${growth}` : `${growth}, then ${forms}`;
    }
    default:
      return treatment;
  }
}

/** What the handbook would do with a stack whose treatment no rule settles. */
export function sayFlushWay(layers: readonly LayerWork[], names: Names): string {
  const [top] = layers;
  const forms =
    top?.act === "countersink" ? `countersink ${names.thePart(top.part)}` : sayForms(layers, names);
  return `the handbook's way for such a stack is to ${forms}: that is advice, ask the kit maker`;
}

/** What to call a hole's head: "flush head". */
export function sayHead(head: string): string {
  return `${head} head`;
}

/** Facts that are not known because the gap, its tolerance or its margin is not. */
const ABOVE_THE_HEAD: ReadonlySet<string> = new Set(["gapMm", "headroomMm", "worstHeadroomMm", "clears"]);

/** A fact that is not known, as a person would ask for it: "the gap to the elevator's gap seal". */
export function sayMissing(fact: string, hole: Hole | null): string {
  const near = hole?.neighbour;
  if (!near || !ABOVE_THE_HEAD.has(fact)) return theFact(fact);
  if (fact === "clears" && near.headMarginMm === null) return `the margin wanted under ${the(near.name)}`;
  if (near.gapMm !== null) return `the tolerance of the gap to ${the(near.name)}`;
  const open = near.positions.filter(({ gapMm }) => gapMm === null).map(({ name }) => name);
  return `the gap to ${the(near.name)}${open.length > 0 ? ` at ${listed(open)}` : ""}`;
}

/** What to do about a hole that is to be worked on while a hold keeps it open. */
export const HELD_MEANWHILE =
  "Whether that comes before or after the hold ends, the data don't tell: ask the kit maker.";

/** What to do about facts that are not known. */
export function sayRemedy(missing: readonly string[]): string {
  if (missing.length === 0) return "Ask the kit maker, or add a shop rule and have your mentor review it.";
  const measurable = missing.some((fact) => fact === "clears" || /Mm$|Ratio$/.test(fact));
  return measurable
    ? "Measure it or ask the kit maker; until then leave it as it is."
    : "Ask the kit maker; until then leave it as it is.";
}

/** Why attributes are not decided: "head and treatment undecided: the gap to the seal is not known". */
export function sayUndecided(
  attributes: readonly string[],
  missing: readonly string[],
  hole: Hole | null,
): string {
  const labels = listed(attributes.map(attributeLabel));
  if (missing.length === 0)
    return `${labels} undecided: no rule settles ${attributes.length === 1 ? "it" : "them"}`;
  const facts = [...new Set(missing.map((fact) => sayMissing(fact, hole)))];
  return `${labels} undecided: ${listed(facts)} ${facts.length === 1 ? "is" : "are"} not known`;
}

/** Two sides of which none is picked: "“A” (manual) says flush head, “B” (manual) says protruding head". */
export function sayConflict(
  attribute: string,
  sides: readonly Pick<ClaimTrace, "title" | "basis" | "value">[],
  names: Names,
  units: Units,
): string {
  const said = sides.map(
    ({ title, basis, value }) =>
      `${sayRule(title)} (${sayRank(basis.rank)}) says ${sayClaim(attribute, value, names, units)}`,
  );
  return `${attributeLabel(attribute)} in conflict: ${said.join(", ")}; nothing decides between them`;
}

const RANK_NAMES: Readonly<Record<Rank, string>> = {
  notice: "notice",
  manual: "manual",
  shop: "shop rule",
  handbook: "handbook",
};

export function sayRank(rank: Rank): string {
  return RANK_NAMES[rank];
}

/** "manual: Build manual, section 5, paragraph 5-3 (2024-03-01)". */
export function sayBasis({ rank, document, place, dated }: Basis): string {
  return `${sayRank(rank)}: ${document}, ${place}${dated ? ` (${dated})` : ""}`;
}

/**
 * Why one claim went before another: "a notice goes before the manual".
 * @param reason  what was declared; for a departure the kit maker's agreement, null while none is named
 */
export function sayPrinciple(
  principle: Principle,
  winner: Basis,
  loser: Basis,
  reason: string | null,
): string {
  switch (principle) {
    case "higher basis":
      if (RANKS.indexOf(winner.rank) > RANKS.indexOf(loser.rank)) {
        return reason === null
          ? `it departs from ${article(loser.rank)}, and the kit maker's agreement is not named yet`
          : `the kit maker agreed to depart from ${article(loser.rank)}`;
      }
      return `${article(winner.rank)} goes before ${article(loser.rank)}`;
    case "narrower rule":
      return "the narrower rule goes first";
    case "later date":
      return `the later one goes first${winner.dated && loser.dated ? ` (${winner.dated} after ${loser.dated})` : ""}`;
  }
}

function article(rank: Rank): string {
  return rank === "manual" || rank === "handbook" ? `the ${sayRank(rank)}` : `a ${sayRank(rank)}`;
}

/** What a claim says, in the builder's words: "the head is flush", "it stays open until the twist is checked". */
export function sayClaim(
  attribute: string,
  value: ClaimTrace["value"] | null,
  names: Names,
  units: Units,
): string {
  if (value === null) return `${attributeLabel(attribute)} open`;
  switch (attribute) {
    case "head":
      return sayHead(String(value));
    case "under":
      return value === "countersink"
        ? "countersink under the dimples"
        : "dimple the layers under the head too";
    case "finalDiameterMm":
      return `final diameter ${typeof value === "number" ? sayHole(value, units) : String(value)}`;
    case "rivet":
      return `rivet ${names.rivet(String(value))}`;
    case "hold":
      return value === "none" ? "not held open" : `stays open until ${names.milestone(String(value))}`;
    default:
      return String(value);
  }
}

/** A hold whose milestone has come. */
export function sayWasHeld(milestone: string, names: Names): string {
  return `was to stay open until ${names.milestone(milestone)}, which is reached`;
}

/** A value where its attribute is named beside it: "flush", "4.1 mm", "open until the twist is checked". */
export function sayValueShort(
  attribute: string,
  value: ClaimTrace["value"],
  names: Names,
  units: Units,
): string {
  if (attribute === "finalDiameterMm" && typeof value === "number") return sayHole(value, units);
  if (attribute !== "hold") return String(value);
  return value === "none" ? "not held open" : `open until ${names.milestone(String(value))}`;
}

/** A rule by its title, in quotes. */
export function sayRule(title: string): string {
  return `“${title}”`;
}

/** How many of each, largest first: "120 dimpled, 60 left as punched". */
export function sayCounts(counts: ReadonlyMap<string, number>): string {
  return listed(
    [...counts]
      .sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1))
      .map(([what, count]) => `${count} ${what}`),
  );
}

/** Why something was not ruled, in a few words. @param title  of the rule that the ground rests on */
export function sayGround(ground: string, title: string | null): string {
  const rule = title === null ? "a rule" : sayRule(title);
  switch (ground) {
    case "it is so":
      return title === null ? "" : `${rule} says so`;
    case "no rule claims it":
      return "no rule says so for any hole";
    case "a condition fails":
      return title === null ? "" : `${rule} does not apply`;
    case "a fact is not known":
      return `${rule} hangs on what is not known`;
    case "beaten":
      return `${rule} is beaten by another rule`;
    case "opposed, nothing decides":
      return "rules oppose each other and nothing decides";
    default:
      return "";
  }
}
