import type { FormSpec } from "../form.js";
import type { Asked } from "./clipped.js";
import type { NameIndex } from "./names.js";
import { holesAt, type Where, whereOf } from "./where.js";

/**
 * Choices without long lists of holes: holes that are exactly those of a row, a part or a family are named as that where the
 * form takes it; all holes of a family or of a part are left out where it does not, because nobody can look through them.
 */
export function withShortPlaces(
  choices: readonly Asked[],
  forms: readonly FormSpec[],
  names: NameIndex,
): readonly Asked[] {
  return choices.flatMap((choice) => {
    const { holes, ...rest } = choice.slots;
    const form = forms.find(({ id }) => id === choice.form);
    if (!holes || holes.length <= FEW || !form) return [choice];
    const places = placesOf(holes, names);
    const place = places.find(({ kind }) => form.slots.some(({ name }) => name === kind));
    if (place) return [{ ...choice, slots: { ...rest, [place.kind]: place.id } }];
    return places.length > 0 || holes.length > MANY ? [] : [choice];
  });
}

/** Choices that are about no place that the text leaves out: "apart from rib 3, what stays open". */
export function withoutLeftOut(
  choices: readonly Asked[],
  leftOut: readonly Where[],
  names: NameIndex,
): readonly Asked[] {
  const out = new Set(leftOut.filter(({ kind }) => kind !== "all").flatMap((where) => holesAt(where, names)));
  return out.size === 0
    ? choices
    : choices.filter(({ slots }) => {
        const where = whereOf(slots);
        return !where || holesAt(where, names).some((hole) => !out.has(hole));
      });
}

/** So many holes can be looked through. */
const FEW = 12;
/** So many cannot, whatever is left out of them. */
const MANY = 60;

type Named = Extract<Where, { readonly id: string }>;

/** Rows, parts and families with exactly these holes, the narrowest sort first. */
function placesOf(holes: readonly string[], names: NameIndex): readonly Named[] {
  const { assembly } = names;
  const all: readonly Named[] = [
    ...names.rows.map(({ row }): Named => ({ kind: "row", id: row.id })),
    ...assembly.parts.map(({ id }): Named => ({ kind: "part", id })),
    ...assembly.families.map(({ id }): Named => ({ kind: "family", id })),
  ];
  const wanted = new Set(holes);
  return all.filter((place) => {
    const own = holesAt(place, names);
    return own.length === wanted.size && own.every((hole) => wanted.has(hole));
  });
}
