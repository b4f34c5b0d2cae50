import fc from "fast-check";
import type { Mark } from "../../server/kit/work.js";
import type { PlanStep } from "../../server/order/plan-types.js";
import type { Standing } from "../../server/order/types.js";
import type { OrderClaim } from "../../server/ruling/types.js";
import { type BenchInWords, type HoleInWords, standing } from "./in-words.js";

const PARTS = ["skin", "rib", "spar", "mount", "cover"] as const;
const part = fc.constantFrom(...PARTS);

const order: fc.Arbitrary<OrderClaim> = fc
  .record({
    relation: fc.constantFrom("before" as const, "after" as const),
    part,
    strength: fc.constantFrom("must" as const, "prefer" as const),
    verdict: fc.constantFrom("true" as const, "true" as const, "unknown" as const),
  })
  .map(({ relation, part: named, strength, verdict }) => ({ [relation]: named, strength, verdict }));

/** What may be ruled at a hole: mostly nothing out of the way. */
const ruling: fc.Arbitrary<NonNullable<HoleInWords["ruling"]>> = fc.oneof(
  { weight: 10, arbitrary: fc.constant({}) },
  { weight: 2, arbitrary: fc.record({ orders: fc.array(order, { minLength: 1, maxLength: 2 }) }) },
  { weight: 1, arbitrary: fc.constant({ settled: { hold: "aligned" } }) },
  { weight: 1, arbitrary: fc.constant({ open: { treatment: "undecided" as const } }) },
  { weight: 1, arbitrary: fc.constant({ settled: { treatment: "dimple", finalDiameterMm: 4 } }) },
  { weight: 1, arbitrary: fc.constantFrom({ limit: "false" as const }, { limit: "unknown" as const }) },
);

const hole = (setShare: number): fc.Arbitrary<HoleInWords> =>
  fc.record({
    through: fc.uniqueArray(part, { minLength: 1, maxLength: 3 }),
    approaches: fc
      .array(fc.uniqueArray(part, { maxLength: 3 }), { minLength: 1, maxLength: 2 })
      .map((ways) => Object.fromEntries(ways.map((blockers, i) => [`way ${i}`, blockers]))),
    state: fc.oneof(
      { weight: 10 - setShare, arbitrary: fc.constant("unset" as const) },
      { weight: setShare, arbitrary: fc.constant("set" as const) },
      { weight: 1, arbitrary: fc.constant("pinned" as const) },
    ),
    ruling,
  });

/** A small bench after any history of marks, sensible or not. */
export function anyBench({ setShare = 2, holes = 9 } = {}): fc.Arbitrary<BenchInWords> {
  return fc
    .record({
      list: fc.array(hole(setShare), { minLength: 1, maxLength: holes }),
      prepped: fc.uniqueArray(part, { maxLength: 2 }),
    })
    .map(({ list, prepped }) => ({
      holes: Object.fromEntries(
        list.map((one, i) => [`${one.through.at(-1)}.${i % 2 ? "left" : "right"}.${i + 1}`, one]),
      ),
      prep: Object.fromEntries(prepped.map((id) => [id, ["deburr"]])),
    }));
}

/** The same bench with the kit's lists in another order. */
export function shuffled(here: Standing, seed: number): Standing {
  const mix = <T>(list: readonly T[], key: (item: T) => string): T[] =>
    [...list].sort((a, b) => (scrambled(key(a), seed) < scrambled(key(b), seed) ? -1 : 1));
  const { assembly, reach } = here;
  const holes = mix(assembly.holes, ({ id }) => id).map((one, index) => ({ ...one, index }));
  return {
    ...here,
    assembly: {
      ...assembly,
      holes,
      parts: mix(assembly.parts, ({ id }) => id),
      rows: mix(assembly.rows, ({ id }) => id),
    },
    reach: { holes: holes.map(({ id }) => reach.holes.find((one) => one.hole === id) ?? missing(id)) },
  };
}

function missing(id: string): never {
  throw new Error(`no reach of ${id}`);
}

function scrambled(text: string, seed: number): number {
  let mixed = seed >>> 0;
  for (const letter of text) mixed = Math.imul(mixed ^ letter.charCodeAt(0), 0x01000193) >>> 0;
  return Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 0;
}

/** What a person marks who does a step of a plan. */
export function marksOf(step: PlanStep): Mark[] {
  switch (step.kind) {
    case "rivets":
      return step.holes.map((id) => ({ kind: "hole", hole: id, state: "set" }));
    case "take-off":
      return step.holes.map((id) => ({ kind: "hole", hole: id, state: "unset" }));
    case "prep":
      return step.gates.map(({ part: id, gate }) => ({ kind: "prep", part: id, gate, done: true }));
    default:
      return [];
  }
}

export { standing };
