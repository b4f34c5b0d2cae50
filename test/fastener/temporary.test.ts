import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { inchOfFraction, mmOfInch } from "../../server/fastener/input.js";
import { tables } from "../../server/fastener/tables.js";
import { temporaryFastenerFor } from "../../server/fastener/temporary.js";

describe("the temporary fastener for a hole", () => {
  // Drills for the nominal sizes: kb/tables/solid-drills.json; 3.3 and 4.1 mm are metric pulled rivets' holes.
  it.each([
    ["No. 40", 0.098 * 25.4, "3/32"],
    ["No. 30", 0.1285 * 25.4, "1/8"],
    ["No. 21", 0.159 * 25.4, "5/32"],
    ["No. 11", 0.191 * 25.4, "3/16"],
    ["3.3 mm", 3.3, "1/8"],
    ["4.1 mm", 4.1, "5/32"],
  ])("is named after the rivet whose hole it is: %s", (_drill, holeMm, size) => {
    expect(temporaryFastenerFor(holeMm)?.size).toBe(size);
  });

  it("has the colour that each source prints, where two disagree both", () => {
    const colours = temporaryFastenerFor(2.49)?.colours.map(({ colour }) => colour);
    expect(colours).toEqual(["cadmium", "silver"]);
    expect(temporaryFastenerFor(3.3)?.colours[0]).toMatchObject({
      colour: "copper",
      source: { title: "NAVEDTRA 14315, Aviation Structural Mechanic" },
    });
  });

  it("is none for a hole between two sizes, below the least or above the largest", () => {
    for (const holeMm of [1, 3.7, 7.5, 12]) expect(temporaryFastenerFor(holeMm)).toBeNull();
  });

  it.each([0, -3.3, Number.NaN, Number.POSITIVE_INFINITY])("a hole of %s mm is refused", (holeMm) => {
    expect(() => temporaryFastenerFor(holeMm)).toThrow(expect.objectContaining({ code: "FASTENER_INPUT" }));
  });

  it("never is larger than its hole, and never a whole step of sizes smaller", () => {
    const all = tables.temporaryFasteners.rows.map(({ size }) => mmOfInch(inchOfFraction(size)));
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 15, noNaN: true }), (holeMm) => {
        const found = temporaryFastenerFor(holeMm);
        const fits = all.some((mm) => mm <= holeMm + 0.01 && holeMm - mm <= mmOfInch(1 / 64));
        expect(found !== null).toBe(fits);
        if (found) expect(holeMm - found.sizeMm).toBeLessThan(mmOfInch(1 / 32));
        if (found) expect(found.sizeMm).toBeLessThanOrEqual(holeMm + 0.01);
      }),
    );
  });
});
