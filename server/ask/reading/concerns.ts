import type { Asked } from "./clipped.js";
import { onwardOf } from "./follow-up.js";
import type { Item } from "./items.js";
import { leftOver } from "./left-over.js";
import { forgotten, mishapChoices } from "./mishaps.js";
import { prepOrder } from "./prep-order.js";
import type { Outcome } from "./read.js";
import type { Standing } from "./whole.js";

/** What a text is about, whatever else its words could be read as; only ever asked back. */
export interface Concern {
  readonly choices: readonly Asked[];
  /** All that is said is understood, and only what is wanted is asked. */
  readonly understood: boolean;
  /** Whether another choice would answer beside it. */
  readonly drops: (choice: Asked) => boolean;
}

/** The concern of a text; null where it is what was read, or is decided elsewhere, or names what is not there. */
export function concernOf(items: readonly Item[], outcome: Outcome, standing: Standing): Concern | null {
  const { names } = standing.setting;
  const asked = outcome.kind === "read" ? outcome.asked : null;
  const code = outcome.kind === "doubt" ? outcome.doubt.code : null;
  if (code !== null && code !== "two-things" && !OPEN.has(code)) return null;
  const may = asked ?? (outcome.kind === "doubt" ? outcome.choices[0] : null);
  const mishap =
    may?.form === "may-i" && (!asked || forgotten(items).length > 0) ? mishapChoices(items, may, names) : [];
  if (code === "two-things" || asked?.form === "may-i")
    return may && mishap.length > 0 ? besides(mishap, may) : null;
  const order = asked && TELLS_ORDER.has(asked.form) ? null : prepOrder(items, names);
  if (order && (!asked || order.acts.every((act) => act !== "drill" && act !== "set")))
    return { choices: order.choices, understood: true, drops: isOther };
  if (may && mishap.length > 0) return besides(mishap, may);
  const left = leftOver(items, names, asked);
  if (left && left.length > 0) return { choices: left, understood: true, drops: () => true };
  const onward =
    outcome.kind === "doubt" && standing.before
      ? onwardOf(items, standing.before, standing.setting, false)
      : null;
  return onward && { choices: [onward], understood: false, drops: () => false };
}

/** What helps with a mishap, before the question that it was told beside. */
function besides(mishap: readonly Asked[], may: Asked): Concern {
  return { choices: [...mishap, may], understood: false, drops: isTools };
}

/** Doubts that come from what was not read. */
const OPEN: ReadonlySet<string> = new Set(["unread", "nearly", "nothing-before", "missing", "two-readings"]);

/** Forms whose answer has the order in it, or that ask nothing of it. */
const TELLS_ORDER: ReadonlySet<string> = new Set(["plan", "notes", "before-closing", "tell"]);

/** What is said of one prep alone does not tell the order; "what do I deburr and prime before the top skin" asks for more. */
function isOther({ form }: Asked): boolean {
  return form !== "before-closing";
}

function isTools({ form }: Asked): boolean {
  return form === "tools" || form === "fastener";
}
