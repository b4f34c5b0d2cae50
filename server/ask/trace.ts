import { figureOf } from "../facts/figures.js";
import { finder } from "../kit/find.js";
import type { OrderRule } from "../order/types.js";
import { type AttributeTrace, type ClaimTrace, type ConditionTrace, RANKS } from "../ruling/types.js";
import type { Job, Source, TraceEntry } from "./types.js";
import { decisive } from "./wording/conditions.js";
import { sayFigure } from "./wording/figures.js";
import { namesOf } from "./wording/names.js";

/** Holes for which one attribute came out the same for the same reasons, with each hole's own trace. */
export interface Alike {
  readonly attribute: string;
  /** In the order in which they were given. */
  readonly holes: readonly string[];
  /** By hole, in the same order; they differ only in the values that the holes bring. */
  readonly traces: readonly AttributeTrace[];
  readonly first: AttributeTrace;
}

/**
 * Groups holes by how and why an attribute came out.
 * Two holes are alike when status, value, missing facts and every claim's fate agree, and the claims that hold
 * or are unknown do so through the same conditions.
 */
export function alike(job: Job, holes: readonly string[], attribute: string): readonly Alike[] {
  const groups = new Map<string, AttributeTrace[]>();
  for (const hole of holes) {
    const trace = job.rulings.trace(hole, attribute);
    const key = JSON.stringify([
      trace.status,
      trace.value,
      trace.ruleIds,
      trace.missing,
      trace.claims.map(fateOf),
    ]);
    const group = groups.get(key);
    if (group) group.push(trace);
    else groups.set(key, [trace]);
  }
  return [...groups.values()].map((traces) => ({
    attribute,
    holes: traces.map(({ hole }) => hole),
    traces,
    first: traces[0] as AttributeTrace,
  }));
}

function fateOf({ rule, value, verdict, conditions, beat, lostTo, tiedWith }: ClaimTrace): unknown {
  const because =
    verdict === "false"
      ? null
      : decisive(conditions).map(({ fact, operator, needed, verdict: leaf }) => [
          fact,
          operator,
          needed,
          leaf,
        ]);
  return [rule, value, verdict, because, beat, lostTo, tiedWith];
}

/**
 * Evidence for rulings: one entry for all holes that are alike in an attribute. That nothing claims an attribute
 * which need not be claimed, such as a hold, is no evidence.
 */
export function rulingTrace(
  job: Job,
  holes: readonly string[],
  attributes: readonly string[],
): readonly TraceEntry[] {
  return attributes.flatMap((attribute) => {
    const isRequired = job.rulebook.dictionary.attributes.get(attribute)?.required ?? false;
    return alike(job, holes, attribute)
      .filter(({ first }) => isRequired || first.status !== "unclaimed")
      .map(entryOf);
  });
}

export function entryOf({ holes, first }: Alike): TraceEntry {
  return { kind: "ruling", ...first, holes };
}

/** The entries with the sums behind their facts, so that a number can be checked with a ruler. */
export function withFigures(job: Job, trace: readonly TraceEntry[]): readonly TraceEntry[] {
  const find = finder(job.assembly);
  const names = namesOf(job);
  return trace.map((entry) => {
    if (entry.kind !== "ruling") return entry;
    const facts = new Set(entry.claims.flatMap(({ conditions }) => leavesOf(conditions)));
    const figures = [...facts].flatMap((fact) => {
      const figure = figureOf(find.hole(entry.hole), fact);
      return figure ? [{ ...figure, said: sayFigure(figure, names, job.kit.units) }] : [];
    });
    return figures.length > 0 ? { ...entry, figures } : entry;
  });
}

/** Facts that a condition asks about or compares with. */
function leavesOf(condition: ConditionTrace): readonly string[] {
  if (condition.op !== "leaf") return condition.of.flatMap(leavesOf);
  const { fact, needed } = condition;
  return typeof needed === "object" && "fact" in needed ? [fact, needed.fact] : [fact];
}

/**
 * Evidence for reach: one entry for all holes with the same approaches blocked by the same parts.
 * @param closed  parts that count as closed for this look
 */
export function reachTrace(
  job: Job,
  holes: readonly string[],
  closed: ReadonlySet<string>,
): readonly TraceEntry[] {
  const wanted = new Set(holes);
  const groups = new Map<string, { hole: string; index: number; holes: string[] }>();
  job.reach.holes.forEach(({ hole, approaches }, index) => {
    if (!wanted.has(hole)) return;
    const key = JSON.stringify(approaches);
    const group = groups.get(key);
    if (group) group.holes.push(hole);
    else groups.set(key, { hole, index, holes: [hole] });
  });
  const list = job.assembly.parts.map(({ id }) => id).filter((id) => closed.has(id));
  return [...groups.values()].map(({ hole, index, holes: alikeHoles }) => ({
    kind: "reach" as const,
    closed: list,
    hole,
    holes: alikeHoles,
    approaches: job.reach.holes[index]?.approaches ?? [],
  }));
}

/** Evidence for order rules: one entry for each rule, with all the holes that it names here. */
export function orderTrace(job: Job, orders: readonly OrderRule[]): readonly TraceEntry[] {
  const groups = new Map<string, OrderRule[]>();
  for (const order of orders) {
    const key = `${order.rule} ${order.verdict}`;
    groups.set(key, [...(groups.get(key) ?? []), order]);
  }
  return [...groups.values()].flatMap((group) => {
    const [first] = group;
    const rule = first && job.rulebook.byId.get(first.rule);
    if (!rule) return [];
    const holes = [...new Set(group.map(({ hole }) => hole))];
    return [
      { kind: "order", rule: rule.id, title: rule.title, holes, verdict: first.verdict, why: rule.why },
    ];
  });
}

/** Where rules come from, highest basis first. Ids of no rule are passed over. */
export function ruleSources(job: Job, ruleIds: Iterable<string>): readonly Source[] {
  return [...new Set(ruleIds)]
    .flatMap((id) => job.rulebook.byId.get(id) ?? [])
    .sort((a, b) => RANKS.indexOf(a.basis.rank) - RANKS.indexOf(b.basis.rank))
    .map(({ id, basis: { rank, document, place, dated } }) => ({ rule: id, rank, document, place, dated }));
}

/** The drawing as a source: where reach and rows come from. */
export function drawingSource({ kit, assembly }: Job): Source {
  return {
    document: `${kit.name}, ${kit.revision}`,
    place: `${assembly.name}: parts, rows and tool room as drawn`,
    dated: kit.dated,
  };
}

/** Rules that carry, or hang over, what the entries report. */
export function rulesIn(trace: readonly TraceEntry[]): readonly string[] {
  const ids = new Set<string>();
  for (const entry of trace) {
    if (entry.kind === "ruling") for (const id of entry.ruleIds) ids.add(id);
    if (entry.kind === "order" || entry.kind === "hold") ids.add(entry.rule);
  }
  return [...ids];
}
