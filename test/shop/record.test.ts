import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Mark, NO_WORK, stateOf, withMarks } from "../../server/kit/work.js";
import { record } from "../../server/recording.js";
import type { RuleInFile } from "../../server/ruling/schema.js";
import { shopRules } from "../../server/shop/life.js";
import { type BuildRecord, buildRecord, type RecordLine } from "../../server/shop/record.js";
import type { ShopBook } from "../../server/store/contract.js";
import { memoryBook } from "../../server/store/memory.js";
import { openWorkshop } from "../../server/workshop.js";
import { assembly, kit, library, place } from "../support/library.js";
import { revision, shopRule, step } from "./rules.js";

const [first, second, third] = assembly.holes.map(({ id }) => id) as [string, string, string];
const set = (...holes: readonly string[]): Mark[] =>
  holes.map((hole) => ({ kind: "hole", hole, state: "set" }));

interface Bench {
  readonly book: ShopBook;
  tell(by: string, marks: readonly Mark[]): Promise<void>;
  put(rule: RuleInFile, number?: number): void;
  record(): Promise<BuildRecord>;
}

function bench(): Bench {
  let acts = 0;
  let minutes = 0;
  const book = memoryBook({ now: () => new Date(Date.UTC(2031, 4, 4, 10, minutes++)) });
  const workshop = openWorkshop(library, book);
  const key = (): { key: string; expected: "any" } => ({ key: `act-${acts++}`, expected: "any" });
  return {
    book,
    async tell(by, marks) {
      await record(workshop, { ...place, marks, by }, key());
    },
    put(rule, number = 1) {
      for (const one of [
        revision(rule, number, "builder", kit.id),
        step(rule, number, "propose", { kit: kit.id }),
        step(rule, number, "accept", { kit: kit.id, by: "Mentor" }),
      ]) {
        book.append([one], key());
      }
    },
    async record() {
      const { rulings } = await workshop.job(kit.id, assembly.id);
      const entries = book.since(0);
      return buildRecord(kit.id, assembly, entries, shopRules(entries, kit.id), rulings);
    },
  };
}

/** A rule that claims a head at every hole of a row. */
const head = (id: string, value: string, changes: Partial<RuleInFile> = {}): RuleInFile =>
  shopRule(id, {
    conditions: { all: [{ fact: "rivetMm", operator: "greaterThan", value: 0 } as never] },
    event: { type: "treatment", params: { head: value } },
    examples: [
      { facts: { rivetMm: 3.2 }, fires: true },
      { facts: { rivetMm: 0 }, fires: false },
    ],
    ...changes,
  });

describe("the build record", () => {
  it("tells what was done when and by whom, with what was ruled at the time", async () => {
    const shop = bench();
    const gate = kit.prepGates[0]?.id ?? "";
    const part = assembly.parts[0]?.id ?? "";
    await shop.tell("Ada", [{ kind: "prep", part, gate, done: true }, ...set(first)]);
    await shop.tell("Ben", [{ kind: "hole", hole: second, state: "pinned" }]);
    await shop.tell("Ben", [{ kind: "hole", hole: first, state: "unset" }]);
    const { lines, counts } = await shop.record();
    expect(lines).toMatchObject([
      {
        kind: "prep",
        version: 1,
        at: "2031-05-04T10:00:00.000Z",
        by: "Ada",
        gate,
        parts: [part],
        done: true,
      },
      { kind: "set", version: 1, by: "Ada", holes: [first] },
      { kind: "pinned", version: 2, at: "2031-05-04T10:01:00.000Z", by: "Ben", holes: [second] },
      { kind: "unset", version: 3, holes: [first], was: "set" },
    ]);
    const line = lines[1] as Extract<RecordLine, { kind: "set" }>;
    const now = await openWorkshop(library, memoryBook()).job(kit.id, assembly.id);
    const { attributes, verdict } = now.rulings.of(first);
    expect(line.ruled?.verdict).toBe(verdict);
    for (const [attribute, value] of Object.entries(line.ruled?.settled ?? {})) {
      expect(attributes[attribute]).toMatchObject({ status: "settled", value });
    }
    expect(line.ruled?.settled).toHaveProperty("treatment");
    const all = assembly.holes.length;
    expect(counts).toEqual({ holes: all, set: 0, pinned: 1, open: all - 1 });
  });

  it("keeps what was ruled at the time when rules change afterwards", async () => {
    const shop = bench();
    await shop.tell("Ada", set(first));
    const before = (await shop.record()).lines[0];
    const stronger = [...library.rulebookOf(kit.id).rules].filter(({ basis }) => basis.rank !== "handbook");
    const departure = { from: stronger.map(({ id }) => id), reference: "letter 7" };
    shop.put(head("mine", "flush", { departure }));
    await shop.tell("Ben", set(second));
    const { lines, rules } = await shop.record();
    expect(lines[0]).toEqual(before);
    expect(lines.map(({ kind }) => kind)).toEqual(["set", "rule", "set"]);
    expect(lines[2]).toMatchObject({ ruled: { settled: { head: "flush" } } });
    expect((lines[2] as { ruled: { rules: unknown } }).ruled.rules).toContainEqual({
      rule: "mine",
      revision: "1",
    });
    expect(rules).toMatchObject([
      {
        revision: 1,
        author: "builder",
        from: { by: "Mentor" },
        until: null,
        reference: "letter 7",
        holes: [second],
      },
    ]);
  });

  it("says of every shop rule from when until when which revision was in force", async () => {
    const shop = bench();
    shop.put(shopRule("a"));
    shop.put(shopRule("a", { why: "Newer." }), 2);
    const newer = shopRule("a", { why: "Newer." });
    shop.book.append([step(newer, 2, "retire", { kit: kit.id, by: "Ada" })], {
      key: "retire",
      expected: "any",
    });
    const { rules, lines } = await shop.record();
    expect(rules).toMatchObject([
      { revision: 1, from: { version: 3 }, until: { version: 6, by: "Mentor" } },
      { revision: 2, from: { version: 6 }, until: { version: 7, by: "Ada" } },
    ]);
    expect(lines.map((line) => line.kind === "rule" && [line.revision, line.inForce])).toEqual([
      [1, true],
      [2, true],
      [2, false],
    ]);
  });

  it("names the open holes with their ends, and those set before their time", async () => {
    const shop = bench();
    const holds = (await shop.record()).holds.filter(({ status }) => status === "settled");
    const [hold] = holds;
    if (!hold?.until) throw new Error("the demo kit keeps no hole open");
    expect(hold).toMatchObject({ ended: null, setAfter: [], setMeanwhile: [] });
    const [early, late] = hold.open as [string, string];
    await shop.tell("Ada", set(early));
    await shop.tell("Ben", [{ kind: "milestone", milestone: hold.until, reached: true }]);
    await shop.tell("Ada", set(late));
    const after = (await shop.record()).holds.find(
      ({ until, ruleIds }) => until === hold.until && ruleIds.join() === hold.ruleIds.join(),
    );
    expect(after).toMatchObject({
      ended: { version: 2, by: "Ben" },
      setMeanwhile: [early],
      setAfter: [late],
      open: hold.open.filter((hole) => hole !== early && hole !== late),
    });
  });

  it("leaves out other assemblies and kits, and keeps notes", async () => {
    const shop = bench();
    const note = { kind: "note", by: "Ada", ...place, body: { hole: third, text: "sharp edge" } } as const;
    shop.book.append([note, { ...note, assembly: "other" }, { ...note, kit: "other" }], {
      key: "n",
      expected: 0,
    });
    const marks = {
      kind: "marks",
      by: "x",
      kit: kit.id,
      assembly: "other",
      body: { marks: set(first) },
    } as const;
    shop.book.append([marks], { key: "m", expected: "any" });
    expect((await shop.record()).lines).toMatchObject([
      { kind: "note", hole: third, text: "sharp edge", by: "Ada" },
    ]);
  });

  it("says that nothing was written down for marks that came without", async () => {
    const shop = bench();
    const marks = { kind: "marks", by: "x", ...place, body: { marks: set(first) } } as const;
    shop.book.append([marks], { key: "m", expected: "any" });
    expect((await shop.record()).lines).toMatchObject([{ kind: "set", holes: [first], ruled: null }]);
  });

  it("for any marks: its lines, done again in their order, come to the work as it stands", async () => {
    const { rulings } = await openWorkshop(library, memoryBook()).job(kit.id, assembly.id);
    const holes = assembly.holes.slice(0, 6).map(({ id }) => id);
    const mark: fc.Arbitrary<Mark> = fc.oneof(
      fc.record({
        kind: fc.constant("hole" as const),
        hole: fc.constantFrom(...holes),
        state: fc.constantFrom("set" as const, "pinned" as const, "unset" as const),
      }),
      fc.record({
        kind: fc.constant("prep" as const),
        part: fc.constantFrom(...assembly.parts.slice(0, 2).map(({ id }) => id)),
        gate: fc.constantFrom(...kit.prepGates.map(({ id }) => id)),
        done: fc.boolean(),
      }),
      fc.record({
        kind: fc.constant("milestone" as const),
        milestone: fc.constantFrom(...assembly.milestones.map(({ id }) => id)),
        reached: fc.boolean(),
      }),
    );
    // One act says one thing of each hole: what it says last is what counts, and the lines are by what is said.
    const act = fc.uniqueArray(mark, { minLength: 1, maxLength: 6, selector: subject });
    fc.assert(
      fc.property(fc.array(act, { maxLength: 12 }), (acts) => {
        const book = memoryBook();
        let work = NO_WORK;
        for (const [i, marks] of acts.entries()) {
          book.append([{ kind: "marks", by: "x", ...place, body: { marks } }], { key: `${i}`, expected: i });
          work = withMarks(work, marks);
        }
        const { lines, counts } = buildRecord(kit.id, assembly, book.since(0), [], rulings);
        const again = withMarks(NO_WORK, lines.flatMap(marksOfLine));
        for (const hole of holes) expect(stateOf(again, hole)).toBe(stateOf(work, hole));
        expect(again.milestones).toEqual(work.milestones);
        for (const { id } of assembly.parts) expect(again.prep.get(id)).toEqual(work.prep.get(id));
        expect(counts.set).toBe([...work.holes.values()].filter((state) => state === "set").length);
      }),
    );
  });
});

function subject(mark: Mark): string {
  return mark.kind === "hole"
    ? mark.hole
    : mark.kind === "prep"
      ? `${mark.part} ${mark.gate}`
      : mark.milestone;
}

function marksOfLine(line: RecordLine): Mark[] {
  switch (line.kind) {
    case "set":
    case "pinned":
    case "unset":
      return line.holes.map((hole) => ({ kind: "hole", hole, state: line.kind as "set" }));
    case "prep":
      return line.parts.map((part) => ({ kind: "prep", part, gate: line.gate, done: line.done }));
    case "milestone":
      return [{ kind: "milestone", milestone: line.milestone, reached: line.reached }];
    default:
      return [];
  }
}
