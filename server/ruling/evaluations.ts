import type { FactRecord } from "../facts/types.js";
import { type Classes, classesOf, type Outcomes, outcomesOf, Refinement, truthCode } from "./classes.js";
import { type Column, sameColumn, seenAt, statedColumn } from "./columns.js";
import { factsIn } from "./conditions.js";
import type { Domains } from "./domain.js";
import { runConditions, shown, type View } from "./engine.js";
import type { Condition, ConditionTrace, Leaf } from "./types.js";

/** One rule's conditions at every hole. */
export interface Evaluation {
  readonly classes: Classes;
  /** By class: the condition tree with its verdicts, and the values of the class's first hole. */
  readonly traces: readonly ConditionTrace[];
  /** By class, as TRUTHS. */
  readonly verdicts: Uint8Array;
  /** What it rests on: while these say the same, it stands. */
  readonly columns: readonly Column[];
}

/** Conditions evaluated over a list of holes, each class of holes once; same conditions, same evaluation. */
export class Evaluations {
  readonly holes: number;
  /** Room for sorting the holes into classes. */
  readonly refinement: Refinement;
  readonly #records: readonly FactRecord[];
  readonly #domains: Domains;
  #before: Evaluations | null;
  readonly #columns = new Map<string, Column>();
  readonly #outcomes = new Map<string, Outcomes>();
  readonly #made = new Map<string, Evaluation>();
  /** How many times the rules library was run. */
  runs = 0;

  /** @param before  evaluations of the same holes in an earlier state: what still stands is taken over */
  constructor(records: readonly FactRecord[], domains: Domains, before: Evaluations | null) {
    this.holes = records.length;
    this.refinement = new Refinement(records.length);
    this.#records = records;
    this.#domains = domains;
    this.#before = before;
  }

  /** Lets go of the earlier state once everything is evaluated, so that states do not pile up. */
  forgetBefore(): void {
    this.#before = null;
  }

  /** Adds the column of an attribute that was settled just now. */
  settle(column: Column): void {
    this.#columns.set(column.fact, column);
  }

  column(fact: string): Column {
    let column = this.#columns.get(fact);
    if (!column) {
      const before = this.#before;
      const sameRecords = before !== null && before.#records === this.#records;
      column =
        (sameRecords ? before.#columns.get(fact) : undefined) ??
        statedColumn(fact, this.#records, this.#domains);
      this.#columns.set(fact, column);
    }
    return column;
  }

  view(hole: number): View {
    return (fact) => seenAt(this.column(fact), hole);
  }

  async evaluate(conditions: Condition): Promise<Evaluation> {
    const key = JSON.stringify(conditions);
    const known = this.#made.get(key) ?? this.#takenOver(key);
    if (known) {
      this.#made.set(key, known);
      return known;
    }
    const facts = factsIn(conditions);
    const classes = classesOf(conditions, this.refinement, (leaf) => this.#outcomesOf(leaf));
    const views = this.holes === 0 ? [] : classes.first.map((hole) => this.view(hole));
    const traces = await runConditions(conditions, facts, views);
    this.runs += views.length;
    const made: Evaluation = {
      classes,
      traces,
      verdicts: Uint8Array.from(traces, (trace) => truthCode(trace.verdict)),
      columns: facts.map((fact) => this.column(fact)),
    };
    this.#made.set(key, made);
    return made;
  }

  /** The condition tree at one hole, with the values seen there. */
  traceAt(evaluation: Evaluation, hole: number): ConditionTrace {
    const shared = evaluation.traces[evaluation.classes.of[hole] ?? 0];
    if (!shared) throw new Error(`no class for hole ${hole}`);
    const view = this.view(hole);
    const fill = (trace: ConditionTrace): ConditionTrace =>
      trace.op === "leaf"
        ? { ...trace, actual: shown(view(trace.fact)) }
        : { ...trace, of: trace.of.map(fill) };
    return fill(shared);
  }

  #takenOver(key: string): Evaluation | undefined {
    const before = this.#before;
    const earlier = before ? before.#made.get(key) : undefined;
    return earlier?.columns.every((column) => sameColumn(column, this.column(column.fact)))
      ? earlier
      : undefined;
  }

  #outcomesOf(leaf: Leaf): Outcomes {
    const key = JSON.stringify([leaf.fact, leaf.operator, leaf.value]);
    let outcomes = this.#outcomes.get(key);
    if (!outcomes) {
      outcomes = outcomesOf(leaf, (fact) => this.column(fact));
      this.#outcomes.set(key, outcomes);
    }
    return outcomes;
  }
}
