import fc from "fast-check";
import { describe, expect, it } from "vitest";
import table from "../../kb/tables/drills.json" with { type: "json" };
import { parseLength, readLength, sayLength } from "../../server/kit/units.js";
import { problemsOf } from "./small-kit.js";

describe("reading a length", () => {
  it.each([
    ["3.2 mm", 3.2],
    ["3,2 mm", 3.2],
    ["3.2mm", 3.2],
    [" 12 MM ", 12],
    [".8 mm", 0.8],
  ])("%s in a file in mm", (text, mm) => {
    expect(parseLength(text, "mm")).toBeCloseTo(mm, 9);
  });

  it.each([
    ["1/8 in", 3.175],
    ['1/8"', 3.175],
    ["1/8″", 3.175],
    ["1/8", 3.175],
    ["1 1/2 in", 38.1],
    ["1-1/2 inch", 38.1],
    ["0.125 in", 3.175],
    ["0,125 in.", 3.175],
    [".032 inches", 0.8128],
    ["#30", 3.2639],
    ["# 30", 3.2639],
    ["No. 30", 3.2639],
    ["no 30", 3.2639],
    ["number 30", 3.2639],
    ["letter F", 6.5278],
    ["F", 6.5278],
    ["f", 6.5278],
  ])("%s in a file in inches", (text, mm) => {
    expect(parseLength(text, "inch")).toBeCloseTo(mm, 9);
  });

  it("a bare number is in the file's own units", () => {
    expect(parseLength(3.2, "mm")).toBe(3.2);
    expect(parseLength(0.125, "inch")).toBe(3.175);
  });

  it("every drill of the published table is read by its name, as the table says", () => {
    expect(table.rows.length).toBeGreaterThan(50);
    for (const { drill, inch } of table.rows) {
      expect(readLength(drill)).toEqual({ mm: inch * 25.4, unit: "inch", drill });
    }
  });

  it.each(["1/8 in", "#30", "F", "0.125 in", "1/8"])(
    "%s is an inch size: a file in mm refuses it",
    (text) => {
      expect(problemsOf(() => parseLength(text, "mm")).map((problem) => problem.code)).toEqual([
        "UNITS_MIXED",
      ]);
    },
  );

  it("3.2 mm in a file in inches is refused, with the size in inches as the way out", () => {
    const [problem] = problemsOf(() => parseLength("3.2 mm", "inch"));
    expect(problem?.code).toBe("UNITS_MIXED");
    expect(problem?.fix).toBe("Write it in inches: 0.126 in.");
  });

  it.each([
    "",
    "thin",
    "3.2",
    "3.2 cm",
    "3.2.1 mm",
    "mm",
    "1/0 in",
    "1/3 in",
    "1/8 mm",
    "#99",
    "#0",
    "letter",
    "1e3 mm",
    "0x10 mm",
    "Infinity mm",
    "NaN",
    "3.2 mm thick",
  ])("'%s' is no length", (text) => {
    expect(readLength(text)).toBeNull();
    expect(problemsOf(() => parseLength(text, "mm")).map((problem) => problem.code)).toEqual([
      "LENGTH_UNREADABLE",
    ]);
  });

  it("1,250 mm may be one and a quarter or twelve hundred and fifty: it is not guessed", () => {
    expect(readLength("1,250 mm")).toBeNull();
    expect(readLength("0,250 mm")?.mm).toBe(0.25);
    expect(readLength("1,25 mm")?.mm).toBe(1.25);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])("%s is no length", (value) => {
    expect(problemsOf(() => parseLength(value, "mm")).map((problem) => problem.code)).toEqual([
      "NUMBER_NOT_FINITE",
    ]);
  });
});

describe("saying a length", () => {
  it.each([
    [4.1, "4.1 mm (0.161 in)"],
    [3.2, "3.2 mm (0.126 in)"],
    [0.8, "0.8 mm (0.031 in)"],
    [3.3, "3.3 mm (0.130 in)"],
    [3.175, "3.18 mm (0.125 in)"],
    [0, "0 mm (0 in)"],
    [-0.001, "0 mm (0 in)"],
  ])("%s mm in a kit in mm", (mm, said) => {
    expect(sayLength(mm, "mm")).toBe(said);
  });

  it.each([
    [3.175, "1/8 in (3.18 mm)"],
    [4.7625, "3/16 in (4.76 mm)"],
    [38.1, "1 1/2 in (38.1 mm)"],
    [25.4, "1 in (25.4 mm)"],
    [0.8128, "0.032 in (0.81 mm)"],
    [1.016, "0.040 in (1.02 mm)"],
    [3.2639, "0.1285 in (3.26 mm)"],
    [3.264, "0.1285 in (3.26 mm)"],
    [0.129 * 25.4, "0.129 in (3.28 mm)"],
    [1.6002, "0.063 in (1.6 mm)"],
    [1.5875, "1/16 in (1.59 mm)"],
  ])("%s mm in a kit in inches", (mm, said) => {
    expect(sayLength(mm, "inch")).toBe(said);
  });

  it("a length that is not known cannot be said as a number", () => {
    expect(problemsOf(() => sayLength(Number.NaN, "mm")).map((problem) => problem.code)).toEqual([
      "NUMBER_NOT_FINITE",
    ]);
  });
});

describe("units, for any length", () => {
  const mm = fc.double({ min: 0.1, max: 500, noNaN: true });

  it("a length to inches and back loses less than a thousandth of a millimetre", () => {
    fc.assert(
      fc.property(mm, (length) => {
        expect(Math.abs(parseLength(length / 25.4, "inch") - length)).toBeLessThan(0.001);
      }),
    );
  });

  it("a number and the same number with its unit are one length, with point or comma", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 99_999 }), fc.constantFrom("mm", "inch"), (hundredths, units) => {
        const text = (hundredths / 100).toFixed(2);
        const unit = units === "mm" ? "mm" : "in";
        const length = parseLength(hundredths / 100, units);
        expect(parseLength(`${text} ${unit}`, units)).toBe(length);
        expect(parseLength(`${text.replace(".", ",")} ${unit}`, units)).toBe(length);
      }),
    );
  });

  it("what is said in the kit's units reads back as the same length, to the places that are said", () => {
    fc.assert(
      fc.property(mm, fc.constantFrom("mm", "inch"), (length, units) => {
        const said = sayLength(length, units).replace(/ \(.*$/, "");
        const back = readLength(said);
        expect(back?.unit).toBe(units);
        expect(Math.abs((back?.mm ?? Number.NaN) - length)).toBeLessThanOrEqual(
          units === "mm" ? 0.00501 : 0.0128,
        );
      }),
    );
  });

  it("no text makes it fail in any way but a Problem", () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(problemsOf(() => parseLength(text, "mm")).length).toBeLessThanOrEqual(1);
      }),
    );
  });
});
