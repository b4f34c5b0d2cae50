import type { FormSpec } from "../form.js";
import type { Asked } from "./clipped.js";
import { itemsOf } from "./items.js";
import type { NameIndex } from "./names.js";
import type { Token } from "./tokens.js";
import { PLACE_SLOTS, whereSlots } from "./where.js";

/**
 * What was asked, for the place that is named after "I mean": "…? I mean the whole sill". Null where nothing else is
 * named so, or the form has no slot for it.
 */
export function meantInstead(
  tokens: readonly Token[],
  asked: Asked,
  forms: readonly FormSpec[],
  names: NameIndex,
): { readonly asked: Asked; readonly text: string } | null {
  const at = tokens.findIndex(({ word }, n) => n > 1 && /^(mean|meant)$/.test(word) && isSelf(tokens[n - 1]));
  const form = forms.find(({ id }) => id === asked.form);
  if (at < 0 || !form) return null;
  const places = itemsOf(tokens.slice(at + 1), names).filter((item) => item.kind === "place");
  const [place, more] = places;
  if (!place || more || place.place.kind !== "known") return null;
  const slots = whereSlots(place.place.where, new Set(form.slots.map(({ name }) => name)), names);
  if (!slots) return null;
  const rest = Object.entries(asked.slots).filter(([name]) => !PLACE_SLOTS.includes(name));
  return { asked: { form: asked.form, slots: { ...Object.fromEntries(rest), ...slots } }, text: place.text };
}

function isSelf(token: Token | undefined): boolean {
  return token?.word === "i" || token?.word === "we";
}
