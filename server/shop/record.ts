import type { Assembly } from "../kit/types.js";
import type { HoleState, Mark } from "../kit/work.js";
import { LIFTED } from "../order/holds.js";
import type { RuleInFile } from "../ruling/schema.js";
import type { Rulings } from "../ruling/types.js";
import type { Ruled } from "./ruled.js";
import type { NoteStatement, Placed, ShopRule } from "./types.js";

/** Who did something, when, and in which entry of the shop book it stands. */
export interface When {
  readonly version: number;
  /** ISO 8601 in UTC. */
  readonly at: string;
  readonly by: string;
}

/** One thing that was done, as it was told. */
export type RecordLine = When &
  (
    | {
        readonly kind: "set";
        readonly holes: readonly string[];
        /** What was ruled for them at the time; null = it was not written down. */
        readonly ruled: Omit<Ruled, "holes"> | null;
      }
    | { readonly kind: "pinned"; readonly holes: readonly string[] }
    | { readonly kind: "unset"; readonly holes: readonly string[]; readonly was: HoleState }
    | {
        readonly kind: "prep";
        readonly gate: string;
        readonly parts: readonly string[];
        readonly done: boolean;
      }
    | { readonly kind: "milestone"; readonly milestone: string; readonly reached: boolean }
    | {
        readonly kind: "note";
        readonly hole: string | null;
        readonly part: string | null;
        readonly text: string;
      }
    | {
        readonly kind: "rule";
        readonly rule: RuleInFile;
        readonly revision: number;
        readonly inForce: boolean;
        /** What was said when it was retired. */
        readonly why: readonly string[];
      }
  );

/** Holes that a rule keeps open, and what became of them. */
export interface HoldLine {
  readonly status: "settled" | "undecided" | "conflict";
  /** Milestone; null unless settled. */
  readonly until: string | null;
  readonly ruleIds: readonly string[];
  /** When its milestone was reached; null = not yet, or it was taken back. */
  readonly ended: When | null;
  readonly open: readonly string[];
  /** Set once the hold had ended. */
  readonly setAfter: readonly string[];
  /** Set while it was held, or while it was not known whether it is. */
  readonly setMeanwhile: readonly string[];
}

/** A revision of a shop rule while it was in force. */
export interface RuleInUse {
  readonly rule: RuleInFile;
  readonly revision: number;
  readonly author: string;
  /** Acceptance by the mentor. */
  readonly from: When;
  /** Retired, or replaced by another revision; null = still in force. */
  readonly until: When | null;
  /** The kit maker's agreement, where the rule departs from the manual or a notice. */
  readonly reference: string | null;
  /** Holes of the assembly that were set on its word. */
  readonly holes: readonly string[];
}

/** What was done to one assembly. */
export interface BuildRecord {
  /** Oldest first. */
  readonly lines: readonly RecordLine[];
  readonly holds: readonly HoldLine[];
  readonly rules: readonly RuleInUse[];
  readonly counts: {
    readonly holes: number;
    readonly set: number;
    readonly pinned: number;
    readonly open: number;
  };
}

/** An entry of the shop book as far as the record is concerned. */
export type RecordEntry =
  | Placed<{
      readonly kind: "marks";
      readonly by: string;
      readonly kit: string;
      readonly assembly: string;
      readonly body: { readonly marks: readonly Mark[]; readonly ruled?: readonly Ruled[] };
    }>
  | Placed<NoteStatement>
  | { readonly kind: "rule-revision" | "rule-step" };

/**
 * The record of an assembly at one version of the shop book.
 * @param entries  of the shop book, from its first to that version
 * @param rules    the kit's shop rules at that version
 * @param rulings  at that version
 */
export function buildRecord(
  kit: string,
  assembly: Assembly,
  entries: readonly RecordEntry[],
  rules: readonly ShopRule[],
  rulings: Rulings,
): BuildRecord {
  const told = tellWork(kit, assembly.id, entries);
  const lines = [...told.lines, ...rules.flatMap(ruleLines)].sort((a, b) => a.version - b.version);
  const set = assembly.holes.filter(({ id }) => told.states.get(id) === "set").length;
  const pinned = assembly.holes.filter(({ id }) => told.states.get(id) === "pinned").length;
  const holes = assembly.holes.length;
  return {
    lines,
    holds: holdLines(assembly, rulings, told),
    rules: rules.flatMap((rule) => inUse(rule, told.lines)),
    counts: { holes, set, pinned, open: holes - set - pinned },
  };
}

interface Told {
  readonly lines: readonly RecordLine[];
  /** As things stand; a hole that nothing was told of is not there. */
  readonly states: ReadonlyMap<string, HoleState>;
  /** When each hole that is set now was set. */
  readonly set: ReadonlyMap<string, When>;
  /** When each milestone that is reached now was reached. */
  readonly reached: ReadonlyMap<string, When>;
}

function tellWork(kit: string, assembly: string, entries: readonly RecordEntry[]): Told {
  const lines: RecordLine[] = [];
  const set = new Map<string, When>();
  const reached = new Map<string, When>();
  const states = new Map<string, HoleState>();
  for (const entry of entries) {
    if (entry.kind !== "marks" && entry.kind !== "note") continue;
    if (entry.kit !== kit || entry.assembly !== assembly) continue;
    const when = { version: entry.seq, at: entry.at, by: entry.by };
    if (entry.kind === "note") {
      const { hole = null, part = null, text } = entry.body;
      lines.push({ ...when, kind: "note", hole, part, text });
      continue;
    }
    const { marks, ruled = [] } = entry.body;
    lines.push(...markLines(when, marks, ruled, states));
    for (const mark of marks) {
      if (mark.kind === "hole") {
        states.set(mark.hole, mark.state);
        if (mark.state !== "set") set.delete(mark.hole);
        else if (!set.has(mark.hole)) set.set(mark.hole, when);
      } else if (mark.kind === "milestone") {
        if (!mark.reached) reached.delete(mark.milestone);
        else if (!reached.has(mark.milestone)) reached.set(mark.milestone, when);
      }
    }
  }
  return { lines, states, set, reached };
}

/** An act's marks, those that say the same together, in the order in which they were told. */
function markLines(
  when: When,
  marks: readonly Mark[],
  ruled: readonly Ruled[],
  before: Told["states"],
): RecordLine[] {
  const groups = new Map<string, { readonly line: RecordLine; readonly names: string[] }>();
  const add = (line: RecordLine, name: string): void => {
    const key = JSON.stringify(line);
    const group = groups.get(key);
    if (!group) groups.set(key, { line, names: [name] });
    else if (!group.names.includes(name)) group.names.push(name);
  };
  for (const mark of marks) {
    if (mark.kind === "milestone") {
      add({ ...when, kind: "milestone", milestone: mark.milestone, reached: mark.reached }, "");
    } else if (mark.kind === "prep") {
      add({ ...when, kind: "prep", gate: mark.gate, parts: [], done: mark.done }, mark.part);
    } else if (mark.state === "set") {
      add({ ...when, kind: "set", holes: [], ruled: ruledOf(mark.hole, ruled) }, mark.hole);
    } else if (mark.state === "pinned") add({ ...when, kind: "pinned", holes: [] }, mark.hole);
    else add({ ...when, kind: "unset", holes: [], was: before.get(mark.hole) ?? "unset" }, mark.hole);
  }
  return [...groups.values()].map(({ line, names }) =>
    line.kind === "prep" ? { ...line, parts: names } : "holes" in line ? { ...line, holes: names } : line,
  );
}

function ruledOf(hole: string, ruled: readonly Ruled[]): Omit<Ruled, "holes"> | null {
  const found = ruled.find(({ holes }) => holes.includes(hole));
  if (!found) return null;
  const { holes: _, ...rest } = found;
  return rest;
}

function holdLines(assembly: Assembly, rulings: Rulings, told: Told): HoldLine[] {
  const groups = new Map<string, { readonly hold: HoldLine; readonly holes: string[] }>();
  for (const { id } of assembly.holes) {
    const ruling = rulings.of(id).attributes.hold;
    if (!ruling || ruling.status === "unclaimed") continue;
    if (ruling.status === "settled" && ruling.value === LIFTED) continue;
    const { status, ruleIds } = ruling;
    const until = status === "settled" ? String(ruling.value) : null;
    const ended = (until !== null && told.reached.get(until)) || null;
    const hold: HoldLine = { status, until, ruleIds, ended, open: [], setAfter: [], setMeanwhile: [] };
    const key = JSON.stringify([status, until, ruleIds]);
    const group = groups.get(key) ?? { hold, holes: [] };
    group.holes.push(id);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ hold, holes }) => {
    const wasSet = (hole: string): number | null => told.set.get(hole)?.version ?? null;
    const isAfter = (hole: string): boolean =>
      hold.ended !== null && (wasSet(hole) ?? 0) >= hold.ended.version;
    return {
      ...hold,
      open: holes.filter((hole) => wasSet(hole) === null),
      setAfter: holes.filter((hole) => wasSet(hole) !== null && isAfter(hole)),
      setMeanwhile: holes.filter((hole) => wasSet(hole) !== null && !isAfter(hole)),
    };
  });
}

/** When revisions of a rule came into force and went out of it. */
function ruleLines(rule: ShopRule): RecordLine[] {
  return rule.history.flatMap((step): RecordLine[] => {
    const counts = step.refused === null && (step.step === "accept" || step.step === "retire");
    const revision = rule.revisions.find((one) => one.revision === step.revision);
    if (!counts || !revision) return [];
    const { version, at, by } = step;
    const inForce = step.step === "accept";
    const why = inForce ? [] : step.comments.map(({ text }) => text);
    return [
      { version, at, by, kind: "rule", rule: revision.rule, revision: revision.revision, inForce, why },
    ];
  });
}

function inUse(shopRule: ShopRule, lines: readonly RecordLine[]): RuleInUse[] {
  const turns = shopRule.history.filter(
    ({ step, refused }) => refused === null && (step === "accept" || step === "retire"),
  );
  return turns.flatMap((turn, i): RuleInUse[] => {
    const revision = shopRule.revisions.find((one) => one.revision === turn.revision);
    if (turn.step !== "accept" || !revision) return [];
    const next = turns[i + 1];
    const { rule } = revision;
    const from = whenOf(turn);
    const until = next ? whenOf(next) : null;
    const holes = lines.flatMap((line) =>
      line.kind === "set" &&
      line.version > from.version &&
      (until === null || line.version < until.version) &&
      line.ruled?.rules.some((one) => one.rule === rule.id)
        ? line.holes
        : [],
    );
    const reference = rule.departure ? (turn.reference ?? rule.departure.reference ?? null) : null;
    return [
      {
        rule,
        revision: revision.revision,
        author: revision.by,
        from,
        until,
        reference,
        holes: [...new Set(holes)],
      },
    ];
  });
}

function whenOf({ version, at, by }: When): When {
  return { version, at, by };
}
