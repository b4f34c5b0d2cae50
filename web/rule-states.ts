import { h } from "./dom.js";
import type { ShopRule } from "./wire.js";

const STATES: Readonly<Record<ShopRule["status"], readonly [sign: string, words: string]>> = {
  draft: ["○", "draft"],
  proposed: ["◐", "waits for a mentor"],
  returned: ["←", "sent back"],
  "in force": ["●", "in force"],
  retired: ["×", "retired"],
};

/** Where a rule stands, by a sign and in words. */
export function stateMark({ status, inForce }: ShopRule): HTMLElement {
  const [sign, words] = STATES[status];
  const besides =
    inForce !== null && status !== "in force" ? `; revision ${inForce} is in force meanwhile` : "";
  return h(
    "span",
    { class: "rule-state" },
    h("span", { "aria-hidden": "true" }, `${sign} `),
    `${words}${besides}`,
  );
}

const STEPS: Readonly<Record<string, string>> = {
  propose: "proposed",
  withdraw: "taken back",
  accept: "accepted",
  return: "sent back",
  retire: "retired",
};

/** "accepted" for "accept". */
export function sayStep(step: string): string {
  return STEPS[step] ?? step;
}

/** "2031-05-03 14:20" in this device's time. */
export function sayWhen(at: string): string {
  const when = new Date(at);
  return Number.isNaN(when.getTime()) ? at : when.toLocaleString("sv-SE").slice(0, 16);
}

/** The parts of a rule that a comment can be about. */
export const COMMENTED: readonly (readonly [pointer: string, words: string])[] = [
  ["/title", "Title"],
  ["/conditions", "Where it holds"],
  ["/event", "What it says"],
  ["/why", "Why"],
  ["/basis", "Basis"],
  ["/overrides", "Rules it goes before"],
  ["/departure", "Departure"],
  ["/examples", "Examples"],
];

/** What a comment is about, in words. */
export function sayPlace(at: string | null): string {
  const place = COMMENTED.find(([pointer]) => at === pointer || at?.startsWith(`${pointer}/`));
  return place?.[1] ?? (at ? at : "The rule as a whole");
}
