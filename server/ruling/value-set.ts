/**
 * Sets of values of one fact, closed under the operations of set algebra: numbers as sorted intervals that
 * do not touch, texts (and flags, as "true" and "false") as a list of the ones in it or the ones left out.
 */
export type ValueSet = NumberSet | TextSet;

/** One end of an interval: the number, and whether it belongs to the interval. */
export interface End {
  readonly at: number;
  readonly closed: boolean;
}

export interface Interval {
  readonly from: End;
  readonly to: End;
}

export interface NumberSet {
  readonly kind: "numbers";
  /** True when only whole numbers count: then every finite end is a closed whole number. */
  readonly whole: boolean;
  /** The numbers that there are at all; the set and its complement lie within. */
  readonly range: Interval;
  readonly intervals: readonly Interval[];
}

export interface TextSet {
  readonly kind: "texts";
  /** Every text that there is; null = no end of them. */
  readonly domain: readonly string[] | null;
  /** True: all texts but those listed (only without a domain). */
  readonly but: boolean;
  readonly texts: ReadonlySet<string>;
}

const LOWEST: End = { at: Number.NEGATIVE_INFINITY, closed: false };
const HIGHEST: End = { at: Number.POSITIVE_INFINITY, closed: false };
const EVERY_NUMBER: Interval = { from: LOWEST, to: HIGHEST };

/** The numbers between two ends, as far as they are in the range; ends left out are the range's. */
export function numbers(whole: boolean, ends: Partial<Interval>, range: Interval = EVERY_NUMBER): NumberSet {
  return tidy({ whole, range }, [{ from: ends.from ?? LOWEST, to: ends.to ?? HIGHEST }]);
}

/** The listed numbers; of a range, those that are in it. */
export function theNumbers(
  whole: boolean,
  values: readonly number[],
  range: Interval = EVERY_NUMBER,
): NumberSet {
  return tidy(
    { whole, range },
    values.map((at) => ({ from: { at, closed: true }, to: { at, closed: true } })),
  );
}

/** The listed texts; of a domain, those that are in it. */
export function theTexts(domain: readonly string[] | null, texts: Iterable<string>): TextSet {
  const listed = new Set(texts);
  return {
    kind: "texts",
    domain,
    but: false,
    texts: domain === null ? listed : new Set(domain.filter((text) => listed.has(text))),
  };
}

export function isEmpty(set: ValueSet): boolean {
  return set.kind === "numbers" ? set.intervals.length === 0 : !set.but && set.texts.size === 0;
}

/** Whether nothing is left out. */
export function isEverything(set: ValueSet): boolean {
  return isEmpty(complement(set));
}

/** All values of the same kind that are not in the set. */
export function complement(set: ValueSet): ValueSet {
  if (set.kind === "texts") {
    const { domain, texts } = set;
    if (domain === null) return { ...set, but: !set.but };
    return theTexts(
      domain,
      domain.filter((text) => !texts.has(text)),
    );
  }
  const gaps: Interval[] = [];
  let { from } = set.range;
  for (const interval of set.intervals) {
    if (interval.from.at !== LOWEST.at) gaps.push({ from, to: flip(interval.from) });
    from = flip(interval.to);
  }
  if (from.at !== HIGHEST.at) gaps.push({ from, to: set.range.to });
  return tidy(set, gaps);
}

/** Values in both. The two must be of one fact. */
export function intersect(a: ValueSet, b: ValueSet): ValueSet {
  if (a.kind === "texts" && b.kind === "texts") return intersectTexts(a, b);
  if (a.kind === "numbers" && b.kind === "numbers") {
    const pieces = a.intervals.flatMap((one) =>
      b.intervals.map((other) => ({ from: later(one.from, other.from), to: earlier(one.to, other.to) })),
    );
    return tidy(a, pieces);
  }
  throw new Error("sets of different kinds of values meet");
}

export function subtract(a: ValueSet, b: ValueSet): ValueSet {
  return intersect(a, complement(b));
}

/** Whether every value of `a` is in `b`. */
export function isWithin(a: ValueSet, b: ValueSet): boolean {
  return isEmpty(subtract(a, b));
}

/** Whether a value is in the set; flags as "true" and "false". */
export function has(set: ValueSet, value: number | string | boolean): boolean {
  if (set.kind === "texts") return set.texts.has(String(value)) !== set.but;
  const at = Number(value);
  return set.intervals.some(
    ({ from, to }) =>
      (from.at < at || (from.at === at && from.closed)) && (at < to.at || (at === to.at && to.closed)),
  );
}

/** A value of the set, the same one each time; null when it is empty. */
export function anyOf(set: ValueSet): number | string | null {
  if (set.kind === "texts") {
    if (!set.but) return [...set.texts][0] ?? null;
    for (let i = 0; ; i++) {
      const text = i === 0 ? "other" : `other ${i + 1}`;
      if (!set.texts.has(text)) return text;
    }
  }
  const [interval] = set.intervals;
  return interval ? within(interval) : null;
}

/** A number inside an interval that is not empty, a round one where that is easy. */
export function within({ from, to }: Interval): number {
  if (from.closed) return from.at;
  if (to.closed) return to.at;
  if (!Number.isFinite(from.at)) return Number.isFinite(to.at) ? Math.ceil(to.at) - 1 : 0;
  if (!Number.isFinite(to.at)) return Math.floor(from.at) + 1;
  const whole = Math.floor(from.at) + 1;
  return whole < to.at ? whole : (from.at + to.at) / 2;
}

function intersectTexts(a: TextSet, b: TextSet): TextSet {
  if (a.but && b.but) return { ...a, texts: new Set([...a.texts, ...b.texts]) };
  const [listed, other] = a.but ? [b, a] : [a, b];
  return {
    ...listed,
    texts: new Set([...listed.texts].filter((text) => other.texts.has(text) !== other.but)),
  };
}

/** Within the range, without empty intervals, sorted, and with those joined that overlap or touch. */
function tidy(
  { whole, range }: Pick<NumberSet, "whole" | "range">,
  intervals: readonly Interval[],
): NumberSet {
  const kept = intervals
    .map(({ from, to }) => ({ from: later(from, range.from), to: earlier(to, range.to) }))
    .map((interval) => (whole ? toWhole(interval) : interval))
    .filter(({ from, to }) => from.at < to.at || (from.at === to.at && from.closed && to.closed))
    .sort((a, b) => a.from.at - b.from.at || Number(b.from.closed) - Number(a.from.closed));
  const joined: Interval[] = [];
  for (const interval of kept) {
    const last = joined.at(-1);
    if (last && reaches(last.to, interval.from, whole)) {
      joined[joined.length - 1] = { from: last.from, to: further(last.to, interval.to) };
    } else joined.push(interval);
  }
  return { kind: "numbers", whole, range, intervals: joined };
}

function toWhole({ from, to }: Interval): Interval {
  const low = from.closed ? Math.ceil(from.at) : Math.floor(from.at) + 1;
  const high = to.closed ? Math.floor(to.at) : Math.ceil(to.at) - 1;
  return {
    from: Number.isFinite(low) ? { at: low, closed: true } : LOWEST,
    to: Number.isFinite(high) ? { at: high, closed: true } : HIGHEST,
  };
}

/** Whether an interval that ends at `to` leaves no value out before one that starts at `from`. */
function reaches(to: End, from: End, whole: boolean): boolean {
  if (whole) return from.at <= to.at + 1;
  return from.at < to.at || (from.at === to.at && (from.closed || to.closed));
}

function flip(end: End): End {
  return { at: end.at, closed: !end.closed };
}

function later(a: End, b: End): End {
  if (a.at !== b.at) return a.at > b.at ? a : b;
  return a.closed ? b : a;
}

function earlier(a: End, b: End): End {
  if (a.at !== b.at) return a.at < b.at ? a : b;
  return a.closed ? b : a;
}

function further(a: End, b: End): End {
  if (a.at !== b.at) return a.at > b.at ? a : b;
  return a.closed ? a : b;
}
