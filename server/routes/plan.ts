import type { FastifyInstance } from "fastify";
import { Type } from "typebox";
import { allCautions } from "../ask/departed.js";
import { planEvidence } from "../ask/forms/plan-rows.js";
import type { Job } from "../ask/types.js";
import { wholePlan } from "../ask/whole-plan.js";
import { pictureWords, sayStep, sayStepPlace } from "../ask/wording/order-plan.js";
import { layOut, svgOf } from "../order/picture.js";
import type { Workshop } from "../workshop.js";
import { AssemblyParams, exactly, Version } from "./shapes.js";

const Ids = Type.Array(Type.String());

const Step = Type.Object(
  {
    kind: Type.Enum(["prep", "part", "rivets", "take-off", "turn-over"]),
    generation: Type.Integer({
      minimum: 0,
      description: "steps of the same one could be done side by side; 0 waits for nothing",
    }),
    where: Type.String({ description: "in the builder's words" }),
    said: Type.String({ description: "what is done and why it stands here, in the builder's words" }),
    reasons: Type.Array(Type.Object({ code: Type.String() })),
    part: Type.Optional(Type.String()),
    row: Type.Optional(Type.String()),
    holes: Type.Optional(Ids),
    side: Type.Optional(Type.Enum(["up", "over"])),
    gates: Type.Optional(Type.Array(Type.Object({ gate: Type.String() }))),
  },
  { description: "one thing that a person does" },
);

const PlanReply = exactly({
  kit: Type.String(),
  assembly: Type.String(),
  version: Version,
  status: Type.Enum(["open", "done", "impossible"]),
  turnOvers: Type.Integer({ minimum: 0, description: "fewer will not do" }),
  steps: Type.Array(Step),
  cautions: Type.Array(Type.String(), { description: "as with the answer to the form plan" }),
  broken: Type.Array(Type.Object({ rule: Type.String(), holes: Ids }), {
    description: "preferences that no order with so few turn-overs keeps",
  }),
  fewestBroken: Type.Boolean({ description: "false when there were too many preferences to try all" }),
  leftOpen: Type.Array(Type.Object({ hole: Type.String(), code: Type.String() })),
  leftOff: Type.Array(Type.Object({ part: Type.String() })),
  impossible: Type.Union([
    Type.Null(),
    Type.Object(
      { stuck: Ids, core: Ids, rulesOnly: Type.Boolean() },
      { description: "what no order reaches, and rivets that together make it so, none of them needlessly" },
    ),
  ]),
});

/** The whole order from where the work stands, as data and as a picture. */
export function planRoutes(app: FastifyInstance, workshop: Workshop): void {
  app.get<{ Params: AssemblyParams }>(
    "/api/kits/:kit/assemblies/:assembly/plan",
    {
      schema: {
        summary: "The whole order of work from where it stands",
        params: AssemblyParams,
        response: { 200: PlanReply },
      },
    },
    async ({ params: { kit, assembly } }) => planReply(await workshop.job(kit, assembly)),
  );

  app.get<{ Params: AssemblyParams }>(
    "/api/kits/:kit/assemblies/:assembly/plan.svg",
    {
      schema: {
        summary: "The order of work as a picture, for print",
        params: AssemblyParams,
        response: {
          200: { type: "string", description: "An SVG document", "x-media-type": "image/svg+xml" },
        },
      },
    },
    async ({ params: { kit, assembly } }, reply) => {
      const job = await workshop.job(kit, assembly);
      const plan = wholePlan(job);
      const words = pictureWords(job, plan);
      return reply
        .type("image/svg+xml; charset=utf-8")
        .header("cache-control", "no-cache")
        .serializer((document: string) => document)
        .send(svgOf(layOut(plan, job.assembly.closings, words), words));
    },
  );
}

function planReply(job: Job): object {
  const whole = wholePlan(job);
  const { steps, ...plan } = whole;
  const { trace, cautions } = planEvidence(job, whole, steps);
  const answer = { holes: [], rows: [], trace };
  return {
    kit: job.kit.id,
    assembly: job.assembly.id,
    version: job.version,
    ...plan,
    steps: steps.map((step) => ({ ...step, where: sayStepPlace(job, step), said: sayStep(job, step) })),
    cautions: allCautions(job, cautions, { form: "plan", slots: {}, answer }),
  };
}
