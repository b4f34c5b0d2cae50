import type { Slots } from "../server/ask/types.js";

export const PANES = ["answer", "map", "parts", "plan", "rules"] as const;
/** What fills a small screen; on a wide one the answer is always beside the map, the parts or the plan. */
export type Pane = (typeof PANES)[number];

/** What is being looked at: all that a colleague needs to see the same. */
export interface Sight {
  readonly kit: string | null;
  readonly assembly: string | null;
  /** View of the hole map. */
  readonly view: string | null;
  readonly pane: Pane;
  /** The question as it was typed or tapped. */
  readonly ask: string | null;
  /** What was read of it; a reading is asked again as such, so it cannot be read differently later. */
  readonly form: string | null;
  readonly slots: Slots;
  /** Shop rule that questions are answered with as if it were in force. */
  readonly trying: string | null;
  /** Shop rule that is open in the room of the rules. */
  readonly rule: string | null;
}

export const NOTHING_YET: Sight = {
  kit: null,
  assembly: null,
  view: null,
  pane: "answer",
  ask: null,
  form: null,
  slots: {},
  trying: null,
  rule: null,
};

/** The part of the address behind `#` for a sight, without the `#`. */
export function writeSight(sight: Sight): string {
  const written = new URLSearchParams();
  if (sight.kit) written.set("kit", sight.kit);
  if (sight.assembly) written.set("assembly", sight.assembly);
  if (sight.view) written.set("view", sight.view);
  if (sight.pane !== "answer") written.set("pane", sight.pane);
  if (sight.ask) written.set("ask", sight.ask);
  if (sight.form) {
    written.set("form", sight.form);
    for (const [slot, value] of Object.entries(sight.slots)) {
      if (typeof value === "string") written.set(`slot.${slot}`, value);
      else for (const one of value ?? []) written.append(`list.${slot}`, one);
    }
  }
  if (sight.trying) written.set("trying", sight.trying);
  if (sight.rule) written.set("rule", sight.rule);
  return written.toString();
}

/** Reads what `writeSight` wrote; anything else in the address is passed over. */
export function readSight(hash: string): Sight {
  const read = new URLSearchParams(hash.replace(/^#/, ""));
  const slots: Record<string, string | string[]> = {};
  for (const [name, value] of read) {
    if (name.startsWith("slot.")) slots[name.slice(5)] = value;
    else if (name.startsWith("list.")) slots[name.slice(5)] = read.getAll(name);
  }
  const form = read.get("form");
  return {
    kit: read.get("kit"),
    assembly: read.get("assembly"),
    view: read.get("view"),
    pane: PANES.find((pane) => pane === read.get("pane")) ?? "answer",
    ask: read.get("ask"),
    form,
    slots: form ? slots : {},
    trying: read.get("trying"),
    rule: read.get("rule"),
  };
}
