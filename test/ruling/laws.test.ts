import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { loadDictionary } from "../../server/facts/dictionary.js";
import type { FactRecord } from "../../server/facts/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook, type Rulebook } from "../../server/ruling/rulebook.js";
import type { HoleRuling, Rulings } from "../../server/ruling/types.js";
import { seeded } from "../support/random.js";
import {
  Draw,
  RANDOM_DICTIONARY,
  randomCase,
  randomFacts,
  type WrittenRule,
} from "../support/random-rules.js";

const dictionary = loadDictionary({ path: "facts.json", text: JSON.stringify(RANDOM_DICTIONARY) });

function bookOf(rules: readonly WrittenRule[]): Rulebook {
  const text = JSON.stringify({ format: "tailroom rules 1", rules });
  return loadRulebook([{ path: "random.json", text }], dictionary, null);
}

const seeds = fc.integer({ min: 0, max: 2 ** 31 - 1 });

/** The rules of a seed with many holes' facts. */
function bench(
  seed: number,
  holes: number,
): { rules: readonly WrittenRule[]; records: FactRecord[]; ids: string[] } {
  const { rules } = randomCase(seed);
  const draw = new Draw(seeded(seed + 1));
  const records = Array.from({ length: holes }, () => randomFacts(draw));
  return { rules, records, ids: records.map((_, i) => `hole-${i}`) };
}

function everything(rulings: Rulings): Record<string, unknown> {
  return Object.fromEntries(
    rulings.ids.map((id) => [
      id,
      [rulings.of(id), ...["low", "mid", "high"].map((attribute) => rulings.trace(id, attribute))],
    ]),
  );
}

function shuffled<T>(list: readonly T[], random: () => number): T[] {
  return list
    .map((item) => ({ item, key: random() }))
    .sort((a, b) => a.key - b.key)
    .map(({ item }) => item);
}

describe("for any rules and holes", () => {
  it("the order in which rules are written and holes are listed changes nothing", async () => {
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const { rules, records, ids } = bench(seed, 12);
        const random = seeded(seed + 2);
        const straight = await ruleOn(bookOf(rules), ids, records);
        const order = shuffled([...ids.keys()], random);
        const mixed = await ruleOn(
          bookOf(shuffled(rules, random)),
          order.map((i) => ids[i] ?? ""),
          order.map((i) => records[i] ?? {}),
        );
        expect(everything(mixed)).toEqual(everything(straight));
      }),
      { numRuns: 60 },
    );
  });

  it("ruling on all holes together says what ruling on each alone says", async () => {
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const { rules, records, ids } = bench(seed, 12);
        const load = bookOf(rules);
        const together = everything(await ruleOn(load, ids, records));
        for (const [i, id] of ids.entries()) {
          const alone = await ruleOn(load, [id], [records[i] ?? {}]);
          expect(everything(alone)[id]).toEqual(together[id]);
        }
      }),
      { numRuns: 40 },
    );
  });

  it("what is settled stays so whatever the missing facts turn out to be; so does a conflict", async () => {
    let [open, kept] = [0, 0];
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const { rules, facts } = randomCase(seed);
        const load = bookOf(rules);
        const before = (await ruleOn(load, ["hole"], [facts])).of("hole");
        const records = completions(facts, seed);
        const after = await ruleOn(
          load,
          records.map((_, i) => `${i}`),
          records,
        );
        for (const id of after.ids) kept += expectKept(before, after.of(id));
        if (records.length > 1) open++;
      }),
      { numRuns: 300 },
    );
    expect(open).toBeGreaterThan(100);
    expect(kept).toBeGreaterThan(1000);
  });

  it("an undecided ruling names missing facts, and knowing them all decides it", async () => {
    let named = 0;
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const { rules, facts } = randomCase(seed);
        const load = bookOf(rules);
        const ruling = (await ruleOn(load, ["hole"], [facts])).of("hole");
        const full = { ...completions({}, seed)[0], ...facts };
        for (const attribute of Object.values(ruling.attributes)) {
          if (attribute.status !== "undecided") {
            expect(attribute.missing).toEqual([]);
            continue;
          }
          named++;
          expect(attribute.missing).not.toEqual([]);
          for (const fact of attribute.missing) expect(Object.hasOwn(facts, fact)).toBe(false);
        }
        const known = (await ruleOn(load, ["hole"], [full])).of("hole");
        for (const attribute of Object.values(known.attributes))
          expect(attribute.status).not.toBe("undecided");
      }),
      { numRuns: 200 },
    );
    expect(named).toBeGreaterThan(50);
  });

  it("the hole as a whole is settled only if every attribute that it must have or that is claimed is", async () => {
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const { rules, facts } = randomCase(seed);
        const { attributes, verdict } = (await ruleOn(bookOf(rules), ["hole"], [facts])).of("hole");
        const statuses = Object.values(attributes).map(({ attribute, status }) =>
          status === "unclaimed" ? (attribute === "high" ? "settled" : "undecided") : status,
        );
        const expected = ["conflict", "undecided"].find((status) => statuses.includes(status as never));
        expect(verdict).toBe(expected ?? "settled");
      }),
      { numRuns: 200 },
    );
  });

  it("taking earlier rulings over gives the same as starting anew, with fewer runs", async () => {
    let saved = 0;
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const { rules, records, ids } = bench(seed, 12);
        const earlier = await ruleOn(bookOf(rules.slice(0, -1)), ids, records);
        const load = bookOf(rules);
        const anew = await ruleOn(load, ids, records);
        const over = await ruleOn(load, ids, records, earlier);
        expect(everything(over)).toEqual(everything(anew));
        saved += anew.runs - over.runs;
        const changed = records.map((record, i) => (i === 0 ? { ...record, a: 1.5 } : { ...record }));
        expect(everything(await ruleOn(load, ids, changed, over))).toEqual(
          everything(await ruleOn(load, ids, changed)),
        );
      }),
      { numRuns: 40 },
    );
    expect(saved).toBeGreaterThan(0);
  });
});

/** Ways in which the missing facts may turn out: every one of them when they are few, else some drawn. */
function completions(facts: FactRecord, seed: number): FactRecord[] {
  const draw = new Draw(seeded(seed + 3));
  const grid = [0.5, 1, 1.5, 2, 2.5, 3, 3.5];
  const choices: Record<string, readonly FactRecord[string][]> = {
    a: grid,
    b: grid,
    n: [0, 1, 2, 3, 4],
    k: ["x", "y", "z"],
    m: ["x", "y", "z"],
    free: ["u", "v", "other"],
    f: [true, false],
    parts: [[], ["p"], ["q"], ["p", "q"]],
  };
  return Array.from({ length: 25 }, () => {
    const record: Record<string, FactRecord[string]> = { ...facts };
    for (const [name, values] of Object.entries(choices)) {
      if (!Object.hasOwn(record, name)) record[name] = draw.of(values);
    }
    return record;
  });
}

/** Checks what must be kept; returns how many attributes there were to keep. */
function expectKept(before: HoleRuling, after: HoleRuling): number {
  let kept = 0;
  for (const [name, ruling] of Object.entries(before.attributes)) {
    if (ruling.status === "undecided") continue;
    kept++;
    expect(after.attributes[name]).toMatchObject({ status: ruling.status, value: ruling.value });
  }
  return kept;
}
