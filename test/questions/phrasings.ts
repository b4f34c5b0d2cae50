import { join } from "node:path";
import type { FormSpec } from "../../server/ask/form.js";
import { type NoteShelf, shelveNotes } from "../../server/ask/notes.js";
import { loadForms } from "../../server/ask/questions.js";
import { type Outcome, read } from "../../server/ask/reading/read.js";
import { inNotes } from "../../server/ask/reading/topics.js";
import type { Slots } from "../../server/ask/types.js";
import { PROJECT, sourcesIn } from "../../server/files.js";
import { finder } from "../../server/kit/find.js";
import { loadKit } from "../../server/kit/load.js";
import type { Assembly, Kit } from "../../server/kit/types.js";
import { NO_WORK } from "../../server/kit/work.js";
import { parseJson } from "../../server/source.js";

interface Asked {
  readonly form: string;
  readonly slots: Slots;
}

/** One way to ask, with what a builder means by it: a reading, or "ask back" where answering would be a guess. */
export interface Phrasing {
  readonly ask: string;
  /** The reading before it. */
  readonly after?: Asked;
  /** Slot values as ids; in `holes`, "RIB-3.top.1-6" is a run, "through RIB-2" all holes through a part; a topic "*" is any topic. */
  readonly read: Asked | "ask back";
  /** Forms that may read it as well, once they are there: what is asked back for want of them. */
  readonly or?: readonly string[];
}

interface PhrasingFile {
  readonly kit: string;
  readonly assembly: string;
  readonly phrasings: readonly Phrasing[];
}

/** A kit's assembly, the forms and the notes: all that reading needs. */
export interface Shelf {
  readonly kit: Kit;
  readonly assembly: Assembly;
  readonly forms: readonly FormSpec[];
  readonly notes: NoteShelf;
}

/** All phrasings of a set, "work" or "kept": its file and those that start with its name ("work-order.json"). */
export function phrasingSet(name: string): PhrasingFile {
  const files = sourcesIn(join(PROJECT, "test", "questions"), ".json")
    .filter(({ path }) => new RegExp(`/${name}(-[a-z-]+)?\\.json$`).test(path))
    .map((file) => parseJson(file) as PhrasingFile);
  const [first] = files;
  if (!first) throw new Error(`no phrasings ${name}`);
  return { ...first, phrasings: files.flatMap(({ phrasings }) => phrasings) };
}

/** The kit's assembly with the real forms and notes. */
export function shelfOf(kitId: string, assemblyId: string): Shelf {
  const folder = join(PROJECT, "kb", "kits", kitId);
  const kit = loadKit([...sourcesIn(folder, ".json"), ...sourcesIn(join(folder, "assemblies"), ".json")]);
  const assembly = kit.assemblies.find(({ id }) => id === assemblyId);
  if (!assembly) throw new Error(`${kitId} has no assembly ${assemblyId}`);
  return { kit, assembly, ...formsAndNotes() };
}

export function formsAndNotes(): Pick<Shelf, "forms" | "notes"> {
  return {
    forms: loadForms(sourcesIn(join(PROJECT, "kb", "questions"), ".json")),
    notes: shelveNotes(sourcesIn(join(PROJECT, "kb", "notes"), ".md")),
  };
}

export function readOn(shelf: Shelf, text: string, after: Asked | null = null): Outcome {
  const { kit, assembly, forms, notes } = shelf;
  return read(
    text,
    { kit, assembly, work: NO_WORK, forms, inNotes: (words) => inNotes(notes, words) },
    after,
  );
}

export type Result = "right" | "asked back" | "wrong";

/** How a phrasing came out: answering what should be asked back is wrong, asking back what could be read is not. */
export function judge(phrasing: Phrasing, outcome: Outcome, { assembly }: Shelf): Result {
  if (outcome.kind === "doubt") return phrasing.read === "ask back" ? "right" : "asked back";
  if (phrasing.read === "ask back") return phrasing.or?.includes(outcome.asked.form) ? "right" : "wrong";
  return sameReading(phrasing.read, outcome.asked, assembly) ? "right" : "wrong";
}

function sameReading(wanted: Asked, got: Asked, assembly: Assembly): boolean {
  if (wanted.form !== got.form) return false;
  const [a, b] = [plain(wanted.slots, assembly), plain(got.slots, assembly)];
  if (a.topic === "*" && b.topic !== undefined) return true;
  return JSON.stringify(a) === JSON.stringify(b);
}

/** Slots in one order, runs of holes written out. */
function plain(slots: Slots, assembly: Assembly): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(slots)
      .filter(([, value]) => value !== undefined)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([name, value]) => [
        name,
        Array.isArray(value) ? value.flatMap((one) => run(one, assembly)).sort() : value,
      ]),
  );
}

function run(hole: string, assembly: Assembly): string[] {
  if (hole.startsWith("through "))
    return finder(assembly)
      .holesThrough(hole.slice("through ".length))
      .map(({ id }) => id);
  const [, row, from, to] = /^(.*\.)(\d+)-(\d+)$/.exec(hole) ?? [];
  if (row === undefined) return [hole];
  return Array.from({ length: Number(to) - Number(from) + 1 }, (_, n) => `${row}${Number(from) + n}`);
}

export interface Tally {
  readonly form: string;
  right: number;
  askedBack: number;
  wrong: number;
}

/** Results counted by form, with those that should be asked back as a line of their own. */
export function tally(shelf: Shelf, phrasings: readonly Phrasing[]): { rows: Tally[]; all: Tally } {
  const byForm = new Map<string, Tally>();
  const all: Tally = { form: "all", right: 0, askedBack: 0, wrong: 0 };
  for (const phrasing of phrasings) {
    const form = phrasing.read === "ask back" ? "(to ask back)" : phrasing.read.form;
    const row = byForm.get(form) ?? { form, right: 0, askedBack: 0, wrong: 0 };
    byForm.set(form, row);
    const result = judge(phrasing, readOn(shelf, phrasing.ask, phrasing.after ?? null), shelf);
    for (const one of [row, all]) {
      if (result === "right") one.right++;
      else if (result === "wrong") one.wrong++;
      else one.askedBack++;
    }
  }
  return { rows: [...byForm.values()].sort((a, b) => (a.form < b.form ? -1 : 1)), all };
}
