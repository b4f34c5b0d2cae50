import { slotConflict } from "../slot-conflict.js";
import type { Asked } from "./clipped.js";
import type { Token } from "./tokens.js";
import { PLACE_SLOTS, whereOf, whereSlots } from "./where.js";
import type { Standing } from "./whole.js";
import { isHoleNoun } from "./words.js";

/**
 * "And which are not flush?" after a question about rib 3 goes on about rib 3: a question without a place of its own that
 * opens with "and", or asks the same form with a bare "which are". "Which holes are dimpled?" is asked of everything.
 */
export function goingOn(tokens: readonly Token[], asked: Asked, { setting, before }: Standing): Asked {
  const place = before && whereOf(before.slots);
  const form = setting.grammar.forms.find(({ id }) => id === asked.form);
  if (!before || !place || !form || form.statement || SAID_OF.some((slot) => asked.slots[slot] !== undefined))
    return asked;
  const words = tokens.map(({ word }) => word);
  const opens = /^(and|but)$/.test(words[0] ?? "");
  const bare =
    asked.form === before.form &&
    /^(which|what|how|any|how many)$/.test(words[opens ? 1 : 0] ?? "") &&
    !tokens.some(isHoleNoun);
  if (!(opens ? asked.form === before.form || bare : bare) || words.some((word) => OF_ALL.test(word)))
    return asked;
  const has = new Set(form.slots.map(({ name }) => name));
  const placed = whereSlots(place, has, setting.names);
  const slots = placed && { ...asked.slots, ...placed };
  return slots && !slotConflict(form, slots, setting.names.assembly) ? { ...asked, slots } : asked;
}

/** What a question says by itself of what it is about. */
const SAID_OF: readonly string[] = [...PLACE_SLOTS, "notice", "milestone", "neighbour", "topic", "other"];
/** What a question asks of everything by, or of something else: it does not go on from the place before. */
const OF_ALL = /^(all|whole|every|everything|everywhere|anywhere|else|other|others|altogether)$/;
