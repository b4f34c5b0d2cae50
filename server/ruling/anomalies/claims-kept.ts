import type { CautionClaim, LimitClaim, OrderClaim, Rule } from "../types.js";
import { FILE_WORDS, type FindingWords } from "./words.js";

/** What two rules say, one beside the other, wherever both hold. */

/** Whether the other rule says everything that this one says. */
export function isSaidBy(rule: Rule, other: Rule): boolean {
  if (rule.family !== other.family) return false;
  switch (rule.family) {
    case "treatment":
    case "hold":
      return Object.entries(rule.event.params).every(
        ([attribute, value]) => other.event.params[attribute] === value,
      );
    case "order": {
      const [own, theirs] = [orderOf(rule), orderOf(other)];
      return (
        isAsked(own.before, theirs.before) &&
        isAsked(own.after, theirs.after) &&
        (own.strength === "prefer" || theirs.strength === "must")
      );
    }
    case "limit": {
      const [own, theirs] = [rangeOf(rule), rangeOf(other)];
      return own.fact === theirs.fact && theirs.min >= own.min && theirs.max <= own.max;
    }
    case "caution": {
      const [own, theirs] = [cautionOf(rule), cautionOf(other)];
      return plain(own.text) === plain(theirs.text) && own.acts.every((act) => theirs.acts.includes(act));
    }
  }
}

function isAsked(part: string | undefined, by: string | undefined): boolean {
  return part === undefined || part === by;
}

/** One thing about which two rules cannot both be kept. */
export interface Contradiction {
  /** Attribute that is claimed; null for an order or a limit. */
  readonly attribute: string | null;
  /** "one says head flush, the other protruding". */
  readonly said: string;
  /** True when neither is only a preference. */
  readonly binding: boolean;
}

/** Everything about which they cannot both be kept where both hold; the first rule's side is said first. */
export function contradictionsBetween(
  rule: Rule,
  other: Rule,
  words: FindingWords = FILE_WORDS,
): readonly Contradiction[] {
  if (isSettled(rule) && isSettled(other)) {
    const theirs = other.event.params;
    return Object.entries(rule.event.params).flatMap(([attribute, value]) =>
      Object.hasOwn(theirs, attribute) && theirs[attribute] !== value
        ? [
            {
              attribute,
              said: words.against(attribute, value, theirs[attribute]),
              binding: true,
            },
          ]
        : [],
    );
  }
  if (rule.family === "order" && other.family === "order") return orders(rule, other, words);
  if (rule.family === "limit" && other.family === "limit") return limits(rule, other, words);
  return [];
}

/** Whether what it claims is settled against other claims; orders, limits and cautions add up. */
export function isSettled({ family }: Rule): boolean {
  return family === "treatment" || family === "hold";
}

function orders(rule: Rule, other: Rule, words: FindingWords): readonly Contradiction[] {
  const [own, theirs] = [orderOf(rule), orderOf(other)];
  const binding = own.strength === "must" && theirs.strength === "must";
  const clash = (part: string | undefined, by: string | undefined, said: string): Contradiction[] =>
    part !== undefined && part === by
      ? [{ attribute: null, said: `${said} ${words.part(part)}`, binding }]
      : [];
  return [
    ...clash(own.before, theirs.after, "set before against after"),
    ...clash(own.after, theirs.before, "set after against before"),
  ];
}

function limits(rule: Rule, other: Rule, words: FindingWords): readonly Contradiction[] {
  const [own, theirs] = [rangeOf(rule), rangeOf(other)];
  if (own.fact !== theirs.fact || (own.min <= theirs.max && theirs.min <= own.max)) return [];
  const said = `no ${words.fact(own.fact)} keeps both ${sayRange(own, words)} and ${sayRange(theirs, words)}`;
  return [{ attribute: null, said, binding: true }];
}

interface Range {
  readonly fact: string;
  readonly min: number;
  readonly max: number;
}

function rangeOf({ event }: Rule): Range {
  const { fact, min = -Infinity, max = Infinity } = event.params as unknown as LimitClaim;
  return { fact, min, max };
}

function sayRange({ fact, min, max }: Range, words: FindingWords): string {
  if (max === Infinity) return `at least ${words.value(fact, min)}`;
  if (min === -Infinity) return `at most ${words.value(fact, max)}`;
  return `${words.value(fact, min)} to ${words.value(fact, max)}`;
}

function orderOf({ event }: Rule): OrderClaim {
  return event.params as unknown as OrderClaim;
}

function cautionOf({ event }: Rule): CautionClaim {
  return event.params as unknown as CautionClaim;
}

function plain(text: string): string {
  return text.trim().toLowerCase().replace(/\s+/g, " ");
}
