import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import type { AskRequest } from "../ask/ask.js";
import type { Answer, Job } from "../ask/types.js";
import { askAndSolve } from "../asking.js";
import { Problem } from "../problem.js";
import type { ReworkDesk } from "../rework-desk.js";
import { revisionToTry, shopRule } from "../rule-life.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id, MarkShape, ReadingShape, Slots, Version } from "./shapes.js";

const AskBody = exactly(
  {
    kit: Id,
    assembly: Id,
    question: Type.Optional(Type.String({ minLength: 1, maxLength: 2000 })),
    context: Type.Optional(ReadingShape),
    form: Type.Optional(Id),
    slots: Type.Optional(Slots),
    trying: Type.Optional(
      Type.String({
        minLength: 1,
        maxLength: 100,
        description: "a shop rule: answered as if its proposed or newest revision were in force",
      }),
    ),
  },
  "a question in words, with the reading that came before it as context; or a form and its slots",
);
type AskBody = Static<typeof AskBody>;

const Row = Type.Object({ holes: Type.Array(Type.String()), where: Type.String(), what: Type.String() });
const Source = Type.Object({ document: Type.String(), place: Type.String() });

const AskReply = Type.Object({
  outcome: Type.Enum(["answered", "ask-back", "not-understood", "proposal"]),
  reading: Type.Union([ReadingShape, Type.Null()]),
  verdict: Type.Optional(Type.Enum(["yes", "no", "undecided", "conflict"])),
  headline: Type.String(),
  holes: Type.Array(Type.String(), { description: "what the answer is about, in order" }),
  rows: Type.Array(Row),
  trace: Type.Array(Type.Object({ kind: Type.String() })),
  cautions: Type.Array(Type.String()),
  sources: Type.Array(Source),
  choices: Type.Optional(Type.Array(ReadingShape)),
  followUps: Type.Array(ReadingShape),
  proposal: Type.Optional(exactly({ marks: Type.Array(MarkShape) })),
  notUnderstood: Type.Optional(Type.Array(Type.String())),
  corrected: Type.Optional(Type.Array(exactly({ from: Type.String(), to: Type.String() }))),
  carried: Type.Optional(
    exactly(
      { form: Type.Boolean(), slots: Type.Array(Type.String()) },
      "what the reading took from the one before",
    ),
  ),
  version: Version,
});

/** Questions, in words or as a form. */
export function askRoutes(app: FastifyInstance, workshop: Workshop, desk: ReworkDesk): void {
  app.post<{ Body: AskBody }>(
    "/api/ask",
    {
      config: { letsIn: "anybody" },
      schema: {
        summary: "Ask a question",
        description:
          "Records nothing: what a statement of work done proposes is recorded by POST /api/marks.",
        body: AskBody,
        response: { 200: AskReply },
      },
    },
    async ({ body }): Promise<Answer> =>
      askAndSolve(await jobFor(workshop, body), requestOf(body), workshop.library.forms, desk),
  );
}

/**
 * As things stand, or with a rule tried that is not in force.
 * @throws UNKNOWN_KIT, UNKNOWN_ASSEMBLY, UNKNOWN_RULE, and what keeps the rule from being tried
 */
async function jobFor(workshop: Workshop, { kit, assembly, trying }: AskBody): Promise<Job> {
  if (trying === undefined) return workshop.job(kit, assembly);
  workshop.assembly(kit, assembly);
  const { revision, rule } = revisionToTry(shopRule(workshop, kit, trying));
  const isInForce = workshop.shopRules(kit).rules.get(trying)?.inForce === revision;
  return isInForce ? workshop.job(kit, assembly) : workshop.trying(kit, assembly, rule);
}

/** @throws REQUEST_INVALID unless there is either a question or a form */
function requestOf({ question, context, form, slots }: AskBody): AskRequest {
  if (question !== undefined && form === undefined && slots === undefined) return { question, context };
  if (form !== undefined && question === undefined && context === undefined)
    return { form, slots: slots ?? {} };
  throw new Problem("REQUEST_INVALID", "Send either a question or a form with its slots.", {
    where: { pointer: question === undefined ? "/question" : "/form" },
    fix: 'Send "question" (and perhaps "context"), or "form" and "slots".',
  });
}
