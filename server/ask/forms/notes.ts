import type { RivetKind } from "../../kit/types.js";
import { type Act, cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import type { Note, NoteSource, Standing } from "../note.js";
import type { NoteHit } from "../notes.js";
import type { AnswerRow, FormAnswer, Job, Slots, Source } from "../types.js";
import { listed, sentences } from "../wording/grammar.js";
import { reading } from "../wording/readings.js";
import { requiredSlot } from "./slots.js";

const SHOWN = 3;
/** What is said back of a topic. */
const MAX_TOPIC_CHARS = 80;
/** Notes that match far worse than the best only happen to share a word with it. */
const LEAST_OF_BEST = 0.35;

/** The notes that fit a topic best, marked as notes: they are not rulings. */
export const notes: Form = {
  id: "notes",
  answer(job: Job, slots: Slots): FormAnswer {
    const topic = requiredSlot(slots, "topic", "Say what the note should be about.").slice(
      0,
      MAX_TOPIC_CHARS,
    );
    const hits = ofThisKit(job, topic, fitting(job.notes.search(topic, SHOWN)));
    const found = hits.map(({ note }) => note);
    return {
      headline: headlineOf(job, topic, found),
      holes: [],
      rows: hits.map(rowOf),
      trace: found.map(({ id, title }) => ({ kind: "note", note: id, title })),
      cautions: cautionsFor(job, [], found.flatMap(actsOf)),
      sources: found.flatMap(sourcesOf),
      followUps: found.slice(1).map(({ title }) => reading(job, "notes", { topic: title })),
    };
  },
};

function fitting(hits: readonly NoteHit[]): readonly NoteHit[] {
  const best = hits[0]?.score ?? 0;
  return hits.filter(({ score }) => score >= best * LEAST_OF_BEST);
}

const KINDS: readonly RivetKind[] = ["pulled", "solid"];

/** Notes on a sort of rivet that the kit has none of come last, unless the topic names that sort. */
function ofThisKit(job: Job, topic: string, hits: readonly NoteHit[]): readonly NoteHit[] {
  const strange = KINDS.filter(
    (kind) => !job.kit.rivets.some((rivet) => rivet.kind === kind) && !topic.toLowerCase().includes(kind),
  );
  const isStrange = ({ note }: NoteHit): boolean =>
    strange.some((kind) => note.title.toLowerCase().includes(kind));
  return [...hits.filter((hit) => !isStrange(hit)), ...hits.filter(isStrange)];
}

function headlineOf(job: Job, topic: string, found: readonly Note[]): string {
  const [best, ...others] = found;
  if (!best) {
    const titles = job.notes.notes.slice(0, 4).map(({ title }) => `“${title}”`);
    return sentences(
      `there is no note on “${topic}”`,
      titles.length > 0 && `notes there are: ${listed(titles)} and more`,
    );
  }
  return sentences(
    `note: “${best.title}”. ${best.lead}`,
    others.length > 0 && `see also: ${listed(others.map(({ title }) => `“${title}”`))}`,
  );
}

function rowOf({ note, matched }: NoteHit): AnswerRow {
  return {
    holes: [],
    where: `note: ${note.title}`,
    what: note.lead,
    kind: "note",
    note: note.id,
    title: note.title,
    html: note.html,
    matched,
  };
}

/** What a note is about, by its title and the words that it is found by: cautions go by it. */
function actsOf({ title, words }: Note): readonly Act[] {
  const about = [title, ...words].join(" ").toLowerCase();
  return [
    ...(/drill|countersink|dimpl|rivet|deburr|enlarg/.test(about) ? (["drill"] as const) : []),
    ...(/prim|solvent|clean/.test(about) ? (["prime"] as const) : []),
  ];
}

const STANDINGS: Readonly<Record<Standing, string>> = {
  read: "",
  secondary: ", as quoted by a secondary source",
  derived: ", worked out from its values",
};

/** A note's sources, numbered as it cites them; one without is common practice and says so. */
export function sourcesOf({ id, title, sources }: Note): readonly Source[] {
  if (sources.length === 0) return [{ note: id, document: "common practice, no source", place: title }];
  return sources.map((source, i) => ({
    note: id,
    document: source.document,
    place: `${source.place}${standingOf(source)} [${i + 1}]`,
    dated: source.dated,
  }));
}

function standingOf({ standing }: NoteSource): string {
  return STANDINGS[standing];
}
