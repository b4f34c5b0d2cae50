import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import { previewDraft } from "../preview.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id, orNull, ProblemLine, problemLine, Version } from "./shapes.js";

const Holes = Type.Array(Type.String());

const PreviewBody = exactly({
  kit: Id,
  assembly: Id,
  rule: Type.Object({}, { description: "a rule, whole or half written" }),
  plan: Type.Optional(
    Type.Boolean({
      description: "also what becomes of plan and closings, which takes longer; yes when left out",
    }),
  ),
});

const FindingReply = Type.Object({
  kind: Type.String(),
  severity: Type.Enum(["error", "warning", "note"]),
  rules: Type.Array(Type.String()),
  attribute: orNull(Type.String()),
  witness: orNull(Type.Object({}, { description: "a hole of the kit, or facts of an invented one" })),
  holes: Holes,
  said: Type.String(),
  pointer: Type.String({ description: "into the rule" }),
  fix: Type.String(),
});
const Lines = Type.Array(
  Type.Object({ kind: Type.String(), said: Type.String(), what: Type.String(), holes: Holes }),
);
const PreviewReply = exactly({
  version: Version,
  problems: Type.Array(ProblemLine, {
    description:
      "what is wrong with it; the rest is told as well while only words or examples are wanting, else it is empty",
  }),
  words: orNull(Type.Object({ title: Type.String(), said: Type.String() })),
  matched: exactly({ count: Type.Integer(), holes: Holes }, "holes of the assembly at which it holds"),
  unknown: exactly({ count: Type.Integer(), holes: Holes }, "holes at which a missing fact leaves it open"),
  examples: Type.Array(exactly({ said: Type.String(), comesOut: Type.Boolean() })),
  findings: Type.Array(FindingReply),
  departures: Type.Array(
    Type.Object({
      from: Type.String(),
      attribute: orNull(Type.String()),
      holes: Holes,
      declared: Type.Boolean(),
    }),
  ),
  impact: orNull(
    Type.Object(
      {
        changed: Type.Array(Type.Object({ hole: Type.String(), attribute: Type.String() })),
        conflicts: Type.Array(Type.Object({})),
        undecided: Type.Array(Type.Object({})),
        doneWrong: Type.Array(Type.Object({})),
        closings: Type.Array(Type.Object({})),
        contradictions: Type.Array(Type.Object({})),
        plan: orNull(Type.Object({})),
        said: Lines,
      },
      { description: "what would be otherwise in this assembly; `said` in words, the gravest first" },
    ),
  ),
});

const NO_ORDER = { closings: [], contradictions: [], plan: null };

/** What a rule says and would do before it counts. */
export function previewRoutes(app: FastifyInstance, workshop: Workshop): void {
  app.post<{ Body: Static<typeof PreviewBody> }>(
    "/api/rules/preview",
    {
      config: { letsIn: "anybody" },
      schema: {
        summary: "What a rule says and would do, were it in force",
        description: "Records nothing. It may be sent as it is being typed.",
        body: PreviewBody,
        response: { 200: PreviewReply },
      },
    },
    async ({ body: { kit, assembly, rule, plan = true } }) => {
      const version = workshop.book.version();
      const looking = { assemblies: [assembly], order: plan };
      const { problems: told, seen } = await previewDraft(workshop, kit, rule, looking);
      const problems = told.map(problemLine);
      if (!seen) return { ...NOTHING_SEEN, version, problems };
      const { words, findings, departures, examples, sights } = seen;
      const [sight] = sights;
      if (!sight) throw new TypeError("The assembly was asked for and not looked at.");
      const { holds, mayHold, impact, order, said } = sight;
      return {
        version,
        problems,
        words,
        matched: { count: holds.length, holes: holds },
        unknown: { count: mayHold.length, holes: mayHold },
        examples,
        findings,
        departures,
        impact: { ...impact, ...(order ?? NO_ORDER), said },
      };
    },
  );
}

const NOTHING_SEEN = {
  words: null,
  matched: { count: 0, holes: [] },
  unknown: { count: 0, holes: [] },
  examples: [],
  findings: [],
  departures: [],
  impact: null,
};
