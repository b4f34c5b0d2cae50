import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import type { Note } from "../ask/note.js";
import { Problem } from "../problem.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id } from "./shapes.js";

const NoteLine = { id: Type.String(), title: Type.String(), lead: Type.String() };
const NoteReply = exactly({
  ...NoteLine,
  words: Type.Array(Type.String()),
  sources: Type.Array(
    Type.Object({ document: Type.String(), place: Type.String(), standing: Type.String() }),
  ),
  html: Type.String({ description: "rendered and sanitised: a few tags without attributes" }),
});
const NotesQuery = exactly({ q: Type.Optional(Type.String({ maxLength: 200 })) });
const NoteParams = exactly({ id: Id });

/** Short notes for the bench. */
export function noteRoutes(app: FastifyInstance, { library: { notes } }: Workshop): void {
  app.get<{ Querystring: Static<typeof NotesQuery> }>(
    "/api/notes",
    {
      schema: {
        summary: "Notes that share words with q, best first; all notes without q",
        querystring: NotesQuery,
        response: { 200: exactly({ notes: Type.Array(exactly(NoteLine)) }) },
      },
    },
    async ({ query: { q = "" } }) => {
      const found = q.trim() === "" ? notes.notes : notes.search(q, 20).map(({ note }) => note);
      return { notes: found.map(({ id, title, lead }) => ({ id, title, lead })) };
    },
  );

  app.get<{ Params: Static<typeof NoteParams> }>(
    "/api/notes/:id",
    { schema: { summary: "One note", params: NoteParams, response: { 200: NoteReply } } },
    async ({ params: { id } }) => {
      const note = notes.get(id);
      if (note) return noteReply(note);
      throw new Problem("UNKNOWN_NOTE", `There is no note "${id}".`, {
        fix: "The notes are listed at /api/notes.",
      });
    },
  );
}

function noteReply({ id, title, lead, words, sources, html }: Note): object {
  return { id, title, lead, words, sources, html };
}
