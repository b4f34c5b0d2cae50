import type { HoleState } from "../server/kit/work.js";
import type { Leaf } from "../server/ruling/types.js";
import type { Names } from "./names.js";
import type { RulingShown } from "./wire.js";

/** "1 hole", "3 holes". */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** "1–3, 7" for whole numbers in any order. */
export function sayNumbers(numbers: readonly number[]): string {
  const sorted = [...new Set(numbers)].sort((a, b) => a - b);
  const runs: [first: number, last: number][] = [];
  for (const number of sorted) {
    const run = runs.at(-1);
    if (run && number === run[1] + 1) run[1] = number;
    else runs.push([number, number]);
  }
  return runs
    .map(([first, last]) => (first === last ? `${first}` : `${first}${last > first + 1 ? "–" : ", "}${last}`))
    .join(", ");
}

/** "dimple, final diameter 4 mm, unset, held open until the twist is checked". */
export function sayLook(ruling: RulingShown | undefined, state: HoleState, names: Names): string {
  const held = ruling?.hold ? [`held open until ${names.thing(ruling.hold.until)}`] : [];
  return [sayTreatment(ruling, names), state, ...held].join(", ");
}

/** The treatment as ruled; what is open is said, never passed over. */
function sayTreatment(ruling: RulingShown | undefined, names: Names): string {
  if (!ruling) return "not ruled on";
  const { treatment, finalDiameterMm, open } = ruling;
  const words = open.map(
    ({ attribute, status }) =>
      `${names.fact(attribute)} ${status === "conflict" ? "in conflict" : "undecided"}`,
  );
  if (treatment !== null) words.unshift(treatment);
  if (finalDiameterMm !== null) words.push(`final diameter ${names.length(finalDiameterMm)}`);
  return words.length > 0 ? words.join(", ") : "undecided";
}

/** A condition's value: "2.5", "rib, spar", "yes", or the other fact it is compared with. */
export function sayValue(value: Leaf["value"] | null, names: Names): string {
  if (value === null) return "not known";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "number") return String(value);
  if (typeof value === "string") return names.called(value);
  if ("fact" in value) return names.fact(value.fact);
  return value.length === 0 ? "none" : value.map((one) => sayValue(one, names)).join(", ");
}

export const GROUPS: Readonly<Record<"all" | "any" | "not", string>> = {
  all: "all of these",
  any: "any of these",
  not: "not this",
};

/** "trailing edge" for `trailingEdge`. */
export function spaced(name: string): string {
  return name.replace(/([a-z0-9])([A-Z])/g, "$1 $2").toLowerCase();
}

/** "Undecided" for "undecided". */
export function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
