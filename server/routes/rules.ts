import type { FastifyInstance, FastifyRequest } from "fastify";
import { type Static, Type } from "typebox";
import { sayRuleChanges } from "../ask/wording/rule-changes.js";
import { sayerFor } from "../preview.js";
import { Problem } from "../problem.js";
import { saveRevision, shopRule, takeStep } from "../rule-life.js";
import type { RuleInFile } from "../ruling/schema.js";
import type { Rule } from "../ruling/types.js";
import { diffRules } from "../shop/diff.js";
import { revisionOf } from "../shop/life.js";
import { RULE_STEPS, type RuleStep, type ShopRule } from "../shop/types.js";
import type { Watch } from "../store/watch.js";
import type { Workshop } from "../workshop.js";
import { ActHeaders, appendRequest } from "./act.js";
import { type Door, type Holder, mentorOf } from "./door.js";
import { exactly, Id, lineOf, orNull, Version } from "./shapes.js";

const Text = Type.Object({}, { description: "the whole rule: rules/schemas/rule.schema.json, #/rules/0" });
const Hash = Type.String({
  pattern: "^[0-9a-f]{64}$",
  description: "SHA-256 in hex of the rule's canonical JSON (RFC 8785)",
});
const Revision = Type.Integer({ minimum: 1, maximum: 1_000_000 });
const By = Type.Optional(
  lineOf(80, "who does it: up to 80 characters on one line; the key's holder or the builder when left out"),
);
export const Comments = Type.Array(
  exactly({
    at: orNull(Type.String({ maxLength: 500, description: "JSON pointer into the rule" })),
    text: Type.String({ minLength: 1, maxLength: 2000 }),
  }),
  { maxItems: 200 },
);
export const Reference = Type.String({
  minLength: 1,
  maxLength: 2000,
  description: "the kit maker's agreement",
});
const Standing = Type.Enum(["draft", "proposed", "returned", "in force", "replaced", "retired"]);

const ShopRuleReply = exactly({
  id: Type.String(),
  kit: Type.String(),
  status: Type.Enum(["draft", "proposed", "returned", "in force", "retired"]),
  proposed: orNull(Revision),
  inForce: orNull(Revision),
  revisions: Type.Array(
    exactly({
      revision: Revision,
      rule: Text,
      hash: Hash,
      by: Type.String(),
      at: Type.String(),
      version: Version,
      standing: Standing,
    }),
  ),
  history: Type.Array(
    exactly({
      step: Type.Enum([...RULE_STEPS]),
      revision: Revision,
      by: Type.String(),
      at: Type.String(),
      version: Version,
      comments: Comments,
      mentor: orNull(Type.String({ description: "id of the mentor's key" })),
      reference: orNull(Type.String()),
      refused: orNull(Type.String({ description: "code; the step changed nothing" })),
    }),
  ),
});

const RULE = {
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
  kit: orNull(Type.String({ description: "null = any kit" })),
  file: Type.String({ description: "where it stands; shop rules in the shop book" }),
};
const RuleReply = Type.Object(RULE);
const OneRuleReply = Type.Object({
  ...RULE,
  shop: orNull(ShopRuleReply),
});
const RulesQuery = exactly({ kit: Type.Optional(Id) });
const RuleParams = exactly({ id: Id });

const DraftBody = exactly({ kit: Id, rule: Text, by: By });
const StepBody = exactly({
  kit: Id,
  revision: Revision,
  hash: Hash,
  comments: Type.Optional(Comments),
  reference: Type.Optional(Reference),
  by: By,
});
type StepBody = Static<typeof StepBody>;
export const LivedReply = exactly({ version: Version, rule: ShopRuleReply });

const DiffQuery = exactly({
  kit: Id,
  from: Type.String({ pattern: "^[1-9]\\d{0,5}$", description: "a revision" }),
  to: Type.String({ pattern: "^[1-9]\\d{0,5}$", description: "a revision" }),
});
const DiffReply = exactly({
  changes: Type.Array(
    exactly({
      pointer: Type.String(),
      what: Type.Enum(["added", "removed", "changed"]),
      before: Type.Unknown(),
      after: Type.Unknown(),
      said: Type.String(),
    }),
  ),
});

/** The rules in force, those of the shop in every state, and the life of the latter. */
export function ruleRoutes(app: FastifyInstance, workshop: Workshop, watch: Watch, door: Door): void {
  app.get<{ Querystring: Static<typeof RulesQuery> }>(
    "/api/rules",
    {
      schema: {
        summary: "The rules in force, for one kit or for all, and the shop's own in every state",
        querystring: RulesQuery,
        response: {
          200: exactly({
            version: Version,
            rules: Type.Array(RuleReply),
            shop: Type.Array(ShopRuleReply),
            problems: Type.Array(Type.String(), { description: "shop rules in force that cannot be used" }),
          }),
        },
      },
    },
    async ({ query: { kit } }, reply) => {
      const version = workshop.book.version();
      const kits = kitsOf(workshop, kit);
      reply.header("etag", `"${version}"`).header("cache-control", "no-cache");
      return {
        version,
        rules: rulesInForce(workshop, kits),
        shop: kits.flatMap((one) => [...workshop.shopRules(one).rules.values()]),
        problems: kits.flatMap((one) => workshop.shopProblems(one).map(({ message }) => message)),
      };
    },
  );

  app.get<{ Params: Static<typeof RuleParams>; Querystring: Static<typeof RulesQuery> }>(
    "/api/rules/:id",
    {
      schema: {
        summary: "One rule: as it is in force, else the shop's newest revision of it",
        params: RuleParams,
        querystring: RulesQuery,
        response: { 200: OneRuleReply },
      },
    },
    async ({ params: { id }, query: { kit } }, reply) => {
      reply.header("etag", `"${workshop.book.version()}"`).header("cache-control", "no-cache");
      // Kit by kit: two kits may have shop rules of the same name.
      for (const one of kitsOf(workshop, kit)) {
        const shop = workshop.shopRules(one).rules.get(id) ?? null;
        const rule =
          rulesInForce(workshop, [one]).find((rule) => rule.id === id) ?? (shop && asWritten(shop));
        if (rule) return { ...rule, shop };
      }
      throw new Problem("UNKNOWN_RULE", `There is no rule "${id}".`, {
        fix: "The rules are listed at /api/rules.",
      });
    },
  );

  app.post<{ Body: Static<typeof DraftBody> }>(
    "/api/rules",
    {
      config: { letsIn: "writer" },
      preValidation: async (request) => void appendRequest(request),
      schema: {
        summary: "Keep a shop rule as its next revision, a draft",
        description: "It must be whole and fit the kit; POST /api/rules/preview says what is wrong before.",
        headers: ActHeaders,
        body: DraftBody,
        response: { 200: LivedReply },
      },
    },
    async (request, reply) => {
      const { kit, rule } = request.body;
      const by = door.signatureOf(request, request.body.by);
      const lived = await saveRevision(workshop, { kit, rule, by }, appendRequest(request));
      watch.look();
      reply.header("etag", `"${lived.version}"`);
      return lived;
    },
  );

  for (const step of RULE_STEPS) {
    app.post<{ Params: Static<typeof RuleParams>; Body: StepBody }>(
      `/api/rules/:id/${step}`,
      {
        config: { letsIn: takesMentor(step) ? "mentor" : "writer" },
        preValidation: async (request) => void appendRequest(request),
        schema: {
          summary: STEP_SUMMARIES[step],
          headers: ActHeaders,
          params: RuleParams,
          body: StepBody,
          response: { 200: LivedReply },
        },
      },
      async (request, reply) => {
        const lived = await takeStep(workshop, stepOf(request, step), appendRequest(request));
        watch.look();
        reply.header("etag", `"${lived.version}"`);
        return lived;
      },
    );
  }

  const stepOf = (
    request: FastifyRequest<{ Params: Static<typeof RuleParams>; Body: StepBody }>,
    step: RuleStep,
  ) => {
    const { kit, revision, hash, comments = [], reference = null, by } = request.body;
    return {
      kit,
      rule: request.params.id,
      revision,
      hash,
      step,
      comments,
      reference,
      by: door.signatureOf(request, by),
      mentor: mentorIn(request, step)?.id ?? null,
      role: request.holder?.role ?? null,
    };
  };

  app.get<{ Params: Static<typeof RuleParams>; Querystring: Static<typeof DiffQuery> }>(
    "/api/rules/:id/diff",
    {
      schema: {
        summary: "What changed from one revision of a shop rule to another",
        params: RuleParams,
        querystring: DiffQuery,
        response: { 200: DiffReply },
      },
    },
    async ({ params: { id }, query: { kit, from, to } }) => {
      const rule = shopRule(workshop, kit, id);
      const changes = diffRules(textOf(rule, from), textOf(rule, to));
      const [first] = workshop.kit(kit).assemblies;
      const sayer = sayerFor(first && (await workshop.job(kit, first.id)));
      const said = sayRuleChanges(changes, sayer);
      return { changes: changes.map((change, i) => ({ ...change, said: said[i] ?? "" })) };
    },
  );
}

const STEP_SUMMARIES: Readonly<Record<RuleStep, string>> = {
  propose: "Ask the mentor to review a revision",
  withdraw: "Take a proposal back",
  accept: "Accept a proposal: the revision is in force from now on",
  return: "Send a proposal back with comments",
  retire: "Take the revision in force out of force, with a comment on why",
};

function takesMentor(step: RuleStep): boolean {
  return step === "accept" || step === "return";
}

/** The mentor who takes a step as one: to review, or to undo what is somebody else's. */
function mentorIn(request: FastifyRequest, step: RuleStep): Holder {
  if (takesMentor(step)) return mentorOf(request);
  const undoes = step === "retire" || step === "withdraw";
  return undoes && request.holder?.role === "mentor" ? request.holder : null;
}

function kitsOf({ kit, library }: Workshop, id: string | undefined): readonly string[] {
  return id === undefined ? [...library.kits.keys()] : [kit(id).id];
}

/** Each rule once, though several kits share it. */
function rulesInForce(workshop: Workshop, kits: readonly string[]): readonly Rule[] {
  const rules = kits.flatMap((one) => workshop.rulebook(one).rules);
  return [...new Map(rules.map((rule) => [`${rule.kit} ${rule.id}`, rule])).values()];
}

/** A shop rule's newest revision in the shape of a rule in force. */
function asWritten({ kit, revisions }: ShopRule): object {
  const { rule } = revisions.at(-1) ?? {};
  return { overrides: [], departure: null, ...rule, kit, file: "shop book" };
}

/** @throws UNKNOWN_REVISION */
function textOf(rule: ShopRule, revision: string): RuleInFile {
  const found = revisionOf(rule, Number(revision));
  if (found) return found.rule;
  throw new Problem("UNKNOWN_REVISION", `Rule "${rule.id}" has no revision ${revision}.`, {
    fix: `Its revisions go from 1 to ${rule.revisions.length}.`,
  });
}
