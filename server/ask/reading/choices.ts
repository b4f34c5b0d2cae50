import { neighboursOf } from "../../kit/neighbours.js";
import { closedParts, type Work } from "../../kit/work.js";
import { type FormSpec, type SlotSpec, takes } from "../form.js";
import { lexicon } from "../lexicon.js";
import { slotConflict } from "../slot-conflict.js";
import type { Slots } from "../types.js";
import type { Asked } from "./clipped.js";
import type { Match } from "./match.js";
import type { NameIndex } from "./names.js";
import { PLACE_SLOTS, type Where, whereSlots } from "./where.js";

/** Most choices that one asking back offers. */
export const MOST_CHOICES = 8;

/** Ways to complete a match that make sense as the work stands; none when there are too many things to say. */
export function completions(match: Match, names: NameIndex, work: Work): readonly Asked[] {
  const has = new Set(match.form.slots.map(({ name }) => name));
  const missing = match.missing.filter((slot) => match.slots[slot] === undefined);
  const ways = (): readonly Slots[] => {
    if (match.open) {
      return match.open.options.flatMap((where: Where) => {
        const slots = whereSlots(where, has, names);
        return slots ? [slots] : [];
      });
    }
    const [slot] = missing;
    if (slot === undefined) return match.pointing ? placeChoices(match.form, names, work) : [{}];
    if (slot !== "family" && slot !== "step" && PLACE_SLOTS.includes(slot))
      return placeChoices(match.form, names, work);
    const spec = match.form.slots.find(({ name }) => name === slot);
    return spec ? valuesOf(spec, names).map((value) => ({ [slot]: value })) : [];
  };
  return ways()
    .map((slots): Asked => ({ form: match.form.id, slots: { ...match.slots, ...slots } }))
    .filter(({ slots }) => lackingSlots(match.form, slots).length === 0)
    .filter(({ slots }) => slotConflict(match.form, slots, names.assembly) === null)
    .slice(0, MOST_CHOICES);
}

/** Slots that a form still needs. */
export function lackingSlots(form: FormSpec, slots: Slots): readonly string[] {
  const required = form.slots
    .filter(({ name, required }) => required && slots[name] === undefined)
    .map(({ name }) => name);
  const groups = form.oneOf
    .filter((group) => group.every((slot) => slots[slot] === undefined))
    .map(([slot = ""]) => slot);
  return [...new Set([...required, ...groups])];
}

/**
 * Parts in the order in which the manual closes them, those that can still be closed first; or the families; none where a
 * form takes only rows and holes, which are too many to list.
 */
function placeChoices(form: FormSpec, names: NameIndex, work: Work): readonly Slots[] {
  const { assembly } = names;
  const spec = form.slots.find(({ name }) => name === "part");
  if (!spec) {
    const byFamily = form.slots.some(({ name }) => name === "family");
    return byFamily ? assembly.families.map(({ id }) => ({ family: id })) : [];
  }
  const closed = closedParts(assembly, work);
  const ordered = [
    ...assembly.closings,
    ...assembly.parts.map(({ id }) => id).filter((id) => !assembly.closings.includes(id)),
  ];
  const open = ordered.filter((part) => !closed.has(part));
  return (spec.offer === "not closed" ? open : [...open, ...ordered.filter((part) => closed.has(part))]).map(
    (part) => ({ part }),
  );
}

/** What a slot that names no place may hold, by id; none where it is typed. */
export function valuesOf(spec: SlotSpec, names: NameIndex): readonly string[] {
  switch (spec.type) {
    case "part":
      return names.assembly.parts.map(({ id }) => id);
    case "milestone":
      return names.assembly.milestones.map(({ id }) => id);
    case "family":
      return names.assembly.families.map(({ id }) => id);
    case "notice":
      return names.kit.notices.map(({ id }) => id);
    case "gate":
      return names.kit.prepGates.map(({ id }) => id);
    case "neighbour":
      return neighboursOf(names.assembly).map(({ id }) => id);
    case "step":
      return names.assembly.steps.map(({ id }) => id);
    case "side":
      return names.assembly.views.map(({ id }) => id);
    case "rivet":
      return names.kit.rivets.map(({ code }) => code);
    case "topic":
    case "size":
    case "drill":
    case "percent":
      return [];
    default:
      return [
        ...new Set(
          [...lexicon().concepts.values()]
            .map(({ slots }) => slots[spec.type])
            .filter((value) => value !== undefined)
            .filter((value) => takes(spec, value)),
        ),
      ];
  }
}

/** What can be asked about a place alone, one choice a form. */
export function formsFor(where: Where, forms: readonly FormSpec[], names: NameIndex): readonly Asked[] {
  return forms
    .flatMap((form): Asked[] => {
      const has = new Set(form.slots.map(({ name }) => name));
      const slots = form.statement ? null : whereSlots(where, has, names);
      return slots && Object.keys(slots).length > 0 && lackingSlots(form, slots).length === 0
        ? [{ form: form.id, slots }]
        : [];
    })
    .slice(0, MOST_CHOICES);
}
