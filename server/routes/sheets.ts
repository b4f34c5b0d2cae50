import type { FastifyInstance, FastifyReply } from "fastify";
import { type Static, Type } from "typebox";
import { allCautions } from "../ask/departed.js";
import { plan } from "../ask/forms/plan.js";
import { saidSheet } from "../ask/step-sheet.js";
import { sayPlanTitle, saySheetGround } from "../ask/wording/step-sheet.js";
import type { Workshop } from "../workshop.js";
import { AssemblyParams, exactly, Id, Version } from "./shapes.js";
import { planPage, sheetPage } from "./sheet-page.js";

const StepParams = exactly({ kit: Id, assembly: Id, step: Id });
const SheetQuery = exactly({
  spares: Type.Optional(
    Type.String({ pattern: "^(100|[1-9]?\\d)$", description: "percent of spares to fetch, 0 to 100" }),
  ),
});

const Lines = Type.Array(
  Type.Object({ holes: Type.Array(Type.String()), where: Type.String(), what: Type.String() }),
);
const Named = Type.Object({ id: Type.String(), name: Type.String() });

const SheetReply = exactly({
  kit: Named,
  assembly: Named,
  step: Type.Union([exactly({ id: Type.String(), title: Type.String(), text: Type.String() }), Type.Null()]),
  version: Version,
  title: Type.String(),
  ground: Type.String({ description: "the kit's revision and date, and the shop book's version" }),
  sum: Type.String(),
  sparesPercent: Type.Integer(),
  counts: exactly({
    holes: Type.Integer(),
    toSet: Type.Integer(),
    set: Type.Integer(),
    open: Type.Integer({
      description: "not to be set for now: held, not settled, walled in …; counted nowhere else",
    }),
  }),
  rivets: Lines,
  open: Lines,
  drills: Lines,
  forming: Lines,
  pins: Lines,
  pinCount: Type.String({ description: "why no number of temporary fasteners is given" }),
  gates: Lines,
  before: Lines,
  after: Lines,
  warnings: Type.Array(Type.String()),
  cautions: Type.Array(Type.String()),
  sources: Type.Array(Type.Object({ document: Type.String(), place: Type.String() })),
});

const PAGE = {
  200: { type: "string", description: "A page for print", "x-media-type": "text/html" },
};

/** Sheets to take to the bench: one for each step of the manual, the picking list, and the plan. */
export function sheetRoutes(app: FastifyInstance, workshop: Workshop): void {
  const at = "/api/kits/:kit/assemblies/:assembly";

  app.get<{ Params: Static<typeof StepParams>; Querystring: Static<typeof SheetQuery> }>(
    `${at}/steps/:step/sheet`,
    {
      schema: {
        summary: "What one step of the manual takes: rivets, drills, gates, what comes before",
        params: StepParams,
        querystring: SheetQuery,
        response: { 200: SheetReply },
      },
    },
    async ({ params: { kit, assembly, step }, query }) =>
      saidSheet(await workshop.job(kit, assembly), step, sparesIn(query)),
  );

  app.get<{ Params: Static<typeof StepParams>; Querystring: Static<typeof SheetQuery> }>(
    `${at}/steps/:step/sheet.html`,
    {
      schema: {
        summary: "The same, for print",
        params: StepParams,
        querystring: SheetQuery,
        response: PAGE,
      },
    },
    async ({ params: { kit, assembly, step }, query }, reply) => {
      const job = await workshop.job(kit, assembly);
      return sendPage(reply, sheetPage(saidSheet(job, step, sparesIn(query)), job.assembly));
    },
  );

  app.get<{ Params: AssemblyParams; Querystring: Static<typeof SheetQuery> }>(
    `${at}/sheet`,
    {
      schema: {
        summary: "The picking list of the whole assembly",
        params: AssemblyParams,
        querystring: SheetQuery,
        response: { 200: SheetReply },
      },
    },
    async ({ params: { kit, assembly }, query }) =>
      saidSheet(await workshop.job(kit, assembly), null, sparesIn(query)),
  );

  app.get<{ Params: AssemblyParams; Querystring: Static<typeof SheetQuery> }>(
    `${at}/sheet.html`,
    {
      schema: {
        summary: "The same, for print",
        params: AssemblyParams,
        querystring: SheetQuery,
        response: PAGE,
      },
    },
    async ({ params: { kit, assembly }, query }, reply) => {
      const job = await workshop.job(kit, assembly);
      return sendPage(reply, sheetPage(saidSheet(job, null, sparesIn(query)), job.assembly));
    },
  );

  app.get<{ Params: AssemblyParams }>(
    `${at}/plan.html`,
    { schema: { summary: "The order of work, for print", params: AssemblyParams, response: PAGE } },
    async ({ params: { kit, assembly } }, reply) => {
      const job = await workshop.job(kit, assembly);
      const answer = plan.answer(job, {});
      const cautions = allCautions(job, answer.cautions, { form: plan.id, slots: {}, answer });
      const words = {
        kit,
        assembly,
        title: sayPlanTitle(job),
        ground: saySheetGround(job),
        answer: { ...answer, cautions },
      };
      return sendPage(reply, planPage(words, job.assembly.steps));
    },
  );
}

function sparesIn({ spares }: Static<typeof SheetQuery>): number {
  return spares === undefined ? 0 : Number(spares);
}

function sendPage(reply: FastifyReply, page: string): FastifyReply {
  return reply
    .type("text/html; charset=utf-8")
    .header("cache-control", "no-cache")
    .serializer((document: string) => document)
    .send(page);
}
