import { type Static, Type } from "typebox";
import type { Family } from "../facts/types.js";
import { OPERATORS } from "./operators.js";
import { type Condition, RANKS, type Rank } from "./types.js";

/**
 * The shape of rule files, written once: the TypeScript types and the published JSON Schema
 * (`rules/schemas/rule.schema.json`) both come from here. What a schema cannot say (known facts, values
 * that a fact can take, loops) is checked in `check.ts`.
 */
const strict = { additionalProperties: false } as const;

/** The acts that a caution can belong to. */
export const ACTS = ["drill", "dimple", "countersink", "rivet", "clean", "prime"] as const;
type Act = (typeof ACTS)[number];

/** Limits against rules that nobody could read. */
export const MAX_DEPTH = 12;
export const MAX_LEAVES = 64;

export const RuleIdSchema = Type.String({
  pattern: "^[A-Za-z0-9][A-Za-z0-9-]{0,59}$",
  description: "letters, digits and hyphens",
});
const KitIdSchema = Type.String({ pattern: "^[A-Za-z0-9][A-Za-z0-9-]{0,39}$" });
const FactNameSchema = Type.String({
  pattern: "^[a-z][A-Za-z0-9]{0,39}$",
  description: "a fact of rules/facts.json",
});
const TitleSchema = Type.String({ minLength: 1, maxLength: 160 });
const TextSchema = Type.String({ minLength: 1, maxLength: 2000 });
const DateSchema = Type.String({ pattern: "^\\d{4}-\\d{2}-\\d{2}$", description: "YYYY-MM-DD" });
const ScalarSchema = Type.Union([Type.Number(), Type.String({ maxLength: 200 }), Type.Boolean()]);
const PartSchema = Type.String({ minLength: 1, maxLength: 40, description: "part id" });

const LeafSchema = Type.Object(
  {
    fact: FactNameSchema,
    operator: Type.Union(OPERATORS.map((name) => Type.Literal(name))),
    value: Type.Union([
      ScalarSchema,
      Type.Array(Type.Union([Type.Number(), Type.String({ maxLength: 200 })]), {
        minItems: 1,
        maxItems: 200,
      }),
      Type.Object({ fact: FactNameSchema }, strict),
    ]),
  },
  { ...strict, description: "true when the fact stands so to the value" },
);
const conditionRef = { $ref: "#/$defs/condition" };
const conditionsSchema = Type.Array(Type.Unsafe<Condition>(conditionRef), { minItems: 1 });
const AllSchema = Type.Object({ all: conditionsSchema }, strict);
const AnySchema = Type.Object({ any: conditionsSchema }, strict);
const NotSchema = Type.Object({ not: Type.Unsafe<Condition>(conditionRef) }, strict);

const OrderParamsSchema = Type.Object(
  {
    before: Type.Optional(PartSchema),
    after: Type.Optional(PartSchema),
    strength: Type.Union([Type.Literal("must"), Type.Literal("prefer")]),
  },
  { ...strict, minProperties: 2, description: "the hole is set before or after that part comes on" },
);
const LimitParamsSchema = Type.Object(
  { fact: FactNameSchema, min: Type.Optional(Type.Number()), max: Type.Optional(Type.Number()) },
  { ...strict, minProperties: 2, description: "a number of the hole must lie between, ends included" },
);
const CautionParamsSchema = Type.Object(
  {
    text: TextSchema,
    acts: Type.Array(Type.Unsafe<Act>(Type.Union(ACTS.map((act) => Type.Literal(act)))), { minItems: 1 }),
  },
  strict,
);
const ClaimsSchema = Type.Record(FactNameSchema, ScalarSchema, {
  minProperties: 1,
  maxProperties: 20,
  description: "attribute → value",
});
const EventSchema = Type.Union([
  Type.Object({ type: Type.Literal("treatment"), params: ClaimsSchema }, strict),
  Type.Object({ type: Type.Literal("hold"), params: ClaimsSchema }, strict),
  Type.Object({ type: Type.Literal("order"), params: OrderParamsSchema }, strict),
  Type.Object({ type: Type.Literal("limit"), params: LimitParamsSchema }, strict),
  Type.Object({ type: Type.Literal("caution"), params: CautionParamsSchema }, strict),
]);

const BasisSchema = Type.Object(
  {
    rank: Type.Unsafe<Rank>(Type.Union(RANKS.map((rank) => Type.Literal(rank)))),
    document: TitleSchema,
    place: Type.String({ minLength: 1, maxLength: 160 }),
    revision: Type.Optional(Type.Union([Type.String({ minLength: 1, maxLength: 40 }), Type.Null()])),
    dated: Type.Optional(Type.Union([DateSchema, Type.Null()])),
  },
  strict,
);

const FactRecordSchema = Type.Record(
  FactNameSchema,
  Type.Union([ScalarSchema, Type.Array(Type.String({ maxLength: 200 }), { maxItems: 50 })]),
);
const exampleEnd = { fires: Type.Boolean(), why: Type.Optional(TextSchema) };
const ExampleSchema = Type.Union([
  Type.Object({ hole: Type.String({ minLength: 1, maxLength: 100 }), ...exampleEnd }, strict),
  Type.Object({ facts: FactRecordSchema, ...exampleEnd }, strict),
]);

export const RuleSchema = Type.Object(
  {
    id: RuleIdSchema,
    title: TitleSchema,
    family: Type.Unsafe<Family>(
      Type.Union(
        (["treatment", "hold", "order", "limit", "caution"] as const).map((family) => Type.Literal(family)),
      ),
    ),
    basis: BasisSchema,
    why: TextSchema,
    conditions: Type.Union([AllSchema, AnySchema, NotSchema]),
    event: EventSchema,
    overrides: Type.Optional(
      Type.Array(Type.Object({ rule: RuleIdSchema, reason: TextSchema }, strict), { maxItems: 100 }),
    ),
    departure: Type.Optional(
      Type.Union([
        Type.Object(
          {
            from: Type.Array(RuleIdSchema, { minItems: 1 }),
            reference: Type.Optional(
              Type.String({
                maxLength: 2000,
                description: "the kit maker's agreement; only a draft of the shop's may still wait for it",
              }),
            ),
          },
          strict,
        ),
        Type.Null(),
      ]),
    ),
    examples: Type.Array(ExampleSchema, { minItems: 2, maxItems: 200 }),
  },
  strict,
);

export const RuleFileSchema = Type.Object(
  {
    $schema: Type.Optional(Type.String()),
    format: Type.Literal("tailroom rules 1"),
    kit: Type.Optional(KitIdSchema),
    rules: Type.Array(RuleSchema),
  },
  {
    ...strict,
    $id: "tailroom:rule",
    title: "Tailroom rule file",
    $defs: { condition: Type.Union([AllSchema, AnySchema, NotSchema, LeafSchema]) },
  },
);

export type RuleFile = Static<typeof RuleFileSchema>;
export type RuleInFile = Static<typeof RuleSchema>;
