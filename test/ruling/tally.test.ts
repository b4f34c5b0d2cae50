import { describe, expect, it } from "vitest";
import { ruleVocabulary } from "../../server/ask/rule-vocabulary.js";
import { namesOf } from "../../server/ask/wording/names.js";
import { tallyOn } from "../../server/ruling/tally.js";
import type { Truth } from "../../server/ruling/types.js";
import { memoryBook } from "../../server/store/memory.js";
import { openWorkshop } from "../../server/workshop.js";
import { library, place } from "../support/library.js";

const workshop = openWorkshop(library, memoryBook());
const job = await workshop.job(place.kit, place.assembly);
const { rulings } = job;

describe("holes counted where conditions hold", () => {
  it("are those at which the ruling lets every rule of the kit hold, settled facts included", async () => {
    for (const [kit, { assemblies }] of library.kits) {
      for (const { id } of assemblies) {
        const here = await workshop.job(kit, id);
        expect(here.rulebook.rules.length).toBeGreaterThan(0);
        for (const rule of here.rulebook.rules) {
          const truths = here.rulings.truths(rule.id);
          const where = (truth: Truth) => here.rulings.ids.filter((_, i) => truths[i] === truth);
          const tally = await tallyOn(here, rule.conditions);
          expect(tally.problems, rule.id).toEqual([]);
          expect(tally.holds, rule.id).toEqual(where("true"));
          expect(tally.open, rule.id).toEqual(where("unknown"));
          expect(tally.nodes[0]).toEqual({
            pointer: "",
            holds: tally.holds.length,
            open: tally.open.length,
          });
        }
      }
    }
  });

  it("of each part are those of that part alone", async () => {
    const [first] = job.rulebook.rules;
    const leaf = { fact: "drawnHead", operator: "equal", value: "protruding" };
    const tree = { any: [{ not: leaf }, { all: [leaf, first?.conditions] }] };
    const { nodes } = await tallyOn(job, tree);
    const alone = async (conditions: object) => (await tallyOn(job, conditions)).holds.length;
    const at = (pointer: string) => nodes.find((one) => one.pointer === pointer)?.holds;
    expect(at("/any/0")).toBe(await alone({ not: leaf }));
    expect(at("/any/0/not")).toBe(await alone({ all: [leaf] }));
    expect(at("/any/1/all/1")).toBe(await alone(first?.conditions ?? {}));
    expect(at("")).toBe(await alone(tree));
  });

  it("are counted as far as they are written: a part that is wrong is named and not counted, nor what rests on it", async () => {
    const good = { fact: "layers", operator: "greaterThan", value: 1 };
    const { nodes, problems, holds } = await tallyOn(job, {
      all: [good, { any: [{ fact: "layerz", operator: "equal", value: 2 }, good] }, { fact: "layers" }],
    });
    expect(nodes.map(({ pointer }) => pointer)).toEqual(["/all/0", "/all/1/any/1"]);
    expect(problems.map(({ code, where }) => [code, where.pointer])).toEqual([
      ["FACT_UNKNOWN", "/all/1/any/0/fact"],
      ["CONDITION_MALFORMED", "/all/2"],
      ["CONDITION_MALFORMED", "/all/2"],
    ]);
    expect(problems[0]?.fix).toContain('"layers"');
    expect(holds).toEqual([]);
  });

  it("of conditions nested beyond reason are none, and that is said", async () => {
    let deep: object = { fact: "layers", operator: "equal", value: 1 };
    for (let i = 0; i < 5000; i++) deep = { not: deep };
    const { nodes, problems } = await tallyOn(job, deep);
    expect(nodes).toEqual([]);
    expect(problems.map(({ code }) => code)).toContain("CONDITION_TOO_DEEP");
  });
});

describe("the words of a rule", () => {
  const vocabulary = ruleVocabulary(job);

  it("are all facts and attributes of the dictionary, each with what it means", () => {
    const { facts, attributes } = job.rulebook.dictionary;
    expect(vocabulary.facts.map(({ name }) => name)).toEqual([...facts.keys()]);
    expect(vocabulary.attributes.map(({ name }) => name)).toEqual([...attributes.keys()]);
    for (const { meaning, label, operators } of vocabulary.facts) {
      expect(meaning).not.toBe("");
      expect(label).not.toBe("");
      expect(operators.length).toBeGreaterThan(0);
    }
  });

  it("call no two facts the same", () => {
    const labels = vocabulary.facts.map(({ label }) => label);
    expect(new Set(labels).size).toBe(labels.length);
  });

  it("count the holes of every value as the conditions do", async () => {
    for (const { name, type, values } of vocabulary.facts) {
      for (const { value, holes } of (values ?? []).slice(0, 6)) {
        const operator = type === "list" ? "contains" : "equal";
        const { holds, problems } = await tallyOn(job, { all: [{ fact: name, operator, value }] });
        expect(problems).toEqual([]);
        expect(holds.length, `${name} ${value}`).toBe(holes);
      }
    }
  });

  it("call parts as the kit does and tell two of the same name apart", () => {
    const values = vocabulary.facts.find(({ name }) => name === "part")?.values ?? [];
    expect(values.map(({ value }) => value)).toEqual(
      [
        ...new Set(library.kits.get(place.kit)?.assemblies.flatMap(({ parts }) => parts.map(({ id }) => id))),
      ].sort(),
    );
    expect(new Set(values.map(({ said }) => said)).size).toBe(values.length);
    expect(values.find(({ value }) => value === job.assembly.parts[0]?.id)?.said).toContain(
      namesOf(job).part(job.assembly.parts[0]?.id ?? ""),
    );
    expect(rulings.ids.length).toBe(vocabulary.holes);
  });
});
