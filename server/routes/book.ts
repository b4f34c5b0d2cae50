import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import type { Job } from "../ask/types.js";
import { sayRecordGround, sayRecordTitle } from "../ask/wording/build-record.js";
import { finder } from "../kit/find.js";
import { Problem } from "../problem.js";
import { shopRules } from "../shop/life.js";
import { type BuildRecord, buildRecord } from "../shop/record.js";
import { linesOf } from "../store/lines.js";
import type { Watch } from "../store/watch.js";
import type { Workshop } from "../workshop.js";
import { ActHeaders, appendRequest } from "./act.js";
import type { Door } from "./door.js";
import { recordPage } from "./record-page.js";
import { recordTable } from "./record-table.js";
import { AssemblyParams, exactly, Id, lineOf, orNull, Version } from "./shapes.js";

const Ids = Type.Array(Type.String());
const WhenFields = { version: Version, at: Type.String(), by: Type.String() };
const When = exactly(WhenFields);

const RecordReply = exactly({
  kit: Type.String(),
  assembly: Type.String(),
  version: Version,
  head: orNull(Type.String({ description: "hash of the shop book's last entry" })),
  title: Type.String(),
  ground: Type.String(),
  lines: Type.Array(Type.Object({ ...WhenFields, kind: Type.String() }), {
    description: "what was done, oldest first; with rivets set what was ruled for them at the time",
  }),
  holds: Type.Array(
    exactly({
      status: Type.Enum(["settled", "undecided", "conflict"]),
      until: orNull(Type.String({ description: "milestone id" })),
      ruleIds: Ids,
      ended: orNull(When),
      open: Ids,
      setAfter: Ids,
      setMeanwhile: Ids,
    }),
    { description: "holes that rules keep open as things stand now, and their ends" },
  ),
  rules: Type.Array(
    exactly({
      rule: Type.Object({ id: Type.String() }),
      revision: Type.Integer(),
      author: Type.String(),
      from: When,
      until: orNull(When),
      reference: orNull(Type.String()),
      holes: Ids,
    }),
    { description: "shop rules while they were in force, departures among them" },
  ),
  counts: exactly({
    holes: Type.Integer(),
    set: Type.Integer(),
    pinned: Type.Integer(),
    open: Type.Integer(),
  }),
});

const NoteBody = exactly({
  kit: Id,
  assembly: Id,
  hole: Type.Optional(Id),
  part: Type.Optional(Id),
  text: Type.String({ minLength: 1, maxLength: 2000, pattern: "\\S" }),
  by: Type.Optional(lineOf(80, "who writes it; the builder when left out")),
});

/** What the shop book says of an assembly, for an inspector, and the whole of it to put aside. */
export function bookRoutes(app: FastifyInstance, workshop: Workshop, watch: Watch, door: Door): void {
  const at = "/api/kits/:kit/assemblies/:assembly";

  app.get<{ Params: AssemblyParams }>(
    `${at}/record`,
    {
      schema: {
        summary: "The build record: what was done when, by whom, and what was ruled then",
        params: AssemblyParams,
        response: { 200: RecordReply },
      },
    },
    async ({ params: { kit, assembly } }) => {
      const { job, record, head } = await recordAt(workshop, kit, assembly);
      const { version } = job;
      const said = { title: sayRecordTitle(job), ground: sayRecordGround(job, head) };
      return { kit, assembly, version, head, ...said, ...record };
    },
  );

  app.get<{ Params: AssemblyParams }>(
    `${at}/record.csv`,
    {
      schema: {
        summary: "The same as a table",
        params: AssemblyParams,
        response: { 200: { type: "string", description: "RFC 4180", "x-media-type": "text/csv" } },
      },
    },
    async ({ params: { kit, assembly } }, reply) => {
      const { job, record } = await recordAt(workshop, kit, assembly);
      return reply
        .type("text/csv; charset=utf-8; header=present")
        .header("cache-control", "no-cache")
        .header("content-disposition", `attachment; filename="build-record-${assembly}.csv"`)
        .serializer((table: string) => table)
        .send(recordTable(job, record));
    },
  );

  app.get<{ Params: AssemblyParams }>(
    `${at}/record.html`,
    {
      schema: {
        summary: "The same, for print",
        params: AssemblyParams,
        response: { 200: { type: "string", description: "A page for print", "x-media-type": "text/html" } },
      },
    },
    async ({ params: { kit, assembly } }, reply) => {
      const { job, record, head } = await recordAt(workshop, kit, assembly);
      return reply
        .type("text/html; charset=utf-8")
        .header("cache-control", "no-cache")
        .serializer((page: string) => page)
        .send(recordPage(job, record, head));
    },
  );

  app.get(
    "/api/book/export",
    {
      schema: {
        summary: "The whole shop book as JSON Lines, which show whether anything was changed",
        response: { 200: { type: "string", "x-media-type": "application/jsonl" } },
      },
    },
    async (_request, reply) =>
      reply
        .type("application/jsonl; charset=utf-8")
        .header("cache-control", "no-store")
        .header("content-disposition", 'attachment; filename="shop-book.jsonl"')
        .send(Readable.from(linesOf(workshop.book.since(0)))),
  );

  app.post<{ Body: Static<typeof NoteBody> }>(
    "/api/book/notes",
    {
      config: { letsIn: "writer" },
      preValidation: async (request) => void appendRequest(request),
      schema: {
        summary: "Write a remark into the shop book, on a hole, a part or the assembly",
        headers: ActHeaders,
        body: NoteBody,
        response: { 200: exactly({ version: Version }) },
      },
    },
    async (request, reply) => {
      const { kit, assembly, hole, part, text } = request.body;
      refuseUnknown(workshop, request.body);
      const by = door.signatureOf(request, request.body.by);
      const body = { ...(hole !== undefined && { hole }), ...(part !== undefined && { part }), text };
      const note = { kind: "note", by, kit, assembly, body } as const;
      const { version } = workshop.book.append([note], appendRequest(request));
      watch.look();
      reply.header("etag", `"${version}"`);
      return { version };
    },
  );
}

/** @throws UNKNOWN_KIT, UNKNOWN_ASSEMBLY, UNKNOWN_ID */
function refuseUnknown(workshop: Workshop, { kit, assembly, hole, part }: Static<typeof NoteBody>): void {
  const on = workshop.assembly(kit, assembly);
  const find = finder(on);
  const refuse = (field: string, id: string): Problem =>
    new Problem("UNKNOWN_ID", `${on.name} has no ${field} "${id}".`, {
      where: { pointer: `/${field}` },
      fix: "Use an id of this assembly, or leave it out.",
    });
  if (hole !== undefined && !find.hasHole(hole)) throw refuse("hole", hole);
  if (part !== undefined && !find.hasPart(part)) throw refuse("part", part);
}

async function recordAt(
  workshop: Workshop,
  kit: string,
  assembly: string,
): Promise<{ readonly job: Job; readonly record: BuildRecord; readonly head: string | null }> {
  const job = await workshop.job(kit, assembly);
  // Up to the job's version: somebody may have written on meanwhile.
  const entries = workshop.book.since(0).filter(({ seq }) => seq <= job.version);
  const record = buildRecord(kit, job.assembly, entries, shopRules(entries, kit), job.rulings);
  return { job, record, head: entries.at(-1)?.hash ?? null };
}
