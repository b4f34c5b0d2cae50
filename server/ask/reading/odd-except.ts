import type { Asked } from "./clipped.js";
import { isExcept } from "./groups.js";
import type { Item } from "./items.js";
import { isPlaceItem, means } from "./meaning.js";
import type { NameIndex } from "./names.js";

/**
 * "Are all ribs the same except rib 4?": whether one member alone differs from its family. Which members differ, and in
 * what this one does, each answers it in part. Empty where no family is compared so.
 * @param items  before what is left out was taken off what it is left out of
 */
export function oddExcept(items: readonly Item[], names: NameIndex): readonly Asked[] {
  const except = items.findIndex((item) => item.kind === "word" && isExcept(item.word));
  if (except < 0 || !items.some((item) => means(item, "odd", "same"))) return [];
  const places = items
    .filter(isPlaceItem)
    .flatMap(({ place }) => (place.kind === "known" ? [place.where] : []));
  const family = places.find(({ kind }) => kind === "family");
  const part = places.find(({ kind }) => kind === "part");
  if (places.length !== 2 || family?.kind !== "family" || part?.kind !== "part") return [];
  const members = names.assembly.families.find(({ id }) => id === family.id)?.members ?? [];
  return members.includes(part.id)
    ? [
        { form: "odd-ones", slots: { family: family.id } },
        { form: "odd-ones", slots: { part: part.id } },
      ]
    : [];
}
