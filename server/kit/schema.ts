import { type Static, Type } from "typebox";

/**
 * The shape of kit files, written once: the TypeScript types and the published JSON Schemas
 * (`rules/schemas/kit.schema.json`, `assembly.schema.json`) both come from here.
 *
 * A length is a number in the file's own `units`, or text with the same unit ("3.2 mm", "1/8 in",
 * "#30"). Text in the other unit is refused: a file keeps to one.
 */
const strict = { additionalProperties: false } as const;

export const IdSchema = Type.String({
  pattern: "^[A-Za-z0-9][A-Za-z0-9-]{0,39}$",
  description: "letters, digits and hyphens; no dots",
});
const HoleIdSchema = Type.String({
  pattern: "^[A-Za-z0-9][A-Za-z0-9-]*\\.[A-Za-z0-9][A-Za-z0-9-]*\\.[1-9][0-9]{0,3}$",
  description: "PART.ROW.N",
});
const RowIdSchema = Type.String({
  pattern: "^[A-Za-z0-9][A-Za-z0-9-]*\\.[A-Za-z0-9][A-Za-z0-9-]*$",
  description: "PART.ROW",
});
const TextSchema = Type.String({ minLength: 1, maxLength: 2000 });
const NameSchema = Type.String({ minLength: 1, maxLength: 80 });
const NamesSchema = Type.Optional(Type.Array(NameSchema));
const DateSchema = Type.String({ pattern: "^\\d{4}-\\d{2}-\\d{2}$", description: "YYYY-MM-DD" });
const UnitsSchema = Type.Union([Type.Literal("mm"), Type.Literal("inch")]);
const LengthSchema = Type.Union([Type.Number(), Type.String({ minLength: 1, maxLength: 30 })], {
  description: "a number in the file's units, or text with that unit",
});
/** Written out, because a tuple of the library has the shape of an older JSON Schema than 2020-12. */
const VecSchema = Type.Unsafe<[number, number, number]>({
  type: "array",
  // A kilometre, and more than any direction needs: nothing that is drawn on a bench lies further out.
  items: {
    type: "number",
    minimum: -1e6,
    maximum: 1e6,
    description: "a number within a million of 0",
  },
  minItems: 3,
  maxItems: 3,
  description: "three numbers x, y, z in the file's units (directions: no unit)",
});
const KindSchema = Type.Union([Type.Literal("pulled"), Type.Literal("solid")]);

const RivetSchema = Type.Object(
  {
    code: IdSchema,
    name: NameSchema,
    kind: KindSchema,
    head: Type.Union([Type.Literal("protruding"), Type.Literal("flush")]),
    diameter: LengthSchema,
    headHeight: LengthSchema,
    headDiameter: Type.Optional(LengthSchema),
    sunkHeight: Type.Optional(LengthSchema),
    hole: Type.Object({ min: LengthSchema, max: LengthSchema }, strict),
    grip: Type.Optional(Type.Object({ min: LengthSchema, max: LengthSchema }, strict)),
    source: TextSchema,
  },
  strict,
);

const RoomSchema = Type.Object(
  {
    side: Type.Union([Type.Literal("head"), Type.Literal("tail")]),
    what: NameSchema,
    radius: LengthSchema,
    from: Type.Optional(LengthSchema),
    length: LengthSchema,
  },
  strict,
);

const ApproachSchema = Type.Object(
  {
    id: IdSchema,
    name: NameSchema,
    kind: KindSchema,
    clearance: Type.Optional(LengthSchema),
    rooms: Type.Array(RoomSchema, { minItems: 1 }),
    drill: Type.Optional(
      Type.Array(RoomSchema, {
        minItems: 1,
        description: "room that a drill needs at the rivet's head to take it out again, all on one side",
      }),
    ),
  },
  strict,
);

export const KitFileSchema = Type.Object(
  {
    $schema: Type.Optional(Type.String()),
    format: Type.Literal("tailroom kit 1"),
    id: IdSchema,
    name: NameSchema,
    revision: NameSchema,
    dated: DateSchema,
    units: UnitsSchema,
    rivets: Type.Array(RivetSchema, { minItems: 1 }),
    approaches: Type.Array(ApproachSchema, { minItems: 1 }),
    prepGates: Type.Array(Type.Object({ id: IdSchema, name: NameSchema }, strict)),
    notices: Type.Array(
      Type.Object(
        { id: IdSchema, title: NameSchema, dated: DateSchema, changes: TextSchema, overtakes: TextSchema },
        strict,
      ),
    ),
    assemblies: Type.Array(IdSchema, {
      minItems: 1,
      description: "each is read from assemblies/ID.json beside this file",
    }),
  },
  { ...strict, $id: "tailroom:kit", title: "Tailroom kit file" },
);

const BodySchema = Type.Union([
  Type.Object({ box: Type.Object({ min: VecSchema, max: VecSchema }, strict) }, strict),
  Type.Object(
    {
      prism: Type.Object(
        { base: Type.Array(VecSchema, { minItems: 3, maxItems: 200 }), along: VecSchema },
        { ...strict, description: "a flat convex base swept along a vector" },
      ),
    },
    strict,
  ),
]);

const SheetSchema = Type.Object(
  {
    id: IdSchema,
    name: Type.Optional(NameSchema),
    outline: Type.Array(VecSchema, {
      minItems: 3,
      maxItems: 500,
      description: "on the sheet's middle plane",
    }),
    thickness: Type.Optional(LengthSchema),
    body: Type.Optional(
      Type.Boolean({
        description: "false: the flat sheet is not in a tool's way by itself (its bodies are given)",
      }),
    ),
  },
  strict,
);

const PartSchema = Type.Object(
  {
    id: IdSchema,
    name: NameSchema,
    nicknames: NamesSchema,
    kind: NameSchema,
    material: NameSchema,
    thickness: LengthSchema,
    sheets: Type.Array(SheetSchema),
    bodies: Type.Optional(Type.Array(BodySchema)),
    prep: Type.Optional(Type.Array(IdSchema)),
  },
  strict,
);

const GivenSchema = Type.Record(
  Type.String({ pattern: "^[a-z][A-Za-z0-9]{0,39}$" }),
  Type.Union([Type.Number(), Type.String(), Type.Boolean()]),
  { ...strict, description: "facts by the names of the fact dictionary" },
);
const StackSchema = Type.Array(Type.Object({ part: IdSchema, sheet: IdSchema }, strict), {
  minItems: 1,
  description: "head side first",
});

const RowSchema = Type.Object(
  {
    part: IdSchema,
    row: IdSchema,
    name: NameSchema,
    nicknames: NamesSchema,
    numbered: NameSchema,
    holes: Type.Union([
      Type.Object(
        { from: VecSchema, to: VecSchema, count: Type.Integer({ minimum: 1, maximum: 2000 }) },
        { ...strict, description: "evenly spaced, both ends included, on the head-side surface" },
      ),
      Type.Object(
        { at: Type.Array(VecSchema, { minItems: 1, maxItems: 2000 }) },
        { ...strict, description: "each hole by itself, on the head-side surface" },
      ),
    ]),
    normal: VecSchema,
    stack: StackSchema,
    punched: LengthSchema,
    rivet: IdSchema,
    approaches: Type.Array(IdSchema, { minItems: 1 }),
    given: Type.Optional(GivenSchema),
    except: Type.Optional(
      Type.Array(
        Type.Object(
          {
            holes: Type.Array(Type.Integer({ minimum: 1 }), { minItems: 1 }),
            stack: Type.Optional(StackSchema),
            punched: Type.Optional(LengthSchema),
            rivet: Type.Optional(IdSchema),
            approaches: Type.Optional(Type.Array(IdSchema, { minItems: 1 })),
            given: Type.Optional(GivenSchema),
          },
          strict,
        ),
      ),
    ),
  },
  strict,
);

/** The gap along the named holes, with a moving neighbour in one place. */
const StillGapSchemas = [
  LengthSchema,
  Type.Object(
    { first: LengthSchema, last: LengthSchema },
    { ...strict, description: "runs evenly from the first named hole to the last" },
  ),
  Type.Null({ description: "something comes near, how near is not known" }),
] as const;

const GapSchema = Type.Object(
  {
    row: RowIdSchema,
    holes: Type.Optional(Type.Array(Type.Integer({ minimum: 1 }), { minItems: 1 })),
    gap: Type.Union([
      ...StillGapSchemas,
      Type.Object(
        {
          positions: Type.Array(
            Type.Object({ name: NameSchema, gap: Type.Union([...StillGapSchemas]) }, strict),
            { minItems: 1 },
          ),
        },
        { ...strict, description: "one gap for each place of a moving surface's travel" },
      ),
    ]),
  },
  strict,
);

export const AssemblyFileSchema = Type.Object(
  {
    $schema: Type.Optional(Type.String()),
    format: Type.Literal("tailroom assembly 1"),
    id: IdSchema,
    name: NameSchema,
    nicknames: NamesSchema,
    units: UnitsSchema,
    parts: Type.Array(PartSchema, { minItems: 1 }),
    families: Type.Array(
      Type.Object(
        {
          id: IdSchema,
          name: NameSchema,
          nicknames: NamesSchema,
          members: Type.Array(IdSchema, { minItems: 1 }),
          numbered: NameSchema,
        },
        strict,
      ),
    ),
    rows: Type.Array(RowSchema, { minItems: 1 }),
    neighbours: Type.Array(
      Type.Object(
        {
          id: IdSchema,
          name: NameSchema,
          tolerance: Type.Optional(
            Type.Unsafe<Length>({
              ...LengthSchema,
              description: "how much smaller the gaps may be; 0 when they are the least there can be",
            }),
          ),
          headMargin: Type.Optional(
            Type.Unsafe<Length>({ ...LengthSchema, description: "room that must stay free above a head" }),
          ),
          gaps: Type.Array(GapSchema, { minItems: 1 }),
        },
        strict,
      ),
    ),
    milestones: Type.Array(Type.Object({ id: IdSchema, name: NameSchema, nicknames: NamesSchema }, strict)),
    steps: Type.Array(
      Type.Object(
        {
          id: IdSchema,
          title: NameSchema,
          text: TextSchema,
          parts: Type.Optional(Type.Array(IdSchema)),
          rows: Type.Optional(Type.Array(RowIdSchema)),
        },
        strict,
      ),
    ),
    closings: Type.Array(IdSchema, { description: "parts in the order in which the manual closes them" }),
    blocks: Type.Optional(
      Type.Array(
        Type.Object(
          {
            holes: Type.Array(HoleIdSchema, { minItems: 1 }),
            approach: IdSchema,
            by: IdSchema,
            why: TextSchema,
          },
          strict,
        ),
        { description: "blocking facts stated by hand" },
      ),
    ),
    views: Type.Array(
      Type.Object(
        { id: IdSchema, name: NameSchema, normal: VecSchema, right: VecSchema, up: VecSchema },
        strict,
      ),
      { minItems: 1 },
    ),
  },
  { ...strict, $id: "tailroom:assembly", title: "Tailroom assembly file" },
);

export type KitFile = Static<typeof KitFileSchema>;
export type AssemblyFile = Static<typeof AssemblyFileSchema>;
export type RowFile = Static<typeof RowSchema>;
export type Length = Static<typeof LengthSchema>;
export type PartFile = Static<typeof PartSchema>;
export type BodyFile = Static<typeof BodySchema>;
export type StackFile = Static<typeof StackSchema>;
export type GapFile = Static<typeof GapSchema>;
/** A gap without its travel: one length, one that runs along the holes, or not known. */
export type StillGapFile = Exclude<GapFile["gap"], { positions: unknown }>;
