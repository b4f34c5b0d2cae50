import lunr from "lunr";
import { Problem } from "../problem.js";
import type { SourceFile } from "../source.js";
import { type Note, readNote } from "./note.js";

/** A note that a search found, best first. */
export interface NoteHit {
  readonly note: Note;
  readonly score: number;
  /** Word stems that matched. */
  readonly matched: readonly string[];
}

/** All notes, ready to be asked. */
export interface NoteShelf {
  /** By id. */
  readonly notes: readonly Note[];
  /** Notes that could not be read; they are left out, the rest still serves. */
  readonly problems: readonly Problem[];
  get(id: string): Note | undefined;
  /** Notes that share words with the text, best first; any text is safe to give. */
  search(text: string, limit?: number): readonly NoteHit[];
}

const MAX_WORDS = 24;
const MAX_WORD_CHARS = 30;

/** Reads and renders `kb/notes/*.md`. Never throws: what cannot be read is in `problems`. */
export function shelveNotes(files: readonly SourceFile[]): NoteShelf {
  const byId = new Map<string, Note>();
  const problems: Problem[] = [];
  for (const file of [...files].sort((a, b) => (a.path < b.path ? -1 : 1))) {
    try {
      const note = readNote(file);
      if (byId.has(note.id)) throw duplicate(file, note.id);
      byId.set(note.id, note);
    } catch (error) {
      problems.push(error instanceof Problem ? error : unreadable(file));
    }
  }
  // Made by the first search: the start need not wait for it.
  let index: lunr.Index | null = null;
  return Object.freeze({
    notes: [...byId.values()],
    problems,
    get: (id: string) => byId.get(id),
    search: (text: string, limit = 5) => {
      index ??= indexOf([...byId.values()]);
      return search(index, byId, text, limit);
    },
  });
}

/** A shelf with nothing on it. */
export const NO_NOTES: NoteShelf = shelveNotes([]);

function duplicate(file: SourceFile, id: string): Problem {
  return new Problem("NOTE_MALFORMED", `There are two notes "${id}".`, {
    where: { file: file.path },
    fix: "Rename one of the files.",
  });
}

function unreadable(file: SourceFile): Problem {
  return new Problem("NOTE_MALFORMED", "The note cannot be read.", {
    where: { file: file.path },
    fix: "Write it as plain Markdown below its front matter.",
  });
}

function indexOf(notes: readonly Note[]): lunr.Index {
  return lunr(function () {
    this.ref("id");
    this.field("title", { boost: 6 });
    this.field("words", { boost: 4 });
    this.field("text");
    for (const { id, title, words, text } of notes) this.add({ id, title, words: words.join(" "), text });
  });
}

/** Through the query builder only: lunr's query syntax throws on ordinary punctuation. */
function search(
  index: lunr.Index,
  byId: ReadonlyMap<string, Note>,
  text: string,
  limit: number,
): readonly NoteHit[] {
  const words = wordsOf(text);
  if (words.length === 0) return [];
  const found = index.query((query) => {
    for (const word of words) {
      query.term(word, { boost: 10 });
      if (word.length >= 5) query.term(word, { editDistance: 1, boost: 1 });
    }
  });
  return found
    .map(({ ref, score, matchData }): NoteHit | null => {
      const note = byId.get(ref);
      return note ? { note, score, matched: Object.keys(matchData.metadata).sort() } : null;
    })
    .filter((hit) => hit !== null)
    .sort((a, b) => b.score - a.score || (a.note.id < b.note.id ? -1 : 1))
    .slice(0, limit);
}

/** Letters and digits only, so that nothing reaches lunr as a wildcard or an operator; stop words left out. */
function wordsOf(text: string): string[] {
  const words = text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "" && word.length <= MAX_WORD_CHARS);
  const telling = words.filter((word) => lunr.stopWordFilter(new lunr.Token(word, {})) !== undefined);
  return [...new Set(telling)].slice(0, MAX_WORDS);
}
