import { type LayerWork, layerWork, type Under } from "../fastener/layer-work.js";
import { finder } from "../kit/find.js";
import type { Hole, Kit, Treatment } from "../kit/types.js";
import { closedParts } from "../kit/work.js";
import type { AttributeRuling, HoleRuling, Truth } from "../ruling/types.js";
import { isSet, stackOf } from "./standing.js";
import type { PrepGateState, Standing } from "./types.js";

interface TreatmentGate {
  readonly gate: "enlarge" | "dimple" | "countersink";
  /** Whether the ruling of a hole calls for it in one layer of its stack, head side first. */
  readonly needed: (ruling: HoleRuling, hole: Hole, layer: number) => Truth;
}

/** Gates that a treatment puts on parts of a hole's stack, in the order in which they are done. */
const TREATMENT_GATES: readonly TreatmentGate[] = [
  { gate: "enlarge", needed: needsEnlarging },
  { gate: "dimple", needed: needsDimpling },
  { gate: "countersink", needed: needsCountersinking },
];

/** Diameters closer than this are the same drill. */
const SAME_DIAMETER_MM = 0.005;

/**
 * What has to be done to a part before it comes on: the gates that the kit lists, and a gate for
 * enlarging, dimpling or countersinking where a ruling puts that on an unset hole through the part. A gate that both call
 * for is there once, as the kit's. In the order of the kit's gates.
 * @throws UNKNOWN_ID for a part that the assembly doesn't have
 */
export function prepGates({ kit, assembly, work, rulings }: Standing, part: string): PrepGateState[] {
  const find = finder(assembly);
  const listed = find.part(part).prep;
  const done = work.prep.get(part);
  const unset = find.holesThrough(part).filter((hole) => !isSet(work, hole));
  const called = TREATMENT_GATES.flatMap((treatment): PrepGateState[] => {
    const { gate } = treatment;
    const verdicts = unset.map((hole) => ({
      hole: hole.id,
      verdict: neededIn(part, treatment, rulings.of(hole.id), hole),
    }));
    const certain = verdicts.filter(({ verdict }) => verdict === "true");
    const open = certain.length > 0 ? certain : verdicts.filter(({ verdict }) => verdict === "unknown");
    if (open.length === 0) return [];
    return [
      {
        part,
        gate,
        from: "ruling",
        needed: certain.length > 0 ? "true" : "unknown",
        holes: open.map(({ hole }) => hole),
        done: done?.has(gate) ?? false,
      },
    ];
  });
  const fromKit = listed.map((gate): PrepGateState => {
    const holes = called.find((state) => state.gate === gate && state.needed === "true")?.holes ?? [];
    return { part, gate, from: "kit", needed: "true", holes, done: done?.has(gate) ?? false };
  });
  const order = [...kit.prepGates.map(({ id }) => id), ...TREATMENT_GATES.map(({ gate }) => gate)];
  return [...fromKit, ...called.filter(({ gate }) => !listed.includes(gate))].sort(
    (a, b) => order.indexOf(a.gate) - order.indexOf(b.gate),
  );
}

/** The strongest of what a ruling says of the layers of a part: one may lie in a stack twice, as a folded sheet does. */
function neededIn(part: string, { needed }: TreatmentGate, ruling: HoleRuling, hole: Hole): Truth {
  const found = hole.layers.flatMap((layer, i) => (layer.part === part ? [needed(ruling, hole, i)] : []));
  return found.includes("true") ? "true" : found.includes("unknown") ? "unknown" : "false";
}

/**
 * Unset holes through a part of which it is not known whether they call for a gate; none for a gate that no treatment
 * calls for. They may be there beside holes that do call for it, and once it is marked as done.
 * @returns ids in the assembly's order
 */
export function undecidedAt(
  { assembly, work, rulings }: Pick<Standing, "assembly" | "work" | "rulings">,
  part: string,
  gate: string,
): readonly string[] {
  const own = TREATMENT_GATES.find((one) => one.gate === gate);
  if (!own) return [];
  return finder(assembly)
    .holesThrough(part)
    .filter((hole) => !isSet(work, hole) && isUndecided(part, own, rulings.of(hole.id), hole))
    .map(({ id }) => id);
}

/**
 * A countersink that is not settled puts no gate on its part, and is undecided all the same: in the layer at the head, and
 * in those under it where rules speak of them.
 */
function isUndecided(part: string, own: TreatmentGate, ruling: HoleRuling, hole: Hole): boolean {
  const needed = neededIn(part, own, ruling, hole);
  if (own.gate !== "countersink" || needed !== "false") return needed === "unknown";
  const { treatment, under } = ruling.attributes;
  if (hole.layers[0]?.part !== part && (under === undefined || under.status === "unclaimed")) return false;
  if (treatment?.status !== "settled") return true;
  return treatment.value !== "countersink" && treatment.unsettled.length > 0;
}

/** How a gate stands on one part. */
export interface GateOnPart {
  readonly part: string;
  readonly gate: string;
  /** `open`: called for and not marked as done; `perhaps`: that it is called for hangs on what is not settled. */
  readonly status: "done" | "open" | "perhaps" | "not called for";
  /** Whether a rivet through the part is set. */
  readonly closed: boolean;
  /** Unset holes whose rulings call for it; none for a gate that the kit alone lists. */
  readonly holes: readonly string[];
  /** Unset holes of which it is not known whether they call for it. */
  readonly undecided: readonly string[];
}

/** How a gate stands on these parts, in the order given. */
export function gateOn(standing: Standing, parts: readonly string[], gate: string): readonly GateOnPart[] {
  const closed = closedParts(standing.assembly, standing.work);
  return parts.map((part) => {
    const state = prepGates(standing, part).find((one) => one.gate === gate);
    const isDone = standing.work.prep.get(part)?.has(gate) ?? false;
    const undecided = undecidedAt(standing, part, gate);
    const isOpen = state?.needed === "true" ? "open" : "perhaps";
    const isAsked = state !== undefined || undecided.length > 0;
    return {
      part,
      gate,
      status: isDone ? "done" : isAsked ? isOpen : "not called for",
      closed: closed.has(part),
      holes: state?.needed === "true" ? state.holes : [],
      undecided,
    };
  });
}

/** A gate that a hole's treatment may put on a part of its stack. */
export interface CalledGate {
  readonly gate: string;
  readonly part: string;
  /** Whether the ruling calls for it. */
  readonly needed: Truth;
}

/** Every gate that a treatment may put on parts, with what the ruling of one hole says of it. */
export function gatesCalledAt(hole: Hole, ruling: HoleRuling): readonly CalledGate[] {
  return TREATMENT_GATES.flatMap((treatment) =>
    stackOf(hole).map((part) => ({
      gate: treatment.gate,
      part,
      needed: neededIn(part, treatment, ruling, hole),
    })),
  );
}

/**
 * Whether the kit forms a hole before it brings it to its final size, by the order of its gates. Null where it does not
 * name both: the place of a gate that it leaves out is ours, and says nothing about the hole.
 */
export function formsFirst(
  { prepGates }: Pick<Kit, "prepGates">,
  act: "dimple" | "countersink",
): boolean | null {
  const [enlarge, form] = ["enlarge", act].map((id) =>
    prepGates.findIndex((gate) => gate.id === id && !gate.assumed),
  );
  if (enlarge === undefined || form === undefined || enlarge < 0 || form < 0) return null;
  return form < enlarge;
}

const open = new WeakMap<Standing, Map<string, readonly PrepGateState[]>>();

/** Gates of a part that are not marked as done; worked out once for each state of the work. */
export function openGates(standing: Standing, part: string): readonly PrepGateState[] {
  const byPart = open.get(standing) ?? new Map<string, readonly PrepGateState[]>();
  open.set(standing, byPart);
  const known = byPart.get(part);
  if (known) return known;
  const gates = prepGates(standing, part).filter(({ done }) => !done);
  byPart.set(part, gates);
  return gates;
}

/**
 * Whether the finished hole is larger than the punched one. A "no" that may yet change with something that
 * is in conflict is unknown.
 */
export function needsEnlarging({ attributes }: HoleRuling, { punchedMm }: Pick<Hole, "punchedMm">): Truth {
  const finished = attributes.finalDiameterMm;
  const treatment = attributes.treatment;
  if (treatment?.status === "settled" && treatment.value === "enlarge") return "true";
  if (finished?.status !== "settled" || typeof finished.value !== "number") return "unknown";
  return isLarger(finished.value, punchedMm) ? "true" : noUnlessOpen(finished);
}

export function isLarger(finalDiameterMm: number, punchedMm: number): boolean {
  return finalDiameterMm > punchedMm + SAME_DIAMETER_MM;
}

/** Whether a layer is dimpled; as above for a "no" that may yet change. */
export function needsDimpling(ruling: HoleRuling, hole: Pick<Hole, "layers">, layer: number): Truth {
  const { treatment, under } = ruling.attributes;
  if (treatment?.status !== "settled") return "unknown";
  if (treatment.value !== "dimple") return noUnlessOpen(treatment);
  if (layer > 0 && isOpen(under)) return "unknown";
  if (workAt(hole, ruling)[layer]?.act === "dimple") return "true";
  return under ? noUnlessOpen(under) : "false";
}

/**
 * Whether a layer is countersunk. The layer at the head of a hole whose treatment is not settled has no gate: a
 * countersink there can still be cut with the parts together, and the hole itself is not set before it is settled.
 */
function needsCountersinking(ruling: HoleRuling, hole: Hole, layer: number): Truth {
  const { treatment, under } = ruling.attributes;
  if (treatment?.status !== "settled") return "false";
  if (treatment.value === "dimple" && layer > 0 && isOpen(under)) return "unknown";
  return workAt(hole, ruling)[layer]?.act === "countersink" ? "true" : "false";
}

/** How each layer is formed, head side first, as far as that is settled; none where the treatment is not. */
export function workAt(hole: Pick<Hole, "layers">, { attributes }: HoleRuling): readonly LayerWork[] {
  const { treatment, under } = attributes;
  if (treatment?.status !== "settled") return [];
  const ruled = under?.status === "settled" ? (under.value as Under) : null;
  return layerWork(hole.layers, treatment.value as Treatment, ruled);
}

/** Rules speak of it, and do not settle it. */
function isOpen(ruling: AttributeRuling | undefined): boolean {
  return ruling?.status === "undecided" || ruling?.status === "conflict";
}

function noUnlessOpen({ unsettled }: AttributeRuling): Truth {
  return unsettled.length > 0 ? "unknown" : "false";
}
