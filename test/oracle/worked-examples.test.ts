import { describe, expect, it } from "vitest";
import { chamferLimit } from "../../server/fastener/deburr.js";
import { tableDrills } from "../../server/fastener/drill.js";
import { flushChoice } from "../../server/fastener/flush.js";
import { gripOf } from "../../server/fastener/grip.js";
import { holeFit } from "../../server/fastener/hole.js";
import { inchOfFraction, inchOfMm, mmOfInch } from "../../server/fastener/input.js";
import { layoutMinimum } from "../../server/fastener/layout.js";
import {
  pulledInchNumber,
  pulledLeastLength,
  pulledMetricLengths,
  solidLength,
} from "../../server/fastener/length.js";
import { oversizeRepair, repairLimit } from "../../server/fastener/oversize.js";
import examples from "./worked-examples.json" with { type: "json" };

/**
 * Published worked examples, replayed. Each case carries its source; numbers are read from the file,
 * never typed here. Tolerance: 0.0005 inch, 0.01 mm.
 */
interface Example {
  readonly id: string;
  readonly statement: string;
  readonly in: Readonly<Record<string, never>>;
  readonly out: Readonly<Record<string, never>>;
  readonly source: { readonly title: string; readonly part: string };
  readonly confidence: string;
}

const byId = new Map((examples as unknown as readonly Example[]).map((example) => [example.id, example]));
const INCH = 4; // decimals kept when comparing inches: within 0.00005 of the printed value
const given = (id: string, key: string): never => byId.get(id)?.in[key] as never;
const printed = (id: string, key: string): never => byId.get(id)?.out[key] as never;

const replays: Readonly<Record<string, () => void>> = {
  "ex-04": () => lengthReplay("ex-04"),
  "ex-05": () => lengthReplay("ex-05"),
  "ex-06": () => {
    const sheets: readonly number[] = given("ex-06", "sheets");
    const length = solidLength("1/8", gripOf(sheets.map(sheet)).value);
    expect(inchOfFraction("1/8")).toBe(given("ex-06", "d"));
    expect(inchOfMm(length.computedMm)).toBeCloseTo(printed("ex-06", "length"), INCH);
    expect(length.dashUp).toBe(printed("ex-06", "dashUp"));
    expect(length.dashNearest).toBe(printed("ex-06", "dashNearest"));
    expect(inchOfMm(length.dashUpMm)).toBeCloseTo(printed("ex-06", "dashUpLength"), INCH);
  },
  "ex-07": () => {
    const repair = oversizeRepair(mmOfInch(inchOfFraction(given("ex-07", "old"))), "protruding", 25, 25);
    expect(inchOfMm(repair.newRivetMm)).toBeCloseTo(inchOfFraction(printed("ex-07", "new")), INCH);
    expect(inchOfMm(repair.edgeNeededMm)).toBeCloseTo(printed("ex-07", "edgeMin"), INCH);
    expect(inchOfMm(repair.pitchNeededMm)).toBeCloseTo(printed("ex-07", "spacingMin"), INCH);
    expect(repair.verdict).toBe("next size");
  },
  "ex-08": () => {
    const edgeMm = mmOfInch(given("ex-08", "edge"));
    const repair = oversizeRepair(mmOfInch(inchOfFraction(given("ex-08", "old"))), "protruding", edgeMm, 25);
    expect(repair.verdict === "next size").toBe(printed("ex-08", "allowed"));
    expect(inchOfMm(repair.edgeShortMm ?? 0)).toBeCloseTo(printed("ex-08", "shortBy"), INCH);
  },
  "ex-10": () => flushReplay("ex-10"),
  "ex-11": () => flushReplay("ex-11"),
  "ex-12": () => flushReplay("ex-12"),
  "ex-13": () => {
    const [choice, ...more] = pulledMetricLengths(given("ex-13", "d"), given("ex-13", "grip"));
    expect(more).toEqual([]);
    expect(choice?.lengthMm).toBe(printed("ex-13", "length"));
    expect([choice?.gripMinMm, choice?.gripMaxMm]).toEqual(printed("ex-13", "range"));
  },
  "ex-14": () => {
    const grips: readonly number[] = given("ex-14", "grips");
    expect(grips.map((grip) => pulledMetricLengths(given("ex-14", "d"), grip)[0]?.lengthMm)).toEqual(
      printed("ex-14", "lengths"),
    );
  },
  "ex-15": () => {
    expect(printed("ex-15", "length")).toBeNull();
    expect(pulledMetricLengths(given("ex-15", "d"), given("ex-15", "grip"))).toEqual([]);
  },
  "ex-16": () => {
    const { leastMm } = pulledLeastLength(given("ex-16", "d"), given("ex-16", "stack"));
    expect(leastMm).toBeCloseTo(printed("ex-16", "minLength"), 2);
    // The source takes one of the next two whole millimetres.
    const choose: readonly number[] = printed("ex-16", "choose");
    expect(choose[0]).toBe(Math.ceil(leastMm));
    expect(choose.every((length) => length >= leastMm && length < leastMm + 2)).toBe(true);
  },
  "ex-17": () => {
    const stacks: readonly number[] = given("ex-17", "stacks");
    expect(
      stacks.map((stack) => pulledInchNumber(given("ex-17", "d"), mmOfInch(stack))?.name ?? null),
    ).toEqual(printed("ex-17", "numbers"));
  },
  "ex-18": () => {
    const [table] = tableDrills(mmOfInch(inchOfFraction(given("ex-18", "d")))).filter(
      ({ kind }) => kind === "pulled",
    );
    const limits = table?.limits ?? { minMm: Number.NaN, maxMm: Number.NaN };
    const holes: readonly number[] = given("ex-18", "holes");
    const words = { fits: "ok", oversize: "enlarged", undersize: "undersize" } as const;
    expect(holes.map((inch) => words[holeFit(mmOfInch(inch), limits)])).toEqual(printed("ex-18", "verdict"));
  },
  "ex-19": () => {
    const sheets: readonly number[] = given("ex-19", "t");
    const depths: readonly number[] = printed("ex-19", "maxDepth");
    sheets.forEach((inch, i) => {
      expect(inchOfMm(chamferLimit(mmOfInch(inch)).mostMm)).toBeCloseTo(depths[i] ?? Number.NaN, INCH);
    });
  },
  "ex-20": () => {
    const rivets: readonly number[] = given("ex-20", "rivets");
    expect(rivets.map((count) => repairLimit(count).max)).toEqual(printed("ex-20", "maxRepairs"));
  },
  "ex-22": () => {
    const sheets: readonly number[] = given("ex-22", "sheets");
    const flat = gripOf(sheets.map(sheet)).value;
    const dimpled = gripOf(sheets.map(sheet), mmOfInch(given("ex-22", "headHeight"))).value;
    expect(inchOfMm(flat)).toBeCloseTo(printed("ex-22", "gripFlat"), INCH);
    expect(inchOfMm(dimpled)).toBeCloseTo(printed("ex-22", "gripDimpled"), INCH);
    // Structural pulled rivets: grip number n covers (n-1)/16 to n/16 inch (blind-structural-grip).
    const gripNumber = (mm: number): number => Math.ceil(inchOfMm(mm) * 16 - 1e-9);
    expect([gripNumber(flat), gripNumber(dimpled)]).toEqual([
      printed("ex-22", "numberFlat"),
      printed("ex-22", "numberDimpled"),
    ]);
  },
  "ex-23": () => {
    const mm = mmOfInch(given("ex-23", "d"));
    expect(inchOfMm(layoutMinimum(mm, "protruding").edgeMm)).toBeCloseTo(printed("ex-23", "edge"), INCH);
    expect(inchOfMm(layoutMinimum(mm, "flush").edgeMm)).toBeCloseTo(printed("ex-23", "edgeFlush"), INCH);
    expect(inchOfMm(layoutMinimum(mm, "protruding", "one").pitchMm)).toBeCloseTo(
      printed("ex-23", "single"),
      INCH,
    );
    expect(inchOfMm(layoutMinimum(mm, "protruding", "two").pitchMm)).toBeCloseTo(
      printed("ex-23", "double"),
      INCH,
    );
  },
};

/** Head heights and grip columns behind these are from memory or inferred. */
const UNVERIFIED: ReadonlySet<string> = new Set(["ex-13", "ex-14", "ex-15", "ex-22"]);

describe("published worked examples come out as printed", () => {
  for (const [id, replay] of Object.entries(replays)) {
    const example = byId.get(id);
    const remark = UNVERIFIED.has(id) ? " (rests on an inferred or unverified value)" : "";
    it(`${id}: ${example?.statement} [${example?.source.title}, ${example?.source.part}]${remark}`, replay);
  }

  it("every example of the file is replayed", () => {
    expect(Object.keys(replays).sort()).toEqual([...byId.keys()].sort());
  });
});

function sheet(inch: number, i: number): { name: string; thicknessMm: number } {
  return { name: `sheet ${i + 1}`, thicknessMm: mmOfInch(inch) };
}

function lengthReplay(id: string): void {
  const sheets: readonly number[] = given(id, "sheets");
  const grip = gripOf(sheets.map(sheet)).value;
  expect(inchOfMm(grip)).toBeCloseTo(printed(id, "grip"), INCH);
  // The source rounds the allowance to a thousandth.
  expect(
    Math.abs(inchOfMm(solidLength(printed(id, "rivet"), grip).computedMm) - printed(id, "length")),
  ).toBeLessThan(0.001);
}

function flushReplay(id: string): void {
  const choice = flushChoice(given(id, "d"), mmOfInch(given(id, "t")));
  expect(choice.mayCountersink).toBe(printed(id, "countersink"));
  expect(choice.mayDimple).toBe(printed(id, "dimple"));
}
