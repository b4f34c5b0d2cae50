import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import { concepts, isNegation, isWord, isWordItem, means } from "./meaning.js";
import type { NameIndex } from "./names.js";
import { type Where, whereOf, whereSlots } from "./where.js";

/**
 * What a text that was read may mean as well, where one answer would hide the other: both are to be offered, that which was
 * read among them. Nothing where it means one thing.
 */
export function otherMeanings(items: readonly Item[], asked: Asked, names: NameIndex): readonly Asked[] {
  const words = items.filter(isWordItem);
  switch (asked.form) {
    case "stay-open":
      return mayBeSet(items, words, asked, names);
    case "repair":
      return [...mayBeEnough(items, words, asked), ...mayBeRivet(words, asked)];
    default:
      return [];
  }
}

/**
 * "Must I wait with rib 3's top row?", "which ribs can't be riveted now": a hole that no hold keeps open may be one that must
 * not be set yet all the same, because it would wall in others.
 */
function mayBeSet(
  items: readonly Item[],
  words: readonly WordItem[],
  asked: Asked,
  names: NameIndex,
): readonly Asked[] {
  const where = whereOf(asked.slots);
  if (!where || asked.slots.milestone !== undefined || asked.slots.side !== undefined) return [];
  const isNow = words.some((item) => means(item, "now", "yet"));
  const waits = words.some(isWaiting) && words.some((item) => means(item, "must") || ASKED.test(item.word));
  const may = words.findIndex((item) => means(item, "may"));
  const mayNot = may >= 0 && words.some((item) => item.senses.some(isNegation)) && isNow;
  const isOwn = !words.some(isInterrogative) && waits;
  if (!isOwn && !(mayNot && items.some((item) => means(item, "set", "close")))) return [];
  // Of many parts it is told hole by hole what can be set for now.
  if (where.kind === "family") return [{ form: "progress", slots: { family: where.id } }];
  const slots = actOn(where, names, isOwn);
  return slots ? [{ form: "may-i", slots }] : [];
}

function actOn(where: Where, names: NameIndex, isOwn: boolean): Asked["slots"] | null {
  const placed = whereSlots(where, MAY_PLACES, names);
  if (!placed) return null;
  const act = where.kind === "part" && isOwn && isClosing(where.id, names) ? "close" : "set";
  return { act, ...placed, ...(isOwn ? { sense: "against" } : {}) };
}

/** Whether the part is one that closes off access: "must I wait with the top skin". */
function isClosing(part: string, { assembly }: NameIndex): boolean {
  return assembly.closings.includes(part);
}

const MAY_PLACES: ReadonlySet<string> = new Set(["hole", "holes", "row", "part"]);

/** Words for doing something later; not those for doing it not at all ("leave alone", "leave empty"). */
function isWaiting({ word }: WordItem): boolean {
  return WAITING.test(word);
}

const WAITING =
  /^(wait|waits|wait with|waiting with|defer|delay|postpone|(hold|holding) (off|back)( on| from| setting| riveting| filling)?|(put|putting|leave|leaving) off( setting| riveting| filling)?|hang fire on)$/;
const ASKED = /^(do|does|should|shall|must)$/;

function isInterrogative({ word }: WordItem): boolean {
  return word.split(" ").some((one) => lexicon().isOf(one, "asking") || /^(long|until|till)$/.test(one));
}

/** "Is hole 4 too near the edge?": as drawn, or as it was drilled. */
function mayBeEnough(items: readonly Item[], words: readonly WordItem[], { slots }: Asked): readonly Asked[] {
  const { damage, drill, hole, holes, row } = slots;
  if (damage !== "edge" || drill !== undefined || !isWord(items[0], OPENS)) return [];
  if (words.some((item) => isInterrogative(item) || means(item, "may"))) return [];
  const place = { ...(hole && { hole }), ...(holes && { holes }), ...(row && { row }) };
  return Object.keys(place).length > 0 ? [{ form: "edge", slots: { ...place, sense: "open" } }] : [];
}

const OPENS = /^(is|are|would|will)$/;

/** "The rivet in hole 2 is cracked": the rivet comes out again; a crack in the sheet is another thing. */
function mayBeRivet(words: readonly WordItem[], { slots }: Asked): readonly Asked[] {
  const { damage, hole } = slots;
  if (damage !== "cracked" || hole === undefined) return [];
  if (!words.some(({ word }) => RIVET.test(word)) || words.some((item) => concepts(item).includes("set")))
    return [];
  return [
    { form: "tell", slots: { hole, state: "unset" } },
    { form: "notes", slots: { topic: "bad rivet" } },
  ];
}

const RIVET = /^(rivets?|heads?|shop heads?|tails?|stems?|mandrels?)$/;
