import type { Figure } from "../../fastener/figure.js";
import type { GripFit, StackForm } from "../../fastener/fit.js";
import { SUNK_HEAD } from "../../fastener/grip.js";
import type { SolidLength, TabledLengths } from "../../fastener/length.js";
import type { ShopHead } from "../../fastener/shop-head.js";
import type { Rivet } from "../../kit/types.js";
import type { Units } from "../../kit/units.js";
import type { GripDoubt } from "../../order/misfit.js";
import { listed, plural } from "./grammar.js";
import { saySize } from "./measures.js";
import type { Names } from "./names.js";
import { sayCounts } from "./rulings.js";
import { sayBoth, sayLimits } from "./sizes.js";

/** "PR-32-5 (3.2 x 5 domed pulled rivet), 3.2 mm (0.126 in), protruding head". */
export function sayRivet(rivet: Rivet, names: Names, units: Units): string {
  return `${names.rivet(rivet.code)}: ${sayBoth(rivet.diameterMm, units)}, ${rivet.head} head`;
}

/** Rivets by their codes, null for those not settled: "24 of CR-40-6 and 5 of PR-32-5"; of one code the code alone. */
export function sayRivetCounts(counts: ReadonlyMap<string | null, number>): string {
  const [only, ...others] = counts.keys();
  if (only !== undefined && others.length === 0) return only ?? "not settled";
  return sayCounts(
    new Map([...counts].map(([code, count]) => [code === null ? "not settled" : `of ${code}`, count])),
  );
}

/** "grip 1.5 mm: the top skin 0.5 + rib 3 1". */
export function sayGripSum(grip: Figure, names: Names, units: Units): string {
  const terms = grip.terms.map(
    ({ what, value }) => `${what === SUNK_HEAD ? what : names.thePart(what)} ${saySize(value, units)}`,
  );
  return `stack ${sayBoth(grip.value, units)} (${terms.join(" + ")})`;
}

/** What a rivet's range says of the stack. */
export function sayGripFit(rivet: Rivet, fit: GripFit, form: StackForm, units: Units): string {
  const range = rivet.grip && sayLimits(rivet.grip, units);
  switch (fit) {
    case "fits":
      return `it holds ${range}: the stack is within that`;
    case "stack too thick":
      return `it holds ${range}: the stack is too thick for it; ask the kit maker, don't force it`;
    case "stack too thin":
      return `it holds ${range}: the stack is too thin for it; ask the kit maker`;
    case "not known":
      return rivet.grip === null
        ? `${GRIP_DOUBTS["no range"]}, so whether it holds the stack is not known; ask the kit maker`
        : form === "dimpled"
          ? `it holds ${range}; ${GRIP_DOUBTS.dimples}, so whether it holds the stack is not known; try one in scrap dimpled alike, or ask the kit maker`
          : `it holds ${range}; how its layers are formed is not settled, so whether it holds the stack is not known`;
  }
}

/** Why it is not known whether a rivet holds its stack. */
const GRIP_DOUBTS: Readonly<Record<GripDoubt["because"], string>> = {
  "no range": "the kit states no grip range for it",
  dimples: "in dimples the sunk head adds to the grip, by how much is not known",
};

/**
 * That it is open whether rivets hold their stack, for a line that counts them: "whether CR-40-6 holds the stack is not
 * known at 3 of the 8 holes: …". Empty where there is no doubt.
 * @param doubts  one for each hole in doubt
 * @param among   how many holes the line is about
 */
export function sayGripDoubts(doubts: readonly GripDoubt[], among: number): string {
  if (doubts.length === 0) return "";
  const rivets = [...new Set(doubts.map(({ rivet }) => rivet))];
  const reasons = [...new Set(doubts.map(({ because }) => because))].map((because) => GRIP_DOUBTS[because]);
  const where = doubts.length < among ? ` at ${doubts.length} of the ${among} holes` : "";
  return `whether ${listed(rivets)} ${plural(rivets.length, "holds", "hold")} the stack is not known${where}: ${listed(reasons)}; try it in scrap of the same sheets treated alike, or ask the kit maker`;
}

/** Others of the kit of the same sort that hold the stack. */
export function sayOthersThatHold(codes: readonly string[], fit: GripFit): string {
  if (codes.length === 0) return "";
  return fit === "fits"
    ? `${listed(codes)} would hold it too; of several that hold a stack the rules' one goes in`
    : `in the kit ${listed(codes, "or")} of the same size and head would hold it; the kit maker decides`;
}

export function sayFinishedHole(rivet: Rivet, units: Units): string {
  return `finished hole ${sayLimits(rivet.hole, units)}`;
}

/** That no rivet of the kit of one sort holds a stack, with the ranges just below and above it. */
export function sayNoneHolds(rivets: readonly Rivet[], gripMm: number, units: Units): string {
  const ranged = rivets.flatMap(({ code, grip }) => (grip ? [{ code, ...grip }] : []));
  const below = ranged.filter(({ maxMm }) => maxMm < gripMm).sort((a, b) => b.maxMm - a.maxMm)[0];
  const above = ranged.filter(({ minMm }) => minMm > gripMm).sort((a, b) => a.minMm - b.minMm)[0];
  const near = [
    below ? `${below.code} up to ${sayBoth(below.maxMm, units)}` : "",
    above ? `${above.code} from ${sayBoth(above.minMm, units)}` : "",
  ].filter((text) => text !== "");
  return `the kit has none of that size and head that holds it (${near.join(", ")})`;
}

/** Lengths that the tables offer for a stack, beside a rule of thumb; the kit maker decides. */
export function sayTabledLengths({ choices, thumb }: TabledLengths, units: Units): string {
  const said = choices.map(({ name, lengthMm, gripMinMm, gripMaxMm }) => {
    const body = `a body of ${sayBoth(lengthMm, units)}`;
    const range = sayLimits({ minMm: gripMinMm, maxMm: gripMaxMm }, units);
    return `${/^\d+$/.test(name) ? `number ${name}, ${body},` : body} for ${range}`;
  });
  const enough = choices.filter(({ lengthMm }) => lengthMm >= thumb.leastMm - 1e-6);
  const least = `a maker's rule of thumb, the stack and one diameter, wants at least ${sayBoth(thumb.leastMm, units)}`;
  const [only] = enough;
  switch (choices.length) {
    case 0:
      return "the handbook's table has no length for this stack either";
    case 1:
      return `the handbook's table has ${said[0]}${enough.length === 1 ? "" : `, though ${least}`}; the kit maker decides`;
    default:
      return `the stack is where two lengths of the handbook's table meet, ${listed(said)}; ${least}${
        enough.length === 1 && only ? `, which speaks for ${sayBoth(only.lengthMm, units)}` : ""
      }; the kit maker decides`;
  }
}

/** Length of a solid rivet by the handbook. */
export function saySolidLength(
  length: SolidLength | "too thick" | null,
  { head }: Rivet,
  form: StackForm,
  units: Units,
): string {
  if (length === null) return "no table has the length of a solid rivet of its size; ask the kit maker";
  if (length === "too thick")
    return "above 1/2 in of stack two editions of one table disagree on its length; ask the kit maker";
  const flush = head === "flush" ? ", over all, its head included" : "";
  const dimpled =
    form === "dimpled" ? "; that is for flat layers: dimples take more, and no table says how much" : "";
  return `by the handbook ${sayBoth(length.dashUpMm, units)} long${flush} (stack and 1 1/2 diameters make ${sayBoth(length.computedMm, units)}, then the next 1/16 in up)${dimpled}`;
}

/** The shop head to drive. */
export function sayShopHead(head: ShopHead, units: Units): string {
  return `shop head ${sayBoth(head.nominalWidthMm, units)} wide and ${sayBoth(head.nominalHeightMm, units)} high, at the least ${sayBoth(head.leastWidthMm, units)} and ${sayBoth(head.leastHeightMm, units)}`;
}

/** Room that a pulled rivet's tail needs behind the sheet. */
export function sayTail(lengthMm: number, units: Units): string {
  return `behind the sheet its tail needs ${sayBoth(lengthMm, units)}`;
}
