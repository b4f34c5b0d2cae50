import { lexicon } from "../lexicon.js";
import type { NoteShelf } from "../notes.js";
import { stemOf } from "./names.js";

interface Topics {
  readonly words: ReadonlySet<string>;
  /** Several words that are a topic together only: "edge distance". */
  readonly phrases: readonly (readonly string[])[];
}

const known = new WeakMap<NoteShelf, Topics>();

/** Whether the notes have something on all of these words, so that "how do I …" is a question for them. */
export function inNotes(shelf: NoteShelf, words: readonly string[]): boolean {
  const topics = known.get(shelf) ?? topicsOf(shelf);
  known.set(shelf, topics);
  const open = words.map(stemOf);
  const covered = new Set<number>();
  for (const phrase of topics.phrases) {
    for (let at = 0; at + phrase.length <= open.length; at++) {
      if (!phrase.every((stem, n) => open[at + n] === stem)) continue;
      for (let n = 0; n < phrase.length; n++) covered.add(at + n);
    }
  }
  const telling = words.map(
    (word, at) => lexicon().weight(word) === "content" && !covered.has(at) && !BESIDE_TOPIC.has(word),
  );
  const hasTopic =
    covered.size > 0 || words.some((word, at) => telling[at] && topics.words.has(open[at] ?? word));
  return hasTopic && words.every((word, at) => !telling[at] || topics.words.has(open[at] ?? word));
}

/** What may stand beside a topic and makes it no other one: "tell a good dimple from a bad one", "burrs off thin sheet". */
const BESIDE_TOPIC: ReadonlySet<string> = new Set(
  (
    "good bad badly right wrong proper decent poor nice tidy clean thin thick sheet sheets metal aluminium aluminum skin skins hole holes " +
    "rivet rivets look looks like tell know judge whether if when from between off rid way ways new old first time without " +
    "making and or not should must"
  ).split(" "),
);

function topicsOf(shelf: NoteShelf): Topics {
  const words = new Set<string>();
  const phrases: string[][] = [];
  const add = (text: string): void => {
    const parts = text
      .toLowerCase()
      .split(/[^\p{L}\p{N}]+/u)
      .filter((word) => word !== "");
    const [only] = parts;
    if (parts.length === 1 && only !== undefined) words.add(stemOf(only));
    else phrases.push(parts.map(stemOf));
  };
  for (const { title, words: list } of shelf.notes) {
    list.forEach(add);
    for (const word of title.toLowerCase().split(/[^\p{L}]+/u))
      if (word !== "" && lexicon().weight(word) === "content" && !lexicon().isOrdinary(word)) add(word);
  }
  return { words, phrases };
}
