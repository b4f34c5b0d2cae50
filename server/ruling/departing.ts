import type { RuleInFile } from "./schema.js";
import type { Departing } from "./types.js";

/** A rule's departure as it is written; a blank reference is none. */
export function departing({ departure }: Pick<RuleInFile, "departure">): Departing | null {
  if (!departure) return null;
  const { from, reference = "" } = departure;
  return { from, reference: reference.trim() === "" ? null : reference };
}
