import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import { Problem } from "../problem.js";
import type { Rule } from "../ruling/types.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id } from "./shapes.js";

const RuleReply = Type.Object({
  id: Type.String(),
  title: Type.String(),
  family: Type.String(),
  basis: Type.Object({
    rank: Type.Enum(["notice", "manual", "shop", "handbook"]),
    document: Type.String(),
    place: Type.String(),
  }),
  why: Type.String(),
  conditions: Type.Object({}, { description: "as the rules engine takes them" }),
  event: Type.Object({ type: Type.String(), params: Type.Object({}) }),
  overrides: Type.Array(Type.Object({ rule: Type.String(), reason: Type.String() })),
  examples: Type.Array(Type.Object({ fires: Type.Boolean() })),
  kit: Type.Union([Type.String(), Type.Null()], { description: "null = any kit" }),
  file: Type.String(),
});
const RulesQuery = exactly({ kit: Type.Optional(Id) });
const RuleParams = exactly({ id: Id });

/** The rules in force, each with its basis, reason and examples. */
export function ruleRoutes(app: FastifyInstance, workshop: Workshop): void {
  app.get<{ Querystring: Static<typeof RulesQuery> }>(
    "/api/rules",
    {
      schema: {
        summary: "The rules in force, for one kit or for all",
        querystring: RulesQuery,
        response: { 200: exactly({ rules: Type.Array(RuleReply) }) },
      },
    },
    async ({ query: { kit } }) => ({ rules: rulesInForce(workshop, kit) }),
  );

  app.get<{ Params: Static<typeof RuleParams> }>(
    "/api/rules/:id",
    { schema: { summary: "One rule", params: RuleParams, response: { 200: RuleReply } } },
    async ({ params: { id } }) => {
      const rule = rulesInForce(workshop).find((one) => one.id === id);
      if (rule) return rule;
      throw new Problem("UNKNOWN_RULE", `There is no rule "${id}".`, {
        fix: "The rules are listed at /api/rules.",
      });
    },
  );
}

/** Each rule once, though several kits share it. */
function rulesInForce({ kit, library }: Workshop, id?: string): readonly Rule[] {
  const kits = id === undefined ? [...library.kits.keys()] : [kit(id).id];
  const rules = kits.flatMap((one) => library.rulebookOf(one).rules);
  return [...new Map(rules.map((rule) => [rule.id, rule])).values()];
}
