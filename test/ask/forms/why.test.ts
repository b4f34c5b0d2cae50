import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { jobFromDisk, trialRules } from "../../support/job.js";
import { answer, problemOf, rowOf } from "./answer.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

const titleOf = (id: string): string => job.rulebook.byId.get(id)?.title ?? "?";

describe("why it is so", () => {
  it("every settled treatment is explained by a rule that carries it, with its basis", () => {
    for (const { id } of job.assembly.holes.filter(({ index }) => index % 5 === 0)) {
      const ruling = job.rulings.of(id).attributes.treatment;
      if (ruling?.status !== "settled") continue;
      const row = answer(job, "why", { hole: id }).rows.find(({ attribute }) => attribute === "treatment");
      expect(row?.value, id).toBe(ruling.value);
      expect(row?.rules, id).toEqual(ruling.ruleIds);
      expect(
        ruling.ruleIds.some((rule) => row?.what.includes(`“${titleOf(rule)}” (`)),
        id,
      ).toBe(true);
    }
  });

  it("a condition is told with the hole's own number", () => {
    const { headline } = answer(job, "why", { hole: "RIB-3.top.8", head: "flush" });
    const headroom =
      job.facts[job.assembly.holes.find(({ id }) => id === "RIB-3.top.8")?.index ?? -1]?.worstHeadroomMm;
    expect(headroom).toBe(0.3);
    expect(headline).toContain("worst-case headroom is 0.3 mm, less than the 1 mm wanted");
  });

  it("a number that is a sum is told with its terms, and where the travel comes nearest", () => {
    expect(answer(job, "why", { hole: "RIB-3.top.8", head: "flush" }).headline).toContain(
      "(gap 1.7 mm at elevator full up less tolerance 0.1 mm less head 1.3 mm)",
    );
    const row = answer(job, "why", { row: "RIB-3.top", attribute: "head" });
    expect(row.rows.find(({ value }) => value === "flush")?.what).toContain(
      "worst-case headroom is 0.3 to 0.7 mm, less than the 1 mm wanted (at the least: gap 1.7 mm",
    );
  });

  it("a treatment that follows from the head is told with the reason for the head", () => {
    const told = answer(job, "why", { hole: "RIB-3.top.8", treatment: "dimple" });
    expect(told.rows.map(({ attribute }) => attribute)).toEqual(["head", "treatment"]);
    expect(told.headline).toMatch(
      /dimple, because the head is flush; .*Head: flush head, because .*worst-case headroom is 0\.3 mm/,
    );
  });

  it("what it beat is told, and by which principle", () => {
    const { what } = rowOf(answer(job, "why", { hole: "RIB-4.top.8", attribute: "head" }), "RIB-4.top.8");
    expect(what).toContain("It beats “Heads are flush where less than 1.0 mm would stay free above them”");
    expect(what).toContain("the narrower rule goes first (The seal is notched over rib 4");
    const noticed = rowOf(
      answer(job, "why", { hole: "RIB-1.bottom.1", attribute: "hold" }),
      "RIB-1.bottom.1",
    );
    expect(noticed.what).toContain("a notice goes before the manual");
  });

  it("a beaten rule that hangs on an unknown fact may only have said otherwise", () => {
    const { what } = rowOf(
      answer(job, "why", { hole: "RIB-7.bottom.8", attribute: "head" }),
      "RIB-7.bottom.8",
    );
    expect(
      job.rulings
        .trace("RIB-7.bottom.8", "head")
        .claims.find(({ rule }) => rule === "sedge-two-flush-under-seal")?.verdict,
    ).toBe("unknown");
    expect(what).toContain("which may say flush head");
  });

  it("holes with the same reason are explained once, with the span of their values", () => {
    const told = answer(job, "why", { row: "REAR-SPAR.top", attribute: "head" });
    const flush = told.rows.find(({ value }) => value === "flush");
    const values = (flush?.holes ?? []).map(
      (id) => job.facts[job.assembly.holes.findIndex((hole) => hole.id === id)]?.worstHeadroomMm as number,
    );
    expect(values.length).toBeGreaterThan(10);
    const [least, most] = [Math.min(...values), Math.max(...values)];
    expect(flush?.what).toContain(`headroom is ${Number(least.toFixed(2))} to ${Number(most.toFixed(2))} mm`);
    const rulings = told.trace.filter(({ kind }) => kind === "ruling");
    expect(rulings.length).toBe(told.rows.length);
  });

  it("a question that takes for granted what is not so is put right first", () => {
    const told = answer(job, "why", { hole: "RIB-4.top.8", treatment: "dimple" });
    expect(told.headline).toMatch(/^Rib 4, top flange row, hole 8 from the front is not dimpled\./);
    const row = answer(job, "why", { row: "RIB-3.top", treatment: "dimple" });
    expect(row.headline).toMatch(/^2 of the 8 holes are dimpled\./);
  });

  it("of holes that are not alike only those are explained that are as the question says", () => {
    const so = (id: string): boolean => job.rulings.of(id).attributes.treatment?.value === "dimple";
    for (const slots of [{ row: "RIB-3.top" }, { part: "TOP-SKIN" }, { family: "RIBS" }]) {
      const told = answer(job, "why", { ...slots, treatment: "dimple" });
      expect(told.holes?.length).toBeGreaterThan(0);
      expect(told.holes?.every(so)).toBe(true);
      for (const { holes } of told.rows) expect(holes.every(so)).toBe(true);
    }
  });

  it("a part with an undecided hole is not said to have none so", () => {
    const told = answer(job, "why", { row: "RIB-7.top", treatment: "dimple" });
    expect(told.headline).toMatch(/^None of the 8 holes is dimpled \(2 undecided\)\./);
    expect(answer(job, "why", { hole: "RIB-7.top.8", treatment: "dimple" }).headline).not.toContain(
      "is not dimpled",
    );
  });

  it("why enlarged: those whose finished hole is larger than punched; of a row punched to size none is", () => {
    const larger = (id: string): boolean => {
      const hole = job.assembly.holes.find((one) => one.id === id);
      return Number(job.rulings.of(id).attributes.finalDiameterMm?.value) > (hole?.punchedMm ?? 0);
    };
    const told = answer(job, "why", { part: "RIB-3", treatment: "enlarge" });
    expect(told.holes?.length).toBeGreaterThan(0);
    expect(told.holes?.every(larger)).toBe(true);
    const none = answer(job, "why", { row: "RIB-4.top", treatment: "enlarge" });
    expect(none.headline).toMatch(/^None of the 8 holes is enlarged\./);
  });

  it("why undecided: the fact that is not known, and the rule that hangs on it", () => {
    const told = answer(job, "why", { hole: "RIB-7.top.8", attribute: "head" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("the gap to the elevator's gap seal is not known");
    expect(told.rows[0]?.what).toContain("would say flush head: worst-case headroom is not known");
  });

  it("no hold is told as no hold", () => {
    expect(answer(job, "why", { hole: "RIB-3.top.1", attribute: "hold" }).headline).toContain(
      "no rule holds it open",
    );
  });

  it("a settled question at a hole with something else open is no doubt about the answer", () => {
    expect(answer(job, "why", { hole: "RIB-3.top.8", attribute: "head" }).verdict).toBeUndefined();
  });

  it("sources are the rules' own, highest basis first", () => {
    const { sources } = answer(job, "why", { row: "RIB-7.bottom", attribute: "head" });
    expect(sources[0]).toMatchObject({ rank: "notice", document: "Sedge Two notice SN-2" });
    const ranks = sources.map(({ rank }) => ["notice", "manual", "shop", "handbook"].indexOf(rank ?? ""));
    expect(ranks).toEqual([...ranks].sort());
  });

  it("which hole is asked for when none is named", () => {
    expect(problemOf(job, "why", {}).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "why", { hole: "RIB-3.top.8", attribute: "colour" }).code).toBe("SLOT_INVALID");
  });
});

describe("why not", () => {
  it("at every hole one ground is named, and it is the true one", () => {
    for (const { id } of job.assembly.holes.filter(({ index }) => index % 5 === 0)) {
      const { status, value, claims } = job.rulings.trace(id, "head");
      const row = answer(job, "why-not", { hole: id, head: "flush" }).rows[0];
      const flush = claims.filter((claim) => claim.value === "flush");
      const won = (claim: (typeof flush)[number]) => claim.verdict === "true" && claim.lostTo.length === 0;
      if (status === "settled" && value === "flush") expect(row?.ground, id).toBe("it is so");
      else if (status === "conflict") expect(row?.ground, id).toBe("opposed, nothing decides");
      else if (status === "undecided") expect(row?.ground, id).toBe("a fact is not known");
      else if (flush.every(({ verdict }) => verdict === "false"))
        expect(row?.ground, id).toBe("a condition fails");
      else expect(row?.ground, id).toBe("beaten");
      if (row?.ground !== "it is so") expect(flush.some(won), id).toBe(status === "conflict");
    }
  });

  it("a condition that fails is told with what was needed and what is there", () => {
    expect(answer(job, "why-not", { hole: "RIB-3.top.6", head: "flush" }).headline).toContain(
      "worst-case headroom is 1.1 mm, not less than 1 mm (gap 2.5 mm at elevator full up less tolerance 0.1 mm less head 1.3 mm)",
    );
  });

  it("in brief, of a rule's limits by rivet size, the limit of this rivet's size is what fails", async () => {
    // US Army TM 9-2320-363-34-2, table 4: least sheet for a machine countersink 0.050 in for a 1/8 in rivet.
    const told = answer(await jobFromDisk({ kit: "vetch-six" }), "why-not", {
      part: "STIFFENER-1",
      treatment: "countersink",
    });
    expect(told.brief).toBe(
      "Stiffener 1: not countersunk, because the thickness on the head side is 0.032 in, not at least 0.050 in.",
    );
    expect(told.headline).toContain("the rivet diameter on the drawing is 1/8 in, not at most 0.094 in");
  });

  it("beaten is told with the winner and the principle", () => {
    const { headline, rows } = answer(job, "why-not", { hole: "RIB-4.top.8", head: "flush" });
    expect(rows[0]?.ground).toBe("beaten");
    expect(headline).toContain(
      "but “Rib 4's heads stay protruding” says protruding head: the narrower rule goes first",
    );
  });

  it("a treatment that fails on the head is asked on: why not that head", () => {
    const told = answer(job, "why-not", { hole: "RIB-4.top.8", treatment: "dimple" });
    expect(told.rows.map(({ attribute, ground }) => [attribute, ground])).toEqual([
      ["treatment", "a condition fails"],
      ["head", "beaten"],
    ]);
  });

  it("an unknown fact is no 'not': the answer stays undecided", () => {
    const told = answer(job, "why-not", { hole: "RIB-7.top.8", head: "flush" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("not flush for certain");
    expect(told.headline).toContain("headroom is not known");
  });

  it("an unknown fact does not matter where something stronger settles it", () => {
    const told = answer(job, "why-not", { hole: "RIB-7.bottom.8", head: "flush" });
    expect(told.verdict).toBeUndefined();
    expect(told.rows[0]).toMatchObject({ ground: "beaten", value: "protruding" });
    expect(told.headline).toContain(
      "may say so, but “Heads on the bottom stay protruding outboard of rib 6”",
    );
  });

  it("what is so is not explained away", () => {
    const told = answer(job, "why-not", { hole: "RIB-3.top.8", treatment: "dimple" });
    expect(told.rows[0]?.ground).toBe("it is so");
    expect(told.headline).toContain("it is dimpled");
  });

  it("two sides that oppose each other are both named", async () => {
    const where = { all: [{ fact: "rowId", operator: "equal", value: "RIB-5.top" }] };
    const trial = (id: string, head: string) => ({
      id,
      family: "treatment" as const,
      params: { head },
      conditions: where,
      rank: "notice" as const,
      fires: "RIB-5.top.1",
      spares: "RIB-6.top.1",
    });
    const sides = await jobFromDisk({
      moreRules: [trialRules(trial("trial-flush", "flush"), trial("trial-domed", "protruding"))],
    });
    const told = answer(sides, "why-not", { hole: "RIB-5.top.1", head: "flush" });
    expect(told.verdict).toBe("conflict");
    expect(told.headline).toContain(
      "“trial-flush” says so, “trial-domed” says otherwise, and nothing decides",
    );
  });

  it("why no hold: no rule holds it open, or the hold is for other holes", () => {
    const told = answer(job, "why-not", { row: "RIB-3.top", attribute: "hold" });
    expect(told.headline).toMatch(/^The top flange row of rib 3: not held open, because/);
    expect(told.verdict).toBeUndefined();
  });

  it("why an act may not be done is the same as whether it may, without a no that would say that nothing speaks against it", () => {
    const slots = { row: "RIB-1.bottom", act: "set" };
    expect(answer(job, "why-not", slots)).toEqual(answer(job, "may-i", { ...slots, sense: "open" }));
    const { verdict, headline, brief, ...why } = answer(job, "why-not", slots);
    expect(answer(job, "may-i", slots)).toMatchObject(why);
    expect(verdict).toBeUndefined();
    expect([headline, brief]).toEqual([
      expect.stringMatching(/^Not now: it stays open/),
      expect.stringMatching(/^Not now: it stays open/),
    ]);
  });

  it("what was expected is asked for when it is not named", () => {
    expect(problemOf(job, "why-not", { row: "RIB-3.top" }).code).toBe("SLOT_MISSING");
  });
});

describe("why not, over many holes", () => {
  it("the exception is told before the everyday reason, with its holes", () => {
    const { headline } = answer(job, "why-not", { part: "RIB-4", treatment: "dimple" });
    expect(headline).toContain("“Rib 4's heads stay protruding”");
    expect(headline).toContain("Rib 4, top flange row, holes 7 and 8 from the front");
  });

  it("holes where it is so come last", () => {
    const { rows } = answer(job, "why-not", { row: "REAR-SPAR.top", treatment: "dimple" });
    const grounds = rows.filter(({ asked }) => asked).map(({ ground }) => ground);
    expect(grounds.length).toBeGreaterThan(1);
    expect(grounds.indexOf("it is so")).toBe(grounds.length - 1);
  });
});

describe("why it is not so", () => {
  it("holes that are so after all are told as that, and not as another reason", () => {
    const told = answer(job, "why-not", { row: "RIB-3.top", treatment: "dimple" });
    expect(told.headline).toContain("2 holes are dimpled.");
    expect(told.headline).not.toContain("other reasons");
    const part = answer(job, "why-not", { part: "RIB-3", treatment: "dimple" });
    expect(part.headline).toContain("3 holes are dimpled. 2 more holes for other reasons.");
  });
});
