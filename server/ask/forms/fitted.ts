import { type FlushWay, flushWay } from "../../fastener/flush-tool.js";
import type { LayerWork } from "../../fastener/layer-work.js";
import { type Rivet, TREATMENTS, type Treatment } from "../../kit/types.js";
import { readLength, type WrittenLength } from "../../kit/units.js";
import { workAt } from "../../order/prep.js";
import { Problem } from "../../problem.js";
import type { Job, Slots } from "../types.js";
import { isOpen } from "./open.js";
import { type Ruled, settledNumber, settledText } from "./ruled.js";
import { invalid, textSlot } from "./slots.js";

/** A hole whose rivet, treatment and final size are all settled. */
export interface Fitted {
  readonly ruled: Ruled;
  readonly rivet: Rivet;
  readonly treatment: Treatment;
  /** How each layer is formed, head side first. */
  readonly layers: readonly LayerWork[];
  readonly finalMm: number;
}

/** The rivet that the rules settle on for a hole, from the kit's list; null when they don't, or the kit lacks it. */
export function ruledRivet(job: Job, { of }: Ruled): Rivet | null {
  const code = settledText(of("rivet"));
  return code === null ? null : (job.kit.rivets.find((rivet) => rivet.code === code) ?? null);
}

/** Null when something of it is not settled. */
export function fittedAt(job: Job, ruled: Ruled): Fitted | null {
  const rivet = ruledRivet(job, ruled);
  const treatment = TREATMENTS.find((name) => name === settledText(ruled.of("treatment")));
  const finalMm = settledNumber(ruled.of("finalDiameterMm"));
  if (!rivet || !treatment || finalMm === null || isOpen(job, "under", ruled.of("under").status)) return null;
  const layers = workAt(ruled.hole, job.rulings.of(ruled.hole.id));
  return { ruled, rivet, treatment, layers, finalMm };
}

/**
 * The handbook's way for a flush head's stack that no rule says how to form: by the ruled rivet, or by the kit's flush
 * ones while none is settled.
 * @returns null where rules speak of the treatment, the head is not ruled flush, the handbook has no way either, or it
 *          has another one for another of these rivets
 */
export function handbookWayAt(job: Job, ruled: Ruled): FlushWay | null {
  if (ruled.of("treatment").status !== "unclaimed" || settledText(ruled.of("head")) !== "flush") return null;
  const own = ruledRivet(job, ruled);
  const rivets = (own ? [own] : job.kit.rivets).filter(({ head }) => head === "flush");
  const ways = rivets.map(({ diameterMm }) => flushWay(diameterMm, ruled.hole.layers));
  const [way = null] = ways;
  const [acts, ...others] = ways.map((one) => JSON.stringify(one?.layers));
  return others.every((other) => other === acts) ? way : null;
}

/** Whether the slots name a place. */
export function namesPlace({ hole, holes, row, part, family, step }: Slots): boolean {
  return (hole ?? holes ?? row ?? part ?? family ?? step) !== undefined;
}

/** A size of a slot in mm. @throws SLOT_INVALID */
export function sizeSlot(slots: Slots, name: string): WrittenLength | undefined {
  const text = textSlot(slots, name);
  if (text === undefined) return undefined;
  const written = readLength(text);
  if (written !== null && written.mm > 0 && (name !== "size" || written.drill === null)) return written;
  throw invalid(
    name,
    text,
    name === "size" ? ["3.2 mm", "1/8 in"] : ["3.2 mm", "1/8 in", "No. 30", "letter F"],
  );
}

/** The kit's rivet that a slot names by its code. @throws UNKNOWN_ID */
export function rivetSlot(job: Job, slots: Slots): Rivet | undefined {
  const code = textSlot(slots, "rivet");
  if (code === undefined) return undefined;
  const found = job.kit.rivets.find((rivet) => rivet.code === code);
  if (found) return found;
  throw new Problem("UNKNOWN_ID", `${job.kit.name} has no rivet "${code}".`, {
    where: { pointer: "/slots/rivet" },
    fix: `Use ${job.kit.rivets.map((rivet) => rivet.code).join(", ")}.`,
  });
}
