import type { Slots, Verdict } from "../types.js";
import { chosenSlot } from "./slots.js";

/**
 * How a question of yes or no is put: "for", as the form puts it ("does it clear?"); "against", where yes means that it
 * will not do ("does it foul?"); "open", where neither yes nor no would be plain ("is it too long?"); "must", where it
 * is asked whether it has to be: that something may be done does not say that it must, so there is neither yes nor no.
 */
export type Sense = "for" | "against" | "open" | "must";

/** @throws SLOT_INVALID */
export function senseSlot(slots: Slots): Sense {
  return chosenSlot(slots, "sense", ["against", "open", "must"]) ?? "for";
}

/**
 * The verdict that answers a question as it was put; what is undecided or in conflict stays so.
 * @param verdict  the answer to the question as the form puts it
 * @param isFault  whether its no is for certain what a question against it asks for: what does not clear may yet not
 *                 touch. Where it is not, there is neither yes nor no.
 */
export function verdictAsPut(
  verdict: Verdict | undefined,
  sense: Sense,
  isFault: boolean,
): Verdict | undefined {
  if (sense === "for" || (verdict !== "yes" && verdict !== "no")) return verdict;
  if (sense === "open" || sense === "must") return undefined;
  if (verdict === "yes") return "no";
  return isFault ? "yes" : undefined;
}
