import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import type { AttributeRuling, HoleRuling, Truth } from "../ruling/types.js";
import { isSet, stackOf } from "./standing.js";
import type { PrepGateState, Standing } from "./types.js";

interface TreatmentGate {
  readonly gate: "enlarge" | "dimple" | "countersink";
  /** Layers of the stack that it falls on: all, or the one on the head side alone. */
  readonly layers: "all" | "head";
  readonly needed: (ruling: HoleRuling, hole: Hole) => Truth;
}

/**
 * Gates that a treatment puts on parts of a hole's stack, in the order in which they are done. A countersink is cut
 * into the sheet under the head; what lies deeper is told by the ruling of that row itself.
 */
const TREATMENT_GATES: readonly TreatmentGate[] = [
  { gate: "enlarge", layers: "all", needed: needsEnlarging },
  { gate: "dimple", layers: "all", needed: needsDimpling },
  { gate: "countersink", layers: "head", needed: needsCountersinking },
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
  const called = TREATMENT_GATES.flatMap(({ gate, layers, needed }): PrepGateState[] => {
    const concerned = layers === "all" ? unset : unset.filter((hole) => hole.layers[0]?.part === part);
    const verdicts = concerned.map((hole) => ({ hole: hole.id, verdict: needed(rulings.of(hole.id), hole) }));
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

/** A gate that a hole's treatment may put on parts of its stack. */
export interface CalledGate {
  readonly gate: string;
  readonly parts: readonly string[];
  /** Whether the ruling calls for it. */
  readonly needed: Truth;
}

/** Every gate that a treatment may put on parts, with what the ruling of one hole says of it. */
export function gatesCalledAt(hole: Hole, ruling: HoleRuling): readonly CalledGate[] {
  const stack = stackOf(hole);
  return TREATMENT_GATES.map(({ gate, layers, needed }) => ({
    gate,
    parts: layers === "all" ? stack : stack.slice(0, 1),
    needed: needed(ruling, hole),
  }));
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

/** Whether the hole is dimpled; as above for a "no" that may yet change. */
export function needsDimpling({ attributes }: HoleRuling): Truth {
  const treatment = attributes.treatment;
  if (treatment?.status !== "settled") return "unknown";
  return treatment.value === "dimple" ? "true" : noUnlessOpen(treatment);
}

/**
 * Whether the hole is countersunk. One whose treatment is not settled puts no gate on its part: a countersink can
 * still be cut with the parts together, and the hole itself is not set before it is settled.
 */
function needsCountersinking({ attributes: { treatment } }: HoleRuling): Truth {
  return treatment?.status === "settled" && treatment.value === "countersink" ? "true" : "false";
}

function noUnlessOpen({ unsettled }: AttributeRuling): Truth {
  return unsettled.length > 0 ? "unknown" : "false";
}
