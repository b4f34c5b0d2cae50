import { TRUTHS } from "./classes.js";
import type { Evaluation } from "./evaluations.js";
import { type Behind, behindOf } from "./rule.js";
import type { AttributeRuling, Rule, Rulings, Truth } from "./types.js";

/** One attribute of one hole that comes out otherwise. */
export interface AttributeChange {
  readonly hole: string;
  readonly attribute: string;
  readonly before: AttributeRuling;
  readonly after: AttributeRuling;
}

/** A rule of a family that adds up (order, limit, caution) and that holds elsewhere, or says something else. */
export interface RuleChange {
  readonly rule: string;
  /** As it was; null = it was not there. */
  readonly before: Rule | null;
  readonly after: Rule | null;
  readonly holes: readonly {
    readonly hole: string;
    /** Whether it holds; "false" where the rule is not there. */
    readonly before: Truth;
    readonly after: Truth;
  }[];
}

/**
 * Where two rulings of the same holes differ in what is settled: another status or value. What the second took over
 * from the first unchanged is passed over as a whole, so that the cost is that of the change.
 * @throws Error when they are not of the same holes in the same order
 */
export function attributeChanges(before: Rulings, after: Rulings): readonly AttributeChange[] {
  const [was, is] = bothBehind(before, after);
  const changes: AttributeChange[] = [];
  for (const [attribute, settled] of is.settled) {
    const known = was.settled.get(attribute);
    if (!known || known === settled) continue;
    after.ids.forEach((hole, i) => {
      const [one, other] = [known.at(i), settled.at(i)];
      if (one !== other && !isSameOutcome(one, other)) {
        changes.push({ hole, attribute, before: one, after: other });
      }
    });
  }
  return changes;
}

/** Whether two rulings come to the same for the work; by which rules does not count. */
function isSameOutcome(a: AttributeRuling, b: AttributeRuling): boolean {
  // What may yet change with something in conflict is less certain than what may not.
  return a.status === b.status && a.value === b.value && a.unsettled.length > 0 === b.unsettled.length > 0;
}

/** Where rules that add up hold otherwise, or say something else where they hold or may hold. By rule id. */
export function ruleChanges(before: Rulings, after: Rulings): readonly RuleChange[] {
  const [was, is] = bothBehind(before, after);
  const ids = [...new Set([...addingUp(was), ...addingUp(is)])].sort();
  return ids.flatMap((id): readonly RuleChange[] => {
    const sides = [was, is].map(({ rulebook, byRule }) => ({
      rule: added(rulebook.byId.get(id)),
      evaluation: byRule.get(id),
    }));
    const [old, now] = sides as [Side, Side];
    const isSame = old.rule !== null && now.rule !== null && saysTheSame(old.rule, now.rule);
    if (isSame && old.evaluation === now.evaluation) return [];
    const holes = after.ids.flatMap((hole, i) => {
      const change = { hole, before: truthAt(old, i), after: truthAt(now, i) };
      const isOtherwise = change.before !== change.after || (!isSame && change.after !== "false");
      return isOtherwise ? [change] : [];
    });
    return holes.length > 0 ? [{ rule: id, before: old.rule, after: now.rule, holes }] : [];
  });
}

interface Side {
  readonly rule: Rule | null;
  readonly evaluation: Evaluation | undefined;
}

function truthAt({ rule, evaluation }: Side, hole: number): Truth {
  if (rule === null || !evaluation) return "false";
  return TRUTHS[evaluation.verdicts[evaluation.classes.of[hole] ?? 0] ?? 0] ?? "unknown";
}

function addingUp({ rulebook }: Behind): readonly string[] {
  return rulebook.rules.filter((rule) => added(rule) !== null).map(({ id }) => id);
}

/** The rule if its claims add up; null for one whose claims are settled against others. */
function added(rule: Rule | undefined): Rule | null {
  return rule && rule.family !== "treatment" && rule.family !== "hold" ? rule : null;
}

function saysTheSame(a: Rule, b: Rule): boolean {
  return JSON.stringify(a.event) === JSON.stringify(b.event);
}

function bothBehind(before: Rulings, after: Rulings): readonly [Behind, Behind] {
  const isSame = before.ids.length === after.ids.length && before.ids.every((id, i) => id === after.ids[i]);
  if (!isSame) throw new Error("the two rulings are not of the same holes");
  return [behindOf(before), behindOf(after)];
}
