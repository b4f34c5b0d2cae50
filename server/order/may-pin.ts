import { finder } from "../kit/find.js";
import { holdOf } from "./holds.js";
import { lookFrom } from "./look.js";
import { prepReason, walledIn } from "./may-set.js";
import { openGates } from "./prep.js";
import { isSet, stackStates } from "./standing.js";
import type { May, Reason, Standing } from "./types.js";
import { may } from "./verdict.js";

/**
 * Whether a temporary fastener may go into a hole. It comes out again, so it closes nothing: a held hole may
 * be pinned, and so may parts that are not prepared yet, for fitting and drilling. Both are noted.
 * @throws UNKNOWN_ID
 */
export function mayPin(standing: Standing, holeId: string): May {
  const { assembly, work, rulings } = standing;
  const hole = finder(assembly).hole(holeId);
  if (isSet(work, hole))
    return may("pin", null, [holeId], [{ weight: "no", code: "already-set", hole: holeId }]);
  const hold = holdOf(rulings, work, holeId);
  const held: Reason[] = hold ? [{ weight: "note", code: "held", hold }] : [];
  const prep = stackStates(hole, lookFrom(standing).states).flatMap(({ part, state }): Reason[] =>
    state === "closed" ? [] : openGates(standing, part).map((gate) => prepReason(gate, state, "note")),
  );
  return may("pin", null, [holeId], [...walledIn(standing, hole), ...held, ...prep]);
}
