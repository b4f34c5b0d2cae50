import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import { record } from "../recording.js";
import type { Watch } from "../store/watch.js";
import type { WorkAt, Workshop } from "../workshop.js";
import { ActHeaders, appendRequest } from "./act.js";
import type { Door } from "./door.js";
import { AssemblyParams, exactly, Id, lineOf, MarkShape, Version } from "./shapes.js";

const MarksReply = exactly({
  kit: Type.String(),
  assembly: Type.String(),
  version: Version,
  holes: Type.Record(Type.String(), Type.Enum(["pinned", "set"]), { description: "all others are unset" }),
  prep: Type.Record(Type.String(), Type.Array(Type.String()), { description: "gates done, by part" }),
  milestones: Type.Array(Type.String(), { description: "milestones reached" }),
});
type MarksReply = Static<typeof MarksReply>;

const MarksBody = exactly({
  kit: Id,
  assembly: Id,
  marks: Type.Array(MarkShape, { minItems: 1, maxItems: 2000 }),
  by: Type.Optional(lineOf(80, "who did it: up to 80 characters on one line; the builder when left out")),
});
type MarksBody = Static<typeof MarksBody>;

const RecordedReply = exactly({
  version: Version,
  undo: Type.Array(MarkShape, { description: "marks that bring back what was there before" }),
  warnings: Type.Array(Type.String(), {
    description: "what speaks against the marks; they are recorded all the same",
  }),
});

/** What was done, and telling it. */
export function markRoutes(app: FastifyInstance, workshop: Workshop, watch: Watch, door: Door): void {
  app.get<{ Params: AssemblyParams }>(
    "/api/kits/:kit/assemblies/:assembly/marks",
    {
      schema: {
        summary: "Where the work on an assembly stands",
        params: AssemblyParams,
        response: { 200: MarksReply },
      },
    },
    async ({ params, headers }, reply) => {
      const marks = marksReply(params, workshop.work(params.kit, params.assembly));
      const etag = `"${marks.version}"`;
      reply.header("etag", etag).header("cache-control", "no-cache");
      return headers["if-none-match"] === etag ? reply.code(304).send() : marks;
    },
  );

  app.post<{ Body: MarksBody }>(
    "/api/marks",
    {
      config: { letsIn: "writer" },
      preValidation: async (request) => void appendRequest(request),
      schema: {
        summary: "Record what was done or undone",
        description: "All marks are recorded, or none. Undoing is recording the marks that `undo` gives.",
        headers: ActHeaders,
        body: MarksBody,
        response: { 200: RecordedReply },
      },
    },
    async (request, reply) => {
      const { kit, assembly, marks } = request.body;
      const by = door.signatureOf(request, request.body.by);
      const recorded = await record(workshop, { kit, assembly, marks, by }, appendRequest(request));
      watch.look();
      reply.header("etag", `"${recorded.version}"`);
      return recorded;
    },
  );
}

function marksReply({ kit, assembly }: AssemblyParams, { version, work }: WorkAt): MarksReply {
  const holes = Object.fromEntries([...work.holes].filter(([, state]) => state !== "unset"));
  const gates = [...work.prep].filter(([, done]) => done.size > 0).map(([part, done]) => [part, [...done]]);
  return {
    kit,
    assembly,
    version,
    holes: holes as MarksReply["holes"],
    prep: Object.fromEntries(gates),
    milestones: [...work.milestones],
  };
}
