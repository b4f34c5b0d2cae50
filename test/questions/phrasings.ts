import { existsSync } from "node:fs";
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

/**
 * One way to ask, with what a builder means by it: a reading; "ask back" where answering would be a guess; "refuse"
 * where it must be said that this cannot be answered here, and who can.
 */
export interface Phrasing {
  readonly ask: string;
  /** The reading before it. */
  readonly after?: Asked;
  /** Slot values as ids; in `holes`, "RIB-3.top.1-6" is a run, "through RIB-2" all holes through a part; a topic "*" is any topic. */
  readonly read: Asked | "ask back" | "refuse";
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

/** A phrasing with the kit that it is asked of. */
export interface Case {
  readonly phrasing: Phrasing;
  readonly shelf: Shelf;
}

/**
 * All phrasings of a set, "work", "kept" or "fresh", each with its kit: those of its file and of the files that start
 * with its name ("work-order.json").
 */
export function phrasingSet(name: string): readonly Case[] {
  const files = sourcesIn(join(PROJECT, "test", "questions"), ".json")
    .filter(({ path }) => new RegExp(`/${name}(-[a-z-]+)?\\.json$`).test(path))
    .map((file) => parseJson(file) as PhrasingFile);
  if (files.length === 0) throw new Error(`no phrasings ${name}`);
  const shelves = new Map<string, Shelf>();
  return files.flatMap(({ kit, assembly, phrasings }) => {
    const key = `${kit} ${assembly}`;
    const shelf = shelves.get(key) ?? shelfOf(kit, assembly);
    shelves.set(key, shelf);
    return phrasings.map((phrasing) => ({ phrasing, shelf }));
  });
}

/** The kit's assembly with the real forms and notes: a demo kit's, or that of a kit that is there only to be asked about. */
export function shelfOf(kitId: string, assemblyId: string): Shelf {
  const folder = [join(PROJECT, "kb", "kits"), join(PROJECT, "test", "questions", "kits")]
    .map((kits) => join(kits, kitId))
    .find((kit) => existsSync(join(kit, "kit.json")));
  if (!folder) throw new Error(`no kit ${kitId}`);
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
export function judge({ phrasing, shelf }: Case, outcome: Outcome = readCase({ phrasing, shelf })): Result {
  const { read: wanted, or: others = [] } = phrasing;
  if (outcome.kind === "doubt") {
    if (wanted === "refuse") return outcome.doubt.code === "elsewhere" ? "right" : "asked back";
    return wanted === "ask back" ? "right" : "asked back";
  }
  if (others.includes(outcome.asked.form)) return "right";
  if (typeof wanted === "string") return "wrong";
  return sameReading(wanted, outcome.asked, shelf.assembly) ? "right" : "wrong";
}

/** Whether the reading that was meant is among the choices of an asking back. */
function offers({ phrasing, shelf }: Case, outcome: Outcome): boolean {
  const { read: wanted } = phrasing;
  if (outcome.kind !== "doubt" || typeof wanted === "string") return false;
  return outcome.choices.some((choice) => sameReading(wanted, choice, shelf.assembly));
}

export function readCase({ phrasing, shelf }: Case): Outcome {
  return readOn(shelf, phrasing.ask, phrasing.after ? writtenOut(phrasing.after, shelf.assembly) : null);
}

/** A reading as the program has it: runs of holes written out. */
function writtenOut(asked: Asked, assembly: Assembly): Asked {
  const { holes, ...rest } = asked.slots;
  return holes
    ? { ...asked, slots: { ...rest, holes: holes.flatMap((hole) => run(hole, assembly)) } }
    : asked;
}

function sameReading(wanted: Asked, got: Asked, assembly: Assembly): boolean {
  if (wanted.form !== got.form) return false;
  const [a, b] = [plain(byHoles(wanted), assembly), plain(byHoles(got), assembly)];
  if (a.topic === "*" && b.topic !== undefined) return true;
  return JSON.stringify(a) === JSON.stringify(b);
}

/** A statement about a whole part, or all parts of a family, is one about the holes through it: "gusset 1 is riveted". */
function byHoles({ form, slots }: Asked): Slots {
  const { part, family, ...rest } = slots;
  if (form !== "tell" || slots.state === undefined) return slots;
  if (typeof part === "string") return { ...rest, holes: [`through ${part}`] };
  return typeof family === "string" ? { ...rest, holes: [`through ${family}`] } : slots;
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
  if (hole.startsWith("through ")) {
    const name = hole.slice("through ".length);
    const members = assembly.families.find(({ id }) => id === name)?.members ?? [name];
    return members.flatMap((part) =>
      finder(assembly)
        .holesThrough(part)
        .map(({ id }) => id),
    );
  }
  const [, row, from, to] = /^(.*\.)(\d+)-(\d+)$/.exec(hole) ?? [];
  if (row === undefined) return [hole];
  return Array.from({ length: Number(to) - Number(from) + 1 }, (_, n) => `${row}${Number(from) + n}`);
}

export interface Tally {
  readonly form: string;
  right: number;
  askedBack: number;
  /** Of those asked back: the reading that was meant is among the choices, one tap away. */
  oneTap: number;
  wrong: number;
}

/** Results counted by form, with those that should be asked back or refused as lines of their own. */
export function tally(cases: readonly Case[]): { rows: Tally[]; all: Tally } {
  const byForm = new Map<string, Tally>();
  const all: Tally = { form: "all", right: 0, askedBack: 0, oneTap: 0, wrong: 0 };
  for (const one of cases) {
    const { read: wanted } = one.phrasing;
    const form = wanted === "ask back" ? "(to ask back)" : wanted === "refuse" ? "(to refuse)" : wanted.form;
    const row = byForm.get(form) ?? { form, right: 0, askedBack: 0, oneTap: 0, wrong: 0 };
    byForm.set(form, row);
    const outcome = readCase(one);
    const result = judge(one, outcome);
    const offered = result === "asked back" && offers(one, outcome);
    for (const counted of [row, all]) {
      if (offered) counted.oneTap++;
      if (result === "right") counted.right++;
      else if (result === "wrong") counted.wrong++;
      else counted.askedBack++;
    }
  }
  return { rows: [...byForm.values()].sort((a, b) => (a.form < b.form ? -1 : 1)), all };
}
