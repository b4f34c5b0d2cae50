import type { FastifyInstance, FastifyRequest } from "fastify";
import { type Static, Type } from "typebox";
import { Problem } from "../problem.js";
import { record } from "../recording.js";
import type { AppendRequest } from "../store/contract.js";
import type { Watch } from "../store/watch.js";
import type { WorkAt, Workshop } from "../workshop.js";
import type { Door } from "./door.js";
import type { RequestPlace } from "./problems.js";
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

const KEY = /^[\x21-\x7e]{1,100}$/;
const ActHeaders = Type.Object(
  {
    "idempotency-key": Type.String({
      pattern: KEY.source,
      description: "made up anew for every act; the same key again means the same act again",
    }),
    "if-match": Type.String({
      description: 'version that the act is based on, as in "12" with its quotes; or *',
    }),
  },
  { required: ["idempotency-key", "if-match"] },
);

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

/** @throws IDEMPOTENCY_KEY_MISSING, IF_MATCH_MISSING, IF_MATCH_MALFORMED */
function appendRequest({ headers }: FastifyRequest): AppendRequest {
  const key = headers["idempotency-key"];
  if (typeof key !== "string" || !KEY.test(key)) {
    throw new Problem("IDEMPOTENCY_KEY_MISSING", "The Idempotency-Key header is missing or malformed.", {
      where: header("Idempotency-Key"),
      fix: "Send a new key for every act, such as a random UUID; at most 100 characters, no blanks.",
    });
  }
  const match = headers["if-match"];
  if (match === undefined) {
    throw new Problem("IF_MATCH_MISSING", "The If-Match header is missing.", {
      where: header("If-Match"),
      fix: "Send the ETag that the marks were read with, or * to write on top of whatever is there.",
    });
  }
  if (match === "*") return { key, expected: "any" };
  const version = /^"(\d{1,15})"$/.exec(match)?.[1];
  if (version === undefined) {
    throw new Problem("IF_MATCH_MALFORMED", "The If-Match header is not a version of the shop book.", {
      where: header("If-Match"),
      fix: 'Send the ETag as it was given, with its quotes: "12".',
    });
  }
  return { key, expected: Number(version) };
}

function header(name: string): RequestPlace {
  return { header: name };
}
