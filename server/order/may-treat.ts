import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import type { AttributeRuling, HoleRuling } from "../ruling/types.js";
import { holdOf } from "./holds.js";
import { lookFrom } from "./look.js";
import { misfitsOf } from "./misfit.js";
import { formsFirst, isLarger, needsEnlarging, prepGates, workAt } from "./prep.js";
import { limitsBroken } from "./settled.js";
import { isSet, stackOf, stackStates } from "./standing.js";
import type { May, Reason, Standing, TreatingAct } from "./types.js";
import { may } from "./verdict.js";

/**
 * Whether a hole may be dimpled, countersunk or enlarged now: what was settled for it, its limits, and for a
 * dimple whether its layers still come apart.
 * @throws UNKNOWN_ID
 */
export function mayTreat(standing: Standing, holeId: string, act: TreatingAct): May {
  const { assembly, work, rulings } = standing;
  const hole = finder(assembly).hole(holeId);
  if (isSet(work, hole))
    return may(act, null, [holeId], [{ weight: "no", code: "already-set", hole: holeId }]);
  const ruling = rulings.of(holeId);
  return may(
    act,
    null,
    [holeId],
    [
      ...(act === "enlarge" ? asRuledDiameter(hole, ruling) : asRuledTreatment(hole, ruling, act)),
      ...limitsBroken(holeId, ruling),
      ...misfits(standing, hole),
      ...layersApart(standing, hole, ruling, act),
      ...gatesBefore(standing, hole, ruling, act),
      ...heldForLater(standing, hole, ruling, act),
    ],
  );
}

/** A rivet that won't go in speaks against working the hole for it; another length of it needs the same hole. */
function misfits(standing: Standing, hole: Hole): Reason[] {
  return misfitsOf(standing, hole).map((misfit): Reason => {
    const isLength = misfit.what === "too thick" || misfit.what === "too thin";
    return { weight: isLength ? "note" : "no", code: "misfit", hole: hole.id, misfit };
  });
}

/**
 * A hole that is only enlarged is drilled with its parts together; while it is held open for lining up, the data
 * don't tell whether that comes before or after. Enlarging before a dimple is done with the layers apart.
 */
function heldForLater(
  { rulings, work }: Standing,
  hole: Hole,
  { attributes }: HoleRuling,
  act: TreatingAct,
): Reason[] {
  if (act !== "enlarge" || attributes.treatment?.value !== "enlarge") return [];
  const hold = holdOf(rulings, work, hole.id);
  return hold ? [{ weight: hold.status === "conflict" ? "conflict" : "undecided", code: "held", hold }] : [];
}

function asRuledTreatment(hole: Hole, ruling: HoleRuling, act: TreatingAct): Reason[] {
  const { treatment, under } = ruling.attributes;
  if (treatment?.status !== "settled") return [notSettled(hole, "treatment", treatment)];
  const open = mayChange(hole, ruling, treatment);
  // Which layers are dimpled, and whether one is countersunk, hangs on it.
  if (treatment.value === "dimple" && (under?.status === "undecided" || under?.status === "conflict"))
    return [...open, notSettled(hole, "under", under)];
  const isUnder = act === "countersink" && under !== undefined && sinksUnder(hole, ruling);
  const { value, ruleIds } = isUnder ? under : treatment;
  const attribute = isUnder ? "under" : "treatment";
  const ruled = { hole: hole.id, attribute, ruled: String(value), ruleIds };
  return [
    ...open,
    value === act
      ? { weight: "note", code: "as-ruled", ...ruled }
      : { weight: "no", code: "ruled-otherwise", ...ruled },
  ];
}

/** Whether a layer under the one at the head is countersunk for the dimples above it. */
function sinksUnder(hole: Hole, ruling: HoleRuling): boolean {
  return workAt(hole, ruling).some(({ act, isTop }) => act === "countersink" && !isTop);
}

function asRuledDiameter(hole: Hole, ruling: HoleRuling): Reason[] {
  const finished = ruling.attributes.finalDiameterMm;
  if (finished?.status !== "settled" || typeof finished.value !== "number") {
    return [notSettled(hole, "finalDiameterMm", finished)];
  }
  const finalDiameterMm = finished.value;
  const open = mayChange(hole, ruling, finished);
  if (!isLarger(finalDiameterMm, hole.punchedMm)) {
    const { punchedMm } = hole;
    return [...open, { weight: "no", code: "nothing-to-enlarge", hole: hole.id, punchedMm, finalDiameterMm }];
  }
  const ruled = {
    hole: hole.id,
    attribute: "finalDiameterMm",
    ruled: finalDiameterMm,
    ruleIds: finished.ruleIds,
  };
  return [...open, { weight: "note", code: "as-ruled", ...ruled }];
}

/** Attributes in conflict that the settled one may yet change with. */
function mayChange(hole: Hole, ruling: HoleRuling, { unsettled }: AttributeRuling): Reason[] {
  return unsettled.map((attribute) => notSettled(hole, attribute, ruling.attributes[attribute]));
}

function notSettled(hole: Hole, attribute: string, ruling: AttributeRuling | undefined): Reason {
  const { status = "unclaimed", ruleIds = [], missing = [] } = ruling ?? {};
  return {
    weight: status === "conflict" ? "conflict" : "undecided",
    code: "not-settled",
    hole: hole.id,
    attribute,
    status: status === "settled" ? "unclaimed" : status,
    ruleIds,
    missing,
  };
}

/**
 * A dimple is pressed into each layer by itself, a layer under dimples is countersunk before they lie on it, and an
 * enlarged hole is deburred on both faces of each, so the layers have to come apart. Two parts that are both closed no
 * longer do. Common practice, no source.
 */
function layersApart(standing: Standing, hole: Hole, ruling: HoleRuling, act: TreatingAct): Reason[] {
  if (act === "countersink" && !sinksUnder(hole, ruling)) return [];
  const stack = stackStates(hole, lookFrom(standing).states);
  const closed = stack.filter(({ state }) => state === "closed").map(({ part }) => part);
  if (closed.length > 1) {
    return [
      { weight: act === "enlarge" ? "note" : "no", code: "layers-together", hole: hole.id, parts: closed },
    ];
  }
  const pinned = stack.filter(({ state }) => state === "pinned").map(({ part }) => part);
  if (pinned.length === 0) return [];
  return [{ weight: "note", code: "part-the-layers", hole: hole.id, parts: pinned }];
}

/** What the marks say of the treatment's gate, and what comes before it by the kit's order of work. */
function gatesBefore(standing: Standing, hole: Hole, ruling: HoleRuling, act: TreatingAct): Reason[] {
  const gates = stackOf(hole).flatMap((part) => prepGates(standing, part));
  const done = gates
    .filter((gate) => gate.gate === act && gate.done)
    .map(({ part, gate }): Reason => ({ weight: "note", code: "gate-done", hole: hole.id, part, gate }));
  const finished = ruling.attributes.finalDiameterMm?.value;
  if (needsEnlarging(ruling, hole) !== "true" || typeof finished !== "number") return done;
  const forms = new Set(workAt(hole, ruling).flatMap(({ act: form }) => form ?? []));
  const isDone = (gate: string): boolean =>
    gates.filter((one) => one.gate === gate && one.holes.includes(hole.id)).every((one) => one.done);
  if (act === "enlarge") {
    const before = [...forms].filter((form) => formsFirst(standing.kit, form) !== false && !isDone(form));
    return [
      ...done,
      ...before.map(
        (form): Reason =>
          formsFirst(standing.kit, form)
            ? { weight: "no", code: "form-first", hole: hole.id, form }
            : { weight: "undecided", code: "order-not-named", hole: hole.id, form },
      ),
    ];
  }
  // Of a hole that is ruled otherwise there is nothing to be done first.
  if (!forms.has(act) || isDone("enlarge")) return done;
  const isFormedFirst = formsFirst(standing.kit, act);
  if (isFormedFirst) return done;
  return [
    ...done,
    isFormedFirst === null
      ? { weight: "undecided", code: "order-not-named", hole: hole.id, form: act }
      : { weight: "no", code: "enlarge-first", hole: hole.id, finalDiameterMm: finished },
  ];
}
