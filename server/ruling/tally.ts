import type { FactRecord } from "../facts/types.js";
import { Spot } from "../kit/findings.js";
import type { Problem } from "../problem.js";
import { checkConditions } from "./check-conditions.js";
import { TRUTHS } from "./classes.js";
import { childrenOf, isLeaf, opOf } from "./conditions.js";
import { type Evaluation, Evaluations } from "./evaluations.js";
import { isRecord } from "./json.js";
import { behindOf } from "./rule.js";
import { Tellings } from "./tellings.js";
import type { Condition, ConditionTrace, Rulings } from "./types.js";

/** How many holes one condition of a tree holds at. */
export interface NodeTally {
  /** JSON pointer into the tree; "" = the whole. */
  readonly pointer: string;
  readonly holds: number;
  /** Holes at which a missing fact leaves it open. */
  readonly open: number;
}

/** Where a tree of conditions holds; what is wrong in it keeps only what rests on it from being counted. */
export interface Tally {
  readonly nodes: readonly NodeTally[];
  /** Holes at which the whole holds, in the rulings' order; none while something in it is wrong … */
  readonly holds: readonly string[];
  /** … and those at which a missing fact leaves it open. */
  readonly open: readonly string[];
  /** Pointers into the tree. */
  readonly problems: readonly Problem[];
}

/** What conditions are counted against: a `Job` is one. */
export interface Counted {
  readonly rulings: Rulings;
  /** The records that the rulings were made from. */
  readonly facts: readonly FactRecord[];
}

/**
 * Counts where conditions hold that no rule has yet, node by node, as they are being written.
 * @param conditions  any JSON value: half a tree is counted as far as it goes
 */
export async function tallyOn({ rulings, facts }: Counted, conditions: unknown): Promise<Tally> {
  const { rulebook, evaluations: settled } = behindOf(rulings);
  const { dictionary, domains } = rulebook;
  const scope = { dictionary, domains, ofKit: true };
  const problemsOf = (node: unknown, pointer: string): readonly Problem[] => {
    const told: Problem[] = [];
    const findings = new (class extends Tellings {
      override keep(problem: Problem): void {
        told.push(problem);
      }
    })();
    checkConditions(node, new Spot(findings, "", pointer), scope);
    return told;
  };
  // What was settled is taken over; the rulings' own evaluations do not pile up with what is only being tried.
  const evaluations = new Evaluations(facts, domains, settled);
  const nodes: NodeTally[] = [];
  const count = async (node: unknown, pointer: string): Promise<Evaluation | null> => {
    if (!isRecord(node)) return null;
    const leaf = Object.hasOwn(node, "fact");
    if (problemsOf(leaf ? { all: [node] } : node, "").length === 0) {
      const whole = node as unknown as Condition;
      const made = await evaluations.evaluate(leaf ? { all: [whole] } : whole);
      const traces = leaf ? made.traces.map(onlyChild) : made.traces;
      nodes.push(...talliesOf(whole, pointer, traces, sizesOf(made)));
      return made;
    }
    for (const [below, child] of partsOf(node)) await count(child, `${pointer}${below}`);
    return null;
  };
  const problems = problemsOf(conditions, "");
  const whole = problems.some(({ code }) => code === "CONDITION_TOO_DEEP")
    ? null
    : await count(conditions, "");
  const where = (truth: string): readonly string[] =>
    whole && problems.length === 0
      ? rulings.ids.filter((_, hole) => TRUTHS[whole.verdicts[whole.classes.of[hole] ?? 0] ?? 0] === truth)
      : [];
  return { nodes, holds: where("true"), open: where("unknown"), problems };
}

function onlyChild(trace: ConditionTrace): ConditionTrace {
  const child = trace.op === "leaf" ? trace : trace.of[0];
  if (!child) throw new TypeError("A condition put into a list is not there.");
  return child;
}

/** Holes of each class. */
function sizesOf({ classes }: Evaluation): readonly number[] {
  const sizes = new Array<number>(classes.first.length).fill(0);
  for (const kind of classes.of) sizes[kind] = (sizes[kind] ?? 0) + 1;
  return sizes;
}

/** The tree's own tally and those below it, from what each class of holes came to. */
function talliesOf(
  node: Condition,
  pointer: string,
  traces: readonly ConditionTrace[],
  sizes: readonly number[],
): NodeTally[] {
  const sum = (truth: string): number =>
    traces.reduce((total, trace, kind) => total + (trace.verdict === truth ? (sizes[kind] ?? 0) : 0), 0);
  const own = { pointer, holds: sum("true"), open: sum("unknown") };
  if (isLeaf(node)) return [own];
  const op = opOf(node);
  const below = childrenOf(node).flatMap((child, i) =>
    talliesOf(
      child,
      `${pointer}/${op}${op === "not" ? "" : `/${i}`}`,
      traces.flatMap((trace) => (trace.op === "leaf" ? [] : (trace.of[i] ?? []))),
      sizes,
    ),
  );
  return [own, ...below];
}

/** What stands under a join, whatever its shape, each with the end of its pointer. */
function partsOf(node: Readonly<Record<string, unknown>>): readonly (readonly [string, unknown])[] {
  if (Object.hasOwn(node, "not")) return [["/not", node.not]];
  for (const join of ["all", "any"]) {
    const children = Object.hasOwn(node, join) ? node[join] : null;
    if (Array.isArray(children)) return children.map((child, i) => [`/${join}/${i}`, child] as const);
  }
  return [];
}
