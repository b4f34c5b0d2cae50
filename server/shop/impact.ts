import { canonicalJson } from "../canonical.js";
import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { holdOf } from "../order/holds.js";
import { gatesCalledAt } from "../order/prep.js";
import { isSet, type PartStates, partStates } from "../order/standing.js";
import type { Standing } from "../order/types.js";
import {
  type AttributeChange,
  attributeChanges,
  type RuleChange,
  ruleChanges,
} from "../ruling/differences.js";
import type { Rulebook } from "../ruling/rulebook.js";
import type { AttributeRuling, LimitClaim, OrderClaim, Rule, Rulings, Truth } from "../ruling/types.js";
import { type Departure, departuresOf } from "./departures.js";

/** Where the work on one assembly stands under one rulebook. A `Job` is one. */
export interface Ruled extends Standing {
  readonly rulebook: Rulebook;
  readonly rulings: Rulings;
}

/** What becomes of an attribute. */
export type Outcome = Pick<AttributeRuling, "status" | "value" | "ruleIds" | "missing">;

/** One attribute of one hole, before and after. */
export interface RulingChange {
  readonly hole: string;
  readonly attribute: string;
  readonly before: Outcome;
  readonly after: Outcome;
}

/** A rule that differs between the two rulebooks. */
export interface ChangedRule {
  readonly rule: string;
  readonly what: "added" | "changed" | "retired";
}

/** Work that the marks say is done, and that would be otherwise after the change. */
export type DoneWrong =
  /** Set as it was ruled. `certain`: both rulings are settled and differ; otherwise nobody can say any more. */
  | ({ readonly what: "set"; readonly certain: boolean } & RulingChange)
  /** Set, and to stay open; `until` is null where it isn't settled until when, or whether at all. */
  | { readonly what: "set though held"; readonly hole: string; readonly until: string | null }
  /** Set, and outside a limit, or perhaps outside it. */
  | {
      readonly what: "set outside a limit";
      readonly hole: string;
      readonly rule: string;
      readonly fact: string;
      readonly certain: boolean;
    }
  /** Set before a part that must be on first, or still open though the part that it must precede is on. */
  | {
      readonly what: "out of order";
      readonly hole: string;
      readonly rule: string;
      readonly relation: "before" | "after";
      readonly part: string;
      readonly certain: boolean;
    }
  /** The gate is marked as done on the part, and whether it is needed at this open hole has changed. */
  | {
      readonly what: "gate";
      readonly part: string;
      readonly gate: string;
      readonly hole: string;
      /** `true`: it is called for now and was not when the gate was marked, or to another size. */
      readonly needed: Truth;
    };

/** What a change of rules would do to the rulings of one assembly and to the work done on it. */
export interface Impact {
  readonly rules: readonly ChangedRule[];
  /** In the assembly's order within each attribute. */
  readonly changed: readonly RulingChange[];
  /** Orders, limits and cautions that hold otherwise. */
  readonly added: readonly RuleChange[];
  /** Of `changed`: what is in conflict now and was not … */
  readonly conflicts: readonly RulingChange[];
  /** … and what is no longer decided. */
  readonly undecided: readonly RulingChange[];
  readonly doneWrong: readonly DoneWrong[];
  /** Where an added or changed shop rule contradicts the manual or a notice. */
  readonly departures: readonly Departure[];
}

/**
 * What a rule that is added, changed or retired does, from the difference of two rulings alone: what did not
 * change costs nothing.
 * @param before  as things stand
 * @param after   the same work under the other rulebook, its rulings made with `ruleOn(…, before.rulings)`
 */
export function impactOf(before: Ruled, after: Ruled): Impact {
  const rules = changedRules(before.rulebook, after.rulebook);
  const changes = attributeChanges(before.rulings, after.rulings);
  const added = ruleChanges(before.rulings, after.rulings);
  const changed = changes.map(rulingChange);
  return {
    rules,
    changed,
    added,
    conflicts: changed.filter(
      ({ before: was, after: is }) => is.status === "conflict" && was.status !== "conflict",
    ),
    undecided: changed.filter(
      (change) =>
        isOpen(after.rulebook, change.attribute, change.after) &&
        !isOpen(before.rulebook, change.attribute, change.before),
    ),
    doneWrong: doneWrongIn(before, after, changes, added),
    departures: rules
      .filter(({ what }) => what !== "retired")
      .flatMap(({ rule }) => departuresOf(after.rulebook, rule, [after.rulings])),
  };
}

/** Rules that are in one of the two rulebooks alone, or not the same in both; where a rule was read from does not count. */
function changedRules(before: Rulebook, after: Rulebook): readonly ChangedRule[] {
  const ids = [...new Set([...before.byId.keys(), ...after.byId.keys()])].sort();
  return ids.flatMap((rule): readonly ChangedRule[] => {
    const [was, is] = [before.byId.get(rule), after.byId.get(rule)];
    if (!was) return [{ rule, what: "added" }];
    if (!is) return [{ rule, what: "retired" }];
    return was === is || contents(was) === contents(is) ? [] : [{ rule, what: "changed" }];
  });
}

function contents({ file: _file, pointer: _pointer, ...rule }: Rule): string {
  return canonicalJson(rule);
}

function rulingChange({ hole, attribute, before, after }: AttributeChange): RulingChange {
  return { hole, attribute, before: outcome(before), after: outcome(after) };
}

function outcome({ status, value, ruleIds, missing }: AttributeRuling): Outcome {
  return { status, value, ruleIds, missing };
}

/** Undecided, or without a claim where every hole must have one. */
function isOpen({ dictionary }: Rulebook, attribute: string, { status }: Outcome): boolean {
  if (status === "undecided") return true;
  return status === "unclaimed" && (dictionary.attributes.get(attribute)?.required ?? false);
}

function doneWrongIn(
  before: Ruled,
  after: Ruled,
  changes: readonly AttributeChange[],
  added: readonly RuleChange[],
): readonly DoneWrong[] {
  const { assembly, work } = after;
  const find = finder(assembly);
  const states = partStates(assembly, work);
  const open = new Set<Hole>();
  const set = changes.flatMap((change): readonly DoneWrong[] => {
    const hole = find.hole(change.hole);
    if (!isSet(work, hole)) {
      open.add(hole);
      return [];
    }
    return change.attribute === "hold" ? heldAlready(before, after, hole) : [setOtherwise(change)];
  });
  return [
    ...set,
    ...[...open].flatMap((hole) => gatesWrong(before, after, hole)),
    ...added.flatMap((change) => brokenBy(change, before, after, states)),
  ];
}

function setOtherwise(change: AttributeChange): DoneWrong {
  const { before, after } = change;
  const certain = before.status === "settled" && after.status === "settled";
  return { what: "set", certain, ...rulingChange(change) };
}

function heldAlready(before: Ruled, after: Ruled, { id }: Hole): readonly DoneWrong[] {
  const hold = holdOf(after.rulings, after.work, id);
  const held = holdOf(before.rulings, before.work, id);
  if (!hold || (held?.status === hold.status && held.until === hold.until)) return [];
  return [{ what: "set though held", hole: id, until: hold.until }];
}

/** Gates marked as done on the parts of an open hole that would be needed, or not, otherwise than they were. */
function gatesWrong(before: Ruled, after: Ruled, hole: Hole): readonly DoneWrong[] {
  const [old, now] = [before.rulings.of(hole.id), after.rulings.of(hole.id)];
  const isOtherSize = old.attributes.finalDiameterMm?.value !== now.attributes.finalDiameterMm?.value;
  const known = gatesCalledAt(hole, old);
  return gatesCalledAt(hole, now).flatMap(({ gate, part, needed: is }, i): readonly DoneWrong[] => {
    const was = known[i]?.needed;
    const isOtherwise = was !== is && (was === "true" || is === "true");
    // Drilled to one size and wanted at another is as wrong as not drilled at all.
    const isRedone = gate === "enlarge" && isOtherSize && was === "true" && is === "true";
    if (!isOtherwise && !isRedone) return [];
    if (!after.work.prep.get(part)?.has(gate)) return [];
    return [{ what: "gate", part, gate, hole: hole.id, needed: is }];
  });
}

/** What the marks say against a limit or an order that holds now, or may hold, and did not before. */
function brokenBy(change: RuleChange, before: Ruled, after: Ruled, states: PartStates): readonly DoneWrong[] {
  const rule = change.after;
  if (!rule) return [];
  const find = finder(after.assembly);
  const known = demandsOf(change.before);
  return change.holes.flatMap(({ hole: id, before: was, after: truth }): readonly DoneWrong[] => {
    if (truth === "false") return [];
    const hole = find.hole(id);
    const isKnown = ({ relation, part }: Demand): boolean =>
      was === truth && known.some((demand) => demand.relation === relation && demand.part === part);
    if (rule.family === "limit") {
      return isSet(after.work, hole) ? outsideLimit(rule, before, after, id) : [];
    }
    return demandsOf(rule)
      .filter((demand) => !isKnown(demand))
      .filter(({ relation, part }) =>
        relation === "before"
          ? !isSet(after.work, hole) && states.of(part) === "closed"
          : isSet(after.work, hole) && states.of(part) === "loose",
      )
      .map((demand) => ({
        what: "out of order",
        hole: id,
        rule: rule.id,
        certain: truth === "true",
        ...demand,
      }));
  });
}

/** A part that a hole must be set before or after. */
interface Demand {
  readonly relation: "before" | "after";
  readonly part: string;
}

/** What an order rule demands; a preference demands nothing. */
function demandsOf(rule: Rule | null): readonly Demand[] {
  if (rule?.family !== "order") return [];
  const { before, after, strength } = rule.event.params as unknown as OrderClaim;
  if (strength !== "must") return [];
  return [
    ...(before === undefined ? [] : [{ relation: "before" as const, part: before }]),
    ...(after === undefined ? [] : [{ relation: "after" as const, part: after }]),
  ];
}

function outsideLimit(rule: Rule, before: Ruled, after: Ruled, hole: string): readonly DoneWrong[] {
  const verdictIn = ({ rulings }: Ruled) =>
    rulings.of(hole).limits.find((limit) => limit.rule === rule.id)?.verdict ?? "true";
  const verdict = verdictIn(after);
  if (verdict === "true" || verdictIn(before) === verdict) return [];
  const { fact } = rule.event.params as unknown as LimitClaim;
  return [{ what: "set outside a limit", hole, rule: rule.id, fact, certain: verdict === "false" }];
}
