import type { Asked } from "./clipped.js";
import type { Token } from "./tokens.js";
import { onlyReading, type Standing, said } from "./whole.js";

/**
 * "I've set rib 3's top row, didn't I?", "we riveted it?": what somebody has done, asked for. It asks whether that is done, and
 * never whether it may be. Null where it states nothing, or may be asking what to do: "I set rib 3?".
 */
export function askedStatement(tokens: readonly Token[], standing: Standing): Asked | null {
  const words = tokens.map(({ word }) => word);
  if (!words.slice(0, FIRST).some((word) => SOMEBODY.test(word)) || !words.some((word) => PAST.test(word)))
    return null;
  const { setting } = standing;
  const stating = { ...standing, setting: { ...setting, asks: false } };
  const told = onlyReading(said(tokens, stating), stating);
  const form = told && setting.grammar.forms.find(({ id }) => id === told.form);
  const other = setting.grammar.forms.find(({ id }) => id === form?.asked);
  if (!told || !other || told.slots.state === undefined) return null;
  const takes = new Set(other.slots.map(({ name }) => name));
  return {
    form: other.id,
    slots: Object.fromEntries(Object.entries(told.slots).filter(([name]) => takes.has(name))),
  };
}

/** Whoever did it is named among so many words, small ones before them. */
const FIRST = 3;
const SOMEBODY = /^(i|we|they|he|she|you)$/;
const PAST = /^(have|has|had|already|[a-z]{3,}ed)$/;
