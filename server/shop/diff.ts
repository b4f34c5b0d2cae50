import { canonicalJson } from "../canonical.js";
import type { RuleInFile } from "../ruling/schema.js";

/** One difference between two revisions of a rule. */
export interface RuleChange {
  /** JSON pointer: into the later revision; into the earlier one where something was removed. */
  readonly pointer: string;
  readonly what: "added" | "removed" | "changed";
  /** Null where it was added. */
  readonly before: unknown;
  /** Null where it was removed. */
  readonly after: unknown;
}

/**
 * What changed from one revision to another, in the later one's order. Members of a list are matched by what
 * they say, so that one put in front does not make all others look changed. Said in words by
 * `sayRuleChanges` (`ask/wording/rule-changes.ts`).
 * @returns nothing exactly when both say the same
 */
export function diffRules(before: RuleInFile, after: RuleInFile): readonly RuleChange[] {
  return differences(before, after, "", "");
}

function differences(before: unknown, after: unknown, from: string, to: string): RuleChange[] {
  if (same(before, after)) return [];
  if (Array.isArray(before) && Array.isArray(after)) return inLists(before, after, from, to);
  if (isObject(before) && isObject(after) && alike(before, after)) return inObjects(before, after, from, to);
  return [{ pointer: to, what: "changed", before, after }];
}

function inObjects(before: Fields, after: Fields, from: string, to: string): RuleChange[] {
  const removed = Object.keys(before)
    .filter((key) => !Object.hasOwn(after, key))
    .map(
      (key): RuleChange => ({ pointer: at(from, key), what: "removed", before: before[key], after: null }),
    );
  const others = Object.keys(after).flatMap((key): RuleChange[] =>
    Object.hasOwn(before, key)
      ? differences(before[key], after[key], at(from, key), at(to, key))
      : [{ pointer: at(to, key), what: "added", before: null, after: after[key] }],
  );
  return [...others, ...removed];
}

/** Between members that both lists have, what is left over is paired one to one and looked into. */
function inLists(
  before: readonly unknown[],
  after: readonly unknown[],
  from: string,
  to: string,
): RuleChange[] {
  const changes: RuleChange[] = [];
  let i = 0;
  let j = 0;
  for (const [nextI, nextJ] of [...common(before, after), [before.length, after.length] as const]) {
    for (; i < nextI && j < nextJ; i++, j++) {
      changes.push(...differences(before[i], after[j], at(from, i), at(to, j)));
    }
    for (; j < nextJ; j++) {
      changes.push({ pointer: at(to, j), what: "added", before: null, after: after[j] });
    }
    for (; i < nextI; i++) {
      changes.push({ pointer: at(from, i), what: "removed", before: before[i], after: null });
    }
    i = nextI + 1;
    j = nextJ + 1;
  }
  return changes;
}

/** Places of a longest common subsequence. */
function common(before: readonly unknown[], after: readonly unknown[]): (readonly [number, number])[] {
  const a = before.map(canonicalJson);
  const b = after.map(canonicalJson);
  const lengths = Array.from({ length: a.length + 1 }, () => new Uint16Array(b.length + 1));
  const length = (i: number, j: number): number => lengths[i]?.[j] ?? 0;
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      const row = lengths[i];
      if (!row) continue;
      row[j] = a[i] === b[j] ? length(i + 1, j + 1) + 1 : Math.max(length(i + 1, j), length(i, j + 1));
    }
  }
  const pairs: (readonly [number, number])[] = [];
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    if (a[i] === b[j]) pairs.push([i++, j++]);
    else if (length(i + 1, j) >= length(i, j + 1)) i++;
    else j++;
  }
  return pairs;
}

type Fields = Readonly<Record<string, unknown>>;

function isObject(value: unknown): value is Fields {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** Whether two objects are about the same thing; an "all" that became an "any" is another thing as a whole. */
function alike(before: Fields, after: Fields): boolean {
  if (Object.hasOwn(before, "fact") || Object.hasOwn(after, "fact")) return before.fact === after.fact;
  return Object.keys(before).some((key) => Object.hasOwn(after, key));
}

function same(a: unknown, b: unknown): boolean {
  return canonicalJson(a) === canonicalJson(b);
}

/** @source RFC 6901, section 3: "~" and "/" are escaped */
function at(pointer: string, key: string | number): string {
  return `${pointer}/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`;
}
