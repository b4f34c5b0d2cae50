import type { Asked } from "./clipped.js";
import type { Item } from "./items.js";
import { itemsOf } from "./items.js";
import { type Aside, asideOf, beginnings, stops } from "./lead-in.js";
import { reordered } from "./match.js";
import type { NameIndex } from "./names.js";
import { placeOf, type Where, whereOf } from "./place.js";
import type { Token } from "./tokens.js";
import { askedOf, closest, onlyReading, type Standing, said } from "./whole.js";

/** What a text says that is no question from end to end. */
export type Beside =
  /** One question; `unused` are words said beside it that mean nothing here. */
  | { readonly kind: "one"; readonly asked: Asked; readonly unused: readonly string[] }
  /** Two questions, or a statement of work and a question, in their order. */
  | { readonly kind: "two"; readonly both: readonly [Asked, Asked] };

/** Longer texts are told as a story; nobody can say which part of it is the question. */
const MOST_TOKENS = 40;
/** So many ways of cutting a text are tried, so that reading stays quick. */
const MOST_CUTS = 4;

/** The question in a text that says something beside it, or has its asking word last; null when there is none. */
export function readBeside(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.length > MOST_TOKENS) return null;
  return (
    withoutAsides(tokens, standing) ??
    turnedRound(tokens, standing) ??
    inAnyOrder(tokens, standing) ??
    twoThings(tokens, standing)
  );
}

/** "I'm at the bench with rib 3, is the top row dimpled?": the question by itself, for the place named beside it. */
function withoutAsides(tokens: readonly Token[], standing: Standing): Beside | null {
  const { names } = standing.setting;
  for (const at of beginnings(tokens).slice(0, MOST_CUTS)) {
    const aside = asideOf(itemsOf(tokens.slice(0, at), names));
    if (!aside) break;
    const found = apartFrom(aside, tokens.slice(at), standing);
    if (found) return found;
  }
  for (const at of stops(tokens).toReversed().slice(0, MOST_CUTS)) {
    const aside = asideOf(itemsOf(tokens.slice(at), names));
    const found = aside && apartFrom(aside, tokens.slice(0, at), standing);
    if (found) return found;
  }
  return null;
}

function apartFrom({ where, unused }: Aside, tokens: readonly Token[], standing: Standing): Beside | null {
  const items = said(tokens, standing);
  const placed = where ? placedIn(items, where, standing.setting.names) : items;
  const asked = placed && onlyReading(placed, where ? { ...standing, before: null } : standing);
  return asked && { kind: "one", asked, unused };
}

/** A question's items with the place that was named beside it; null when it has another place of its own. */
function placedIn(items: readonly Item[], where: Where, names: NameIndex): readonly Item[] | null {
  const at = items.findIndex(({ kind }) => kind === "place");
  const item = items[at];
  if (!item) return [{ kind: "place", text: "", place: { kind: "known", where } }, ...items];
  if (item.kind !== "place" || items.filter(({ kind }) => kind === "place").length > 1) return null;
  const { place } = item;
  if (place.kind !== "open" || where.kind !== "part") return null;
  const own = placeOf({ ...place.spot, whichPart: null, parts: [where.id] }, names);
  return own.kind === "known" ? items.with(at, { ...item, place: own }) : null;
}

/** Longer texts are no clipped question with its words in another order. */
const MOST_TURNED = 12;
const ASKING_WORD = /^(what|which|why|where|how|when)$/;

/** "Rib 4 domed, why", "domed heads on ribs where": read as if it began with its asking word. */
function turnedRound(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.length > MOST_TURNED) return null;
  const at = tokens.findLastIndex(({ word }) => ASKING_WORD.test(word));
  const before = tokens.slice(0, Math.max(at, 0));
  if (at <= 0 || before.some(({ word, after }) => ASKING_WORD.test(word) || /[.;!?]/.test(after)))
    return null;
  const last = tokens.length - 1;
  const open = tokens.map((token, n) => (n === at - 1 || n === last ? { ...token, after: "" } : token));
  const asked = onlyReading(said([...open.slice(at), ...open.slice(0, at)], standing), standing);
  return asked && { kind: "one", asked, unused: [] };
}

/** "Nose skin on now ok": read when its words, in whatever order, say one thing only. */
function inAnyOrder(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.slice(0, -1).some(({ after }) => /[.:;!?]/.test(after))) return null;
  const [one, another] = closest(reordered(said(tokens, standing), standing.setting));
  return one && !another ? { kind: "one", asked: askedOf(one), unused: [] } : null;
}

/** "I've dimpled rib 3, what's next?": both are offered, one at a time. */
function twoThings(tokens: readonly Token[], standing: Standing): Beside | null {
  const cuts = tokens.flatMap((token, at) =>
    at > 0 && (/[,.;:!?-]/.test(tokens[at - 1]?.after ?? "") || /^(and|so|but)$/.test(token.word))
      ? [at]
      : [],
  );
  const { setting } = standing;
  for (const at of cuts.slice(0, MOST_CUTS)) {
    const stated = { ...standing, setting: { ...setting, asks: false } };
    const first = onlyReading(said(tokens.slice(0, at), stated), stated);
    if (!first) continue;
    const after = { setting: { ...setting, before: whereOf(first.slots) }, before: first };
    const second = onlyReading(said(tokens.slice(at), after), after);
    if (second) return { kind: "two", both: [first, second] };
  }
  return null;
}
