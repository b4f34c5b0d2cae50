import type { Chamfer } from "../../fastener/deburr.js";
import type { FinalDrill } from "../../fastener/drill.js";
import { type HeadAngle, layerChoice, outsideLimits } from "../../fastener/flush-tool.js";
import type { Drill, HoleFit } from "../../fastener/hole.js";
import type { LayerWork } from "../../fastener/layer-work.js";
import type { Mouth } from "../../fastener/mouth.js";
import type { TemporaryFastener } from "../../fastener/temporary.js";
import type { Rivet } from "../../kit/types.js";
import type { Units } from "../../kit/units.js";
import type { Job } from "../types.js";
import { listed } from "./grammar.js";
import { sayGrowth, saySize } from "./measures.js";
import { namesOf } from "./names.js";
import { sayBoth, sayDrill, sayLimits } from "./sizes.js";
import { sayOutside, sayUnder } from "./step-sheet.js";

/** "drill 3.3 → 4.1 mm with the 4.1 mm drill (0.161 in); …". */
export function sayFinalDrill(
  { rivet, punchedMm, finalMm }: { rivet: Rivet; punchedMm: number; finalMm: number },
  found: FinalDrill | null,
  fit: HoleFit,
  units: Units,
): string {
  const limits = `the limits of ${rivet.code}, ${sayLimits(rivet.hole, units)}`;
  const growth = sayGrowth(punchedMm, finalMm, units);
  // A size that no drill may be taken for is said without a drill's name.
  if (found === null)
    return `final drill ${saySize(punchedMm, units)} → ${saySize(finalMm, units)}: no standard drill lies within ${limits}; ask the kit maker`;
  if (fit !== "fits")
    return `final size ${sayBoth(finalMm, units)} is outside ${limits}: ask the kit maker before you drill`;
  const others = found.others.slice(0, 3).map(sayDrill);
  const also = others.length > 0 ? `; within them also ${listed(others, "or")}` : "";
  return `final drill ${growth}: ${sayDrill(found.drill)}, within ${limits}${also}`;
}

/** How deep the edge of a drilled hole may be broken. */
export function sayChamfer({ mostMm }: Chamfer, units: Units): string {
  return `deburr it no deeper than ${sayBoth(mostMm, units)}, a tenth of the thinnest layer`;
}

/** That nothing is drilled, or that the punched hole does not suit the rivet. */
export function sayNoDrill(rivet: Rivet, punchedMm: number, fit: HoleFit, units: Units): string {
  const limits = `the limits of ${rivet.code}, ${sayLimits(rivet.hole, units)}`;
  return fit === "fits"
    ? `no drill: punched ${sayBoth(punchedMm, units)}, which is within ${limits}`
    : `punched ${sayBoth(punchedMm, units)} and not enlarged, yet that is ${fit === "oversize" ? "above" : "below"} ${limits}: ask the kit maker`;
}

/** The hole as it is before it is enlarged. */
export function sayPilot(punchedMm: number, drill: Drill | null, grows: boolean, units: Units): string {
  const size = drill ? sayDrill(drill) : sayBoth(punchedMm, units);
  return grows
    ? `pilot: the hole as punched, ${size}`
    : `no pilot: the hole is punched at its finished size, ${sayBoth(punchedMm, units)}`;
}

/** Dies for dimpling, with the layers that are not thin enough by the tables. */
export function sayDies(
  rivet: Rivet,
  layers: readonly LayerWork[],
  angle: HeadAngle | null,
  job: Pick<Job, "kit" | "assembly">,
): string {
  const dimpled = layers.filter(({ act }) => act === "dimple");
  const count = dimpled.length;
  const sunk = sunkUnder(layers);
  return [
    `dimple dies for a ${sayBoth(rivet.diameterMm, job.kit.units)} rivet${sayAngle(angle)}`,
    sunk ? sayUnder("dimple", sunk, job) : "",
    count === layers.length && count > 1
      ? `${count === 2 ? "both layers" : `all ${count} layers`} alike`
      : namesOf(job).parts(dimpled.map(({ part }) => part)),
    sayOutside(outsideLimits(rivet.diameterMm, dimpled), job),
  ]
    .filter((text) => text !== "")
    .join("; ");
}

function sunkUnder(layers: readonly LayerWork[]): { sunk: string; dimpled: readonly string[] } | null {
  const sunk = layers.find(({ act, isTop }) => act === "countersink" && !isTop);
  const dimpled = layers.flatMap(({ act, part }) => (act === "dimple" ? [part] : []));
  return sunk ? { sunk: sunk.part, dimpled } : null;
}

/** Cutter and mouth for countersinking the layer at the head, or one under dimples. */
export function sayCutter(
  rivet: Rivet,
  layers: readonly LayerWork[],
  angle: HeadAngle | null,
  mouth: Mouth | null,
  job: Pick<Job, "kit" | "assembly">,
): string {
  const { units } = job.kit;
  const under = sunkUnder(layers);
  const wide = under
    ? sayUnder("countersink", under, job)
    : mouth
      ? `mouth ${sayLimits(mouth, units)}`
      : rivet.headDiameterMm === null
        ? "no table has its mouth, so go by the rivet's own head"
        : `no table has its mouth: the head is at most ${sayBoth(rivet.headDiameterMm, units)} wide, go by the rivet itself`;
  const cut = layers.filter(({ act }) => act === "countersink");
  const gauge = cut.map(({ part, thicknessMm, isTop }) => {
    const layer = `${isTop ? "the top layer" : namesOf(job).thePart(part)} of ${sayBoth(thicknessMm, units)}`;
    const choice = layerChoice(rivet.diameterMm, thicknessMm);
    if (choice === null)
      return `no gauge is printed for this size: whether ${layer} may be countersunk, ask the kit maker`;
    return choice.mayCountersink
      ? `${layer} is thick enough by the handbook's gauge`
      : `${layer} is thinner than the handbook's gauge: ask the kit maker first`;
  });
  return [`countersink cutter with a stop${sayAngle(angle)}`, wide, ...gauge].join("; ");
}

function sayAngle(angle: HeadAngle | null): string {
  if (angle === null) return "; no table has the head's angle, ask the kit maker";
  const open =
    angle.source.confidence === "unverified" ? " (from memory, not verified: ask the kit maker)" : "";
  return `, ${angle.degrees}°${open}`;
}

/** The temporary fastener for a hole, with what colour the sources print. */
export function sayPin(holeMm: number, pin: TemporaryFastener | null, units: Units): string {
  const hole = sayBoth(holeMm, units);
  if (pin === null) return `no table has a temporary fastener that fits a hole of ${hole} snugly`;
  const colours = [...new Set(pin.colours.map(({ colour }) => colour))];
  return `temporary fastener ${pin.size} in (${listed(colours, "or")}) for the hole of ${hole}`;
}

/**
 * The work in its order: "in this order: holes enlarged to final size, holes and edges deburred, holes dimpled, rivet".
 * @param isOpen  the kit does not name which of them comes first
 */
export function sayOrderOfWork(gates: readonly string[], isOpen: boolean): string {
  if (gates.length === 0) return "";
  return isOpen ? `before the rivet: ${listed(gates)}` : `in this order: ${gates.join(", ")}, rivet`;
}

/** Of a hole of which it is not known what goes in. */
export const NOT_SETTLED = "not settled: drill nothing yet";

/** Said where a hole is both enlarged and dimpled and the kit does not name which comes first. */
export const DIMPLE_ORDER =
  "the kit does not say whether a hole is enlarged or dimpled first: enlarging first is common practice, a wartime manual dimples at the smaller size and drills afterwards; ask the kit maker";

/** A drill or limits that a table prints for a rivet of some size. */
export function sayTableDrill(
  drills: readonly Drill[],
  limits: { minMm: number; maxMm: number } | null,
  units: Units,
): string {
  const own = (drill: Drill): boolean => drill.name.endsWith(" mm") === (units === "mm");
  const named = [...drills.filter(own), ...drills.filter((drill) => !own(drill))].slice(0, 4).map(sayDrill);
  if (limits === null) return `drill ${named.join(", ")}`;
  const range = `finished hole ${sayLimits(limits, units)}`;
  return named.length > 0
    ? `${range}; drills within it: ${listed(named, "or")}`
    : `${range}; no standard drill lies within it: ask the kit maker`;
}
