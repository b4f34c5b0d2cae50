import { readdirSync, readFileSync } from "node:fs";
import { run } from "clingo-wasm";
import { describe, expect, it } from "vitest";
import { factsOf } from "../../server/facts/derive.js";
import { kitLists, loadDictionary } from "../../server/facts/dictionary.js";
import type { FactRecord } from "../../server/facts/types.js";
import { loadKit } from "../../server/kit/load.js";
import { NO_WORK, withMarks } from "../../server/kit/work.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook } from "../../server/ruling/rulebook.js";
import type { HoleRuling } from "../../server/ruling/types.js";
import type { SourceFile } from "../../server/source.js";
import { RANDOM_DICTIONARY, randomCase } from "../support/random-rules.js";
import { encode, type Kinds, type Outcome, type Question, type Rule, superiorPairs } from "./rulings-asp.js";

const ROOT = new URL("../../", import.meta.url);
const read = (path: string): SourceFile => ({ path, text: readFileSync(new URL(path, ROOT), "utf8") });

/** What the answer-set solver says of each question's holes. */
async function solved(questions: readonly Question[]): Promise<Map<string, Outcome>[][]> {
  const { program, read: readModel } = encode(questions);
  const result = await run(program, 2);
  if (result.Result === "ERROR") throw new Error(result.Error);
  expect(result.Models).toMatchObject({ Number: 1, More: "no" });
  return readModel(result.Call[0]?.Witnesses[0]?.Value ?? []);
}

/** A program about more holes of a kit may find no room after many others in one process. */
const AT_ONCE = 60;

/** What ours says, in the same words. */
function outcomes(ruling: HoleRuling): Map<string, Outcome> {
  return new Map(
    Object.values(ruling.attributes).map(({ attribute, status, value }) => [
      attribute,
      status === "settled" ? `settled(${value})` : status,
    ]),
  );
}

describe("random rules and facts, ruled on by an answer-set solver too", () => {
  const CASES = 1000;
  const BATCH = 50;
  const dictionary = loadDictionary({ path: "facts.json", text: JSON.stringify(RANDOM_DICTIONARY) });
  const kinds: Kinds = new Map(
    [...dictionary.facts.values()].map(({ name, type, unit, values, from }) => [
      name,
      { type, unit, texts: values, ruled: from === "ruling" },
    ]),
  );

  it(`${CASES} sets with missing facts, overrides, departures, ties and opposing claims come out the same`, async () => {
    const seen = new Map<string, number>();
    let pairs = 0;
    for (let first = 0; first < CASES; first += BATCH) {
      const cases = Array.from({ length: BATCH }, (_, i) => randomCase(first + i));
      const expected = await solved(
        cases.map(({ rules, facts }) => ({ rules: rules as readonly Rule[], kinds, holes: [facts] })),
      );
      for (const [i, { rules, facts }] of cases.entries()) {
        const text = JSON.stringify({ format: "tailroom rules 1", rules });
        const book = loadRulebook([{ path: "random.json", text }], dictionary, null);
        const ours = outcomes((await ruleOn(book, ["hole"], [facts])).of("hole"));
        const theirs = expected[i]?.[0] ?? new Map<string, Outcome>();
        for (const [attribute, outcome] of ours) {
          // The solver hears only of attributes that some rule claims.
          expect(outcome, `seed ${first + i}, ${attribute}`).toBe(theirs.get(attribute) ?? "unclaimed");
          const status = outcome.replace(/\(.*/, "");
          seen.set(status, (seen.get(status) ?? 0) + 1);
        }
        pairs += comparePairs(rules as readonly Rule[], kinds, book, `seed ${first + i}`);
      }
    }
    // Every status must have been tried many times, or the test shows nothing.
    for (const status of ["settled", "undecided", "conflict", "unclaimed"]) {
      expect(seen.get(status), status).toBeGreaterThan(80);
    }
    expect(pairs).toBeGreaterThan(1000);
  }, 180_000);
});

/** Which rule beats which, pair by pair; returns how many pairs one of which beats the other. */
function comparePairs(
  rules: readonly Rule[],
  kinds: Kinds,
  book: ReturnType<typeof loadRulebook>,
  where: string,
): number {
  const expected = superiorPairs({ rules, kinds });
  for (const a of book.rules) {
    for (const b of book.rules) {
      const settles = (rule: typeof a) => rule.family === "treatment" || rule.family === "hold";
      if (!settles(a) || !settles(b)) continue;
      const opposed = Object.entries(a.event.params).some(
        ([name, value]) => Object.hasOwn(b.event.params, name) && b.event.params[name] !== value,
      );
      if (!opposed) continue;
      expect(book.superiority.over(a, b) !== null, `${where}: ${a.id} over ${b.id}`).toBe(
        expected.has(`${a.id} ${b.id}`),
      );
    }
  }
  return expected.size;
}

describe.each(readdirSync(new URL("kb/kits/", ROOT)))(
  "kit %s, ruled on by an answer-set solver too",
  (folder) => {
    const base = `kb/kits/${folder}`;
    const kit = loadKit([
      read(`${base}/kit.json`),
      ...readdirSync(new URL(`${base}/assemblies/`, ROOT)).map((name) => read(`${base}/assemblies/${name}`)),
    ]);
    const dictionary = loadDictionary(read("rules/facts.json"));
    const files = readdirSync(new URL("rules/", ROOT))
      .filter((name) => name.endsWith(".json") && name !== "facts.json")
      .map((name) => read(`rules/${name}`));
    const book = loadRulebook(files, dictionary, kit);
    const written = files
      .map(({ text }) => JSON.parse(text) as { kit?: string; rules: readonly (Rule & { family: string })[] })
      .filter((file) => file.kit === undefined || file.kit === kit.id)
      .flatMap(({ rules }) => rules)
      .filter(({ family }) => family === "treatment" || family === "hold");
    const lists = kitLists(kit);
    const kinds: Kinds = new Map(
      [...dictionary.facts.values()].map(({ name, type, unit, values, valuesFrom, from }) => {
        const stated = kit.assemblies.flatMap(({ holes }) => holes.flatMap((hole) => hole.given[name] ?? []));
        const texts =
          from === "kit"
            ? [...(values ?? []), ...(stated as string[])]
            : valuesFrom !== null
              ? [...(values ?? []), ...lists[valuesFrom]]
              : values;
        return [name, { type, unit, texts: texts && [...new Set(texts)], ruled: from === "ruling" }];
      }),
    );

    it.each(kit.assemblies.map((assembly) => [assembly.name, assembly] as const))(
      "%s: every hole, before and after work and with facts left out",
      async (_, assembly) => {
        const worked = withMarks(NO_WORK, [
          ...assembly.milestones
            .slice(0, 1)
            .map(({ id }) => ({ kind: "milestone" as const, milestone: id, reached: true })),
          ...assembly.holes
            .filter((_, i) => i % 3 === 0)
            .map(({ id }) => ({ kind: "hole" as const, hole: id, state: "set" as const })),
        ]);
        const fresh = factsOf(assembly, NO_WORK);
        const states: readonly (readonly FactRecord[])[] = [
          fresh,
          factsOf(assembly, worked),
          fresh.map(withoutSome),
        ];
        const ids = assembly.holes.map(({ id }) => id);
        const seen = new Set<string>();
        for (const records of states) {
          const ours = await ruleOn(book, ids, records);
          const theirs: Map<string, Outcome>[] = [];
          for (let at = 0; at < records.length; at += AT_ONCE) {
            const [some = []] = await solved([
              { rules: written, kinds, holes: records.slice(at, at + AT_ONCE) },
            ]);
            theirs.push(...some);
          }
          ids.forEach((id, i) => {
            for (const [attribute, outcome] of outcomes(ours.of(id))) {
              expect(outcome, `${id} ${attribute}`).toBe(theirs[i]?.get(attribute) ?? "unclaimed");
              seen.add(outcome.replace(/\(.*/, ""));
            }
          });
        }
        expect(seen).toContain("settled");
        expect(seen).toContain("undecided");
      },
      180_000,
    );

    it("finds the same rules stronger by trying values as by sets of values", () => {
      expect(comparePairs(written, kinds, book, folder)).toBeGreaterThan(0);
    });
  },
);

/** A record with every fourth fact left out, another one at each hole. */
function withoutSome(record: FactRecord, hole: number): FactRecord {
  return Object.fromEntries(Object.entries(record).filter((_, i) => (i + hole) % 4 !== 0));
}
