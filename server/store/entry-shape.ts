import type { ErrorObject } from "ajv/dist/2020.js";
import { type TObject, type TProperties, Type } from "typebox";
import { RuleFileSchema, RuleIdSchema, RuleSchema } from "../ruling/schema.js";
import { shapeChecker } from "../shape-checker.js";
import { RULE_STEPS } from "../shop/types.js";
import type { Entry } from "./contract.js";

/** The shape of the shop book's entries, for what comes in from elsewhere. */
function exactly<T extends TProperties>(properties: T): TObject<T> {
  return Type.Object(properties, { additionalProperties: false });
}

const Id = Type.String({ minLength: 1, maxLength: 100 });
const Text = Type.String({ minLength: 1, maxLength: 10_000 });
const Hash = Type.String({ pattern: "^[0-9a-f]{64}$" });
const Count = Type.Integer({ minimum: 1 });

const Mark = Type.Union([
  exactly({ kind: Type.Literal("hole"), hole: Id, state: Type.Enum(["unset", "pinned", "set"]) }),
  exactly({ kind: Type.Literal("prep"), part: Id, gate: Id, done: Type.Boolean() }),
  exactly({ kind: Type.Literal("milestone"), milestone: Id, reached: Type.Boolean() }),
]);
const Ruled = exactly({
  holes: Type.Array(Id, { minItems: 1 }),
  verdict: Type.Enum(["settled", "undecided", "conflict"]),
  settled: Type.Record(Id, Type.Union([Type.String(), Type.Number(), Type.Boolean()])),
  open: Type.Array(Id),
  rules: Type.Array(exactly({ rule: Id, revision: Type.Union([Type.String(), Type.Null()]) })),
});
const BODIES = {
  marks: exactly({
    marks: Type.Array(Mark, { minItems: 1 }),
    ruled: Type.Optional(Type.Array(Ruled, { minItems: 1 })),
  }),
  "rule-revision": exactly({ rule: RuleSchema, revision: Count }),
  "rule-step": exactly({
    rule: RuleIdSchema,
    revision: Count,
    hash: Hash,
    step: Type.Enum([...RULE_STEPS]),
    comments: Type.Array(exactly({ at: Type.Union([Type.String(), Type.Null()]), text: Text })),
    reference: Type.Optional(Text),
    mentor: Type.Optional(Id),
  }),
  note: exactly({ hole: Type.Optional(Id), part: Type.Optional(Id), text: Text }),
} satisfies Readonly<Record<Entry["kind"], TObject>>;

const checkOf = shapeChecker({ strict: true, allowUnionTypes: true });
const frame = checkOf(
  exactly({
    seq: Count,
    at: Type.String({ pattern: "^\\d{4}-\\d{2}-\\d{2}T\\d{2}:\\d{2}:\\d{2}(\\.\\d{1,9})?Z$" }),
    kind: Type.Enum(Object.keys(BODIES)),
    by: Type.String({ minLength: 1, maxLength: 200 }),
    kit: Id,
    assembly: Type.Union([Id, Type.Null()]),
    body: Type.Object({}),
    key: Type.String({ minLength: 1, maxLength: 200 }),
    prevHash: Type.Union([Hash, Type.Null()]),
    hash: Hash,
  }),
);
// The shape of a rule refers to that of its conditions, which stands beside it.
const { $defs } = RuleFileSchema as { readonly $defs?: object };
const bodies = new Map(Object.entries(BODIES).map(([kind, body]) => [kind, checkOf({ ...body, $defs })]));

/** What is wrong with a value that should be an entry, in a few words; null = nothing. */
export function wrongWithEntry(value: unknown): string | null {
  if (!frame(value)) return said(frame.errors, "");
  const { kind, assembly, body } = value as unknown as Entry;
  if ((assembly === null) !== (kind === "rule-revision" || kind === "rule-step")) {
    return "/assembly does not fit the kind";
  }
  const check = bodies.get(kind);
  if (!check) return `there is no kind "${kind}"`;
  return check(body) ? null : said(check.errors, "/body");
}

function said(errors: readonly ErrorObject[] | null | undefined, under: string): string {
  const [error] = errors ?? [];
  const name: unknown = error?.params.additionalProperty;
  const place = `${under}${error?.instancePath ?? ""}`;
  return `${place && `${place} `}${error?.message ?? "is wrong"}${typeof name === "string" ? ` ("${name.slice(0, 40)}")` : ""}`;
}
