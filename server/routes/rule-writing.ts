import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import { ruleVocabulary } from "../ask/rule-vocabulary.js";
import { tallyOn } from "../ruling/tally.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id, orNull, ProblemLine, problemLine, Version } from "./shapes.js";

const Value = Type.Union([Type.String(), Type.Number(), Type.Boolean()]);
const Count = Type.Integer({ minimum: 0 });
const Unit = orNull(Type.String());
const Family = Type.Enum(["treatment", "hold", "order", "limit", "caution"]);

const VocabularyQuery = exactly({ kit: Id, assembly: Id });
const VocabularyReply = exactly({
  holes: Count,
  families: Type.Array(exactly({ family: Family, said: Type.String() })),
  facts: Type.Array(
    exactly({
      name: Type.String(),
      label: Type.String(),
      meaning: Type.String(),
      type: Type.Enum(["number", "text", "flag", "list"]),
      unit: Unit,
      from: Type.String(),
      operators: Type.Array(exactly({ operator: Type.String(), said: Type.String() })),
      values: orNull(Type.Array(exactly({ value: Value, said: Type.String(), holes: Count }))),
      known: Type.Integer({ minimum: 0, description: "holes at which it is known" }),
    }),
  ),
  attributes: Type.Array(
    exactly({
      name: Type.String(),
      label: Type.String(),
      meaning: Type.String(),
      family: Family,
      type: Type.Enum(["number", "text", "flag"]),
      unit: Unit,
      values: orNull(Type.Array(exactly({ value: Value, said: Type.String() }))),
    }),
  ),
  parts: Type.Array(exactly({ id: Type.String(), name: Type.String() })),
  acts: Type.Array(Type.String()),
  rules: Type.Array(
    exactly({
      id: Type.String(),
      title: Type.String(),
      rank: Type.Enum(["notice", "manual", "shop", "handbook"]),
    }),
  ),
});

const MatchesBody = exactly({
  kit: Id,
  assembly: Id,
  conditions: Type.Object({}, { description: "a rule's conditions, whole or half written" }),
});
const MatchesReply = exactly({
  version: Version,
  nodes: Type.Array(
    exactly({
      pointer: Type.String({ description: 'into the conditions; "" = the whole' }),
      holds: Count,
      open: Count,
    }),
    { description: "what is wrong, and what rests on it, is left out" },
  ),
  holds: Type.Array(Type.String(), { description: "holes at which the whole holds" }),
  open: Type.Array(Type.String(), { description: "holes at which a missing fact leaves it open" }),
  problems: Type.Array(ProblemLine),
});

/** What somebody needs who writes a rule: its words, and where its conditions hold as they are written. */
export function ruleWritingRoutes(app: FastifyInstance, workshop: Workshop): void {
  app.get<{ Querystring: Static<typeof VocabularyQuery> }>(
    "/api/rules/vocabulary",
    {
      schema: {
        summary: "What a rule can speak of in one assembly, with the values that the kit gives",
        querystring: VocabularyQuery,
        response: { 200: VocabularyReply },
      },
    },
    async ({ query: { kit, assembly } }, reply) => {
      reply.header("cache-control", "no-cache");
      return ruleVocabulary(await workshop.job(kit, assembly));
    },
  );

  app.post<{ Body: Static<typeof MatchesBody> }>(
    "/api/rules/matches",
    {
      config: { letsIn: "anybody" },
      schema: {
        summary: "Where conditions hold in one assembly, each part of them counted",
        description: "Records nothing. It may be sent as it is being written.",
        body: MatchesBody,
        response: { 200: MatchesReply },
      },
    },
    async ({ body: { kit, assembly, conditions } }) => {
      const version = workshop.book.version();
      const { nodes, holds, open, problems } = await tallyOn(await workshop.job(kit, assembly), conditions);
      return {
        version,
        nodes,
        holds,
        open,
        problems: problems.map(problemLine),
      };
    },
  );
}
