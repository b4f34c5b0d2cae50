import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { tableDrills } from "../../server/fastener/drill.js";
import { SAME_SIZE_MM } from "../../server/fastener/input.js";
import { tableSizes } from "../../server/fastener/rivet-size.js";
import type { RivetKind } from "../../server/kit/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { jobFromDisk, ruleFiles } from "../support/job.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk({ rules: ruleFiles().filter(({ path }) => path === "rules/handbook.json") });
});

/** What the rules settle for a drawn rivet in a hole, head and drawing alone being known. */
async function ruled(kind: RivetKind, rivetMm: number, punchedMm: number) {
  const facts = { drawnHead: "protruding", rivetKind: kind, rivetMm, punchedMm };
  const { attributes } = (await ruleOn(job.rulebook, ["hole"], [facts])).of("hole");
  return { treatment: attributes.treatment, final: attributes.finalDiameterMm };
}

/** Sizes for which a source gives a hole, less the two that no rule of the handbook has for solid rivets. */
const SIZES = (["pulled", "solid"] as const).flatMap((kind) =>
  tableSizes(kind)
    .filter(({ name }) => kind === "pulled" || !["1/16", "1/4"].includes(name))
    .map(({ name, mm }) => [kind, name, mm] as const),
);

describe("the handbook's finished hole", () => {
  it.each(SIZES)("of a %s rivet of %s is one that its table prints", async (kind, _, mm) => {
    const { final } = await ruled(kind, mm, 1.5);
    expect(final).toMatchObject({ status: "settled", rank: "handbook" });
    const holeMm = Number(final?.value);
    const printed = tableDrills(mm).filter((table) => table.kind === kind);
    expect(printed.length).toBeGreaterThan(0);
    const serves = printed.some(({ limits, drills }) =>
      limits
        ? holeMm >= limits.minMm - 0.001 && holeMm <= limits.maxMm + 0.001
        : drills.some((drill) => Math.abs(drill.mm - holeMm) <= SAME_SIZE_MM),
    );
    expect(serves, `${holeMm} mm`).toBe(true);
  });

  it.each(SIZES)(
    "of a %s rivet of %s is drilled from a pilot, and a hole of its size is left",
    async (kind, _, mm) => {
      expect((await ruled(kind, mm, 1.5)).treatment?.value).toBe("enlarge");
      const holeMm = Number((await ruled(kind, mm, 1.5)).final?.value);
      expect((await ruled(kind, mm, holeMm)).treatment?.value).toBe("as punched");
    },
  );

  it("of a size that no table has is not made up", async () => {
    for (const mm of [2, 3.6, 7, 8])
      expect((await ruled("pulled", mm, 1.5)).final?.status ?? "none").not.toBe("settled");
  });
});
