import { describe, expect, it } from "vitest";
import { ask } from "../server/ask/ask.js";
import type { Job } from "../server/ask/types.js";
import { Problem } from "../server/problem.js";
import type { RuleInFile } from "../server/ruling/schema.js";
import type { ShopBook } from "../server/store/contract.js";
import { memoryBook } from "../server/store/memory.js";
import { openWorkshop } from "../server/workshop.js";
import { revision, step } from "./shop/rules.js";
import { assembly, kit, library, place } from "./support/library.js";

const [first, second] = assembly.holes.map(({ id }) => id) as [string, string];

function tell(hole: string, where: { kit: string; assembly: string } = place) {
  const marks = [{ kind: "hole", hole, state: "set" } as const];
  return { kind: "marks", by: "builder", ...where, body: { marks } } as const;
}

describe("the workshop", () => {
  it("makes one job for one state of the work, however many ask at once", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const [one, two] = await Promise.all([
      workshop.job(kit.id, assembly.id),
      workshop.job(kit.id, assembly.id),
    ]);
    expect(one.rulings).toBe(two.rulings);
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(one.rulings);
  });

  it("follows the marks, and works the reach out once", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const before = await workshop.job(kit.id, assembly.id);
    workshop.book.append([tell(first)], { key: "k", expected: 0 });
    const after = await workshop.job(kit.id, assembly.id);
    expect(before.work.holes.size).toBe(0);
    expect(after.work.holes).toEqual(new Map([[first, "set"]]));
    expect(after.version).toBe(1);
    expect(after.reach).toBe(before.reach);
  });

  it("keeps the job when something else was recorded, but says the book's new version", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const before = await workshop.job(kit.id, assembly.id);
    workshop.book.append([tell(first, { kit: kit.id, assembly: "another" })], { key: "k", expected: 0 });
    const after = await workshop.job(kit.id, assembly.id);
    expect(after.rulings).toBe(before.rulings);
    expect(after.version).toBe(1);
  });

  it("gives the job as it was at an earlier version", async () => {
    const workshop = openWorkshop(library, memoryBook());
    workshop.book.append([tell(first)], { key: "k1", expected: 0 });
    workshop.book.append([tell(second)], { key: "k2", expected: 1 });
    const now = await workshop.job(kit.id, assembly.id);
    const then = await workshop.jobAt(kit.id, assembly.id, 1);
    expect([...now.work.holes.keys()]).toEqual([first, second]);
    expect([...then.work.holes.keys()]).toEqual([first]);
    expect(then.version).toBe(1);
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(now.rulings);
  });

  it("remembers marks on a hole that a revised kit no longer has, and goes on", async () => {
    const workshop = openWorkshop(library, memoryBook());
    workshop.book.append([tell("OLD.row.1")], { key: "k", expected: 0 });
    const job = await workshop.job(kit.id, assembly.id);
    expect(job.work.holes.get("OLD.row.1")).toBe("set");
    expect(job.facts).toHaveLength(assembly.holes.length);
  });
});

/** A caution of the shop, at every hole whose drawn head is known. */
const DOCUMENT = { rank: "shop", document: "Shop book", place: "bench" } as const;
const caution = (id: string, changes: Partial<RuleInFile> = {}): RuleInFile => ({
  id,
  title: `Caution ${id}`,
  family: "caution",
  basis: DOCUMENT,
  why: "The edge is sharp here.",
  conditions: { all: [{ fact: "drawnHead", operator: "in", value: ["flush", "protruding"] } as never] },
  event: { type: "caution", params: { text: `Mind ${id}.`, acts: ["rivet"] } },
  examples: [
    { facts: { drawnHead: "flush" }, fires: true },
    { facts: { rivetMm: 3.2 }, fires: false },
  ],
  ...changes,
});

function bookWith(...rules: readonly RuleInFile[]): ShopBook {
  const book = memoryBook();
  for (const rule of rules) accept(book, rule, 1);
  return book;
}

function accept(book: ShopBook, rule: RuleInFile, number: number): void {
  const statements = [
    revision(rule, number, "builder", kit.id),
    step(rule, number, "propose", { kit: kit.id }),
    step(rule, number, "accept", { kit: kit.id }),
  ];
  book.append(statements, { key: `${rule.id}-${number}`, expected: "any" });
}

const cautionsAt = (job: Job, hole = first) => job.rulings.of(hole).cautions.map(({ rule }) => rule);

describe("shop rules in the workshop", () => {
  it("count from the moment a mentor accepts them until they are retired", async () => {
    const book = memoryBook();
    const workshop = openWorkshop(library, book);
    const rule = caution("mind");
    const bare = await workshop.job(kit.id, assembly.id);
    book.append([revision(rule, 1, "builder", kit.id)], { key: "k1", expected: "any" });
    book.append([step(rule, 1, "propose", { kit: kit.id })], { key: "k2", expected: "any" });
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(bare.rulings);

    book.append([step(rule, 1, "accept", { kit: kit.id })], { key: "k3", expected: "any" });
    const inUse = await workshop.job(kit.id, assembly.id);
    expect(cautionsAt(inUse)).toContain("mind");
    expect(inUse.rulebook.byId.get("mind")).toMatchObject({
      file: "shop book",
      kit: kit.id,
      basis: { rank: "shop", revision: "1" },
    });
    expect(workshop.rulebook(kit.id)).toBe(inUse.rulebook);

    book.append([revision(caution("mind", { why: "Newer." }), 2, "builder", kit.id)], {
      key: "k4",
      expected: "any",
    });
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(inUse.rulings);

    book.append([step(rule, 1, "retire", { kit: kit.id })], { key: "k5", expected: "any" });
    expect(cautionsAt(await workshop.job(kit.id, assembly.id))).not.toContain("mind");
    expect(cautionsAt(await workshop.jobAt(kit.id, assembly.id, 3))).toContain("mind");
    expect(cautionsAt(await workshop.jobAt(kit.id, assembly.id, 2))).not.toContain("mind");
  });

  it("do not touch another kit", () => {
    const other = [...library.kits.keys()].find((id) => id !== kit.id) ?? "";
    const workshop = openWorkshop(library, bookWith(caution("mind")));
    expect(workshop.rulebook(kit.id).byId.has("mind")).toBe(true);
    expect(workshop.rulebook(other)).toBe(library.rulebookOf(other));
  });

  it.each([
    [
      "speaks of a fact that is gone",
      caution("bad", { conditions: { all: [{ fact: "gone", operator: "equal", value: 1 } as never] } }),
      "FACT_UNKNOWN",
    ],
    [
      "overrides a rule that is gone",
      caution("bad", { overrides: [{ rule: "gone", reason: "x" }] }),
      "OVERRIDE_UNKNOWN",
    ],
    ["claims to be the manual", caution("bad", { basis: { ...DOCUMENT, rank: "manual" } }), "RULE_NOT_SHOP"],
    [
      "has the id of one of the kit's rules",
      caution(library.rulebookOf(kit.id).rules[0]?.id ?? ""),
      "RULE_DUPLICATE",
    ],
  ])(
    "one that %s is left out and told, the others count, and every answer says so",
    async (_what, bad, code) => {
      const workshop = openWorkshop(library, bookWith(bad, caution("mind")));
      const job = await workshop.job(kit.id, assembly.id);
      expect(cautionsAt(job)).toContain("mind");
      expect(job.rulebook.rules).toHaveLength(library.rulebookOf(kit.id).rules.length + 1);
      expect(workshop.shopProblems(kit.id)).toMatchObject([
        { code: "SHOP_RULE_LEFT_OUT", others: [{ code }] },
      ]);
      const { cautions } = ask(job, { form: "progress", slots: {} }, library.forms);
      expect(cautions[0]).toMatch(/in force but cannot be used/);
    },
  );

  it("that refer to each other count whichever came first; two that override each other are both left out", () => {
    const overriding = (id: string, rule: string) => caution(id, { overrides: [{ rule, reason: "x" }] });
    const bad = caution("bad", { overrides: [{ rule: "gone", reason: "x" }] });
    const pair = openWorkshop(library, bookWith(overriding("b", "a"), bad, caution("a")));
    expect([...pair.rulebook(kit.id).byId.keys()]).toEqual(expect.arrayContaining(["a", "b"]));
    const loop = openWorkshop(library, bookWith(caution("a"), overriding("b", "a")));
    accept(loop.book, overriding("a", "b"), 2);
    expect(loop.shopProblems(kit.id).map(({ others }) => others[0]?.code)).toEqual([
      "OVERRIDE_UNKNOWN",
      "OVERRIDE_UNKNOWN",
    ]);
  });
});

describe("trying a rule", () => {
  it("answers as if it were in force, says so first, and leaves everything as it was", async () => {
    const workshop = openWorkshop(library, bookWith(caution("other")));
    const before = await workshop.job(kit.id, assembly.id);
    const tried = await workshop.trying(kit.id, assembly.id, caution("mind"));
    expect(cautionsAt(tried)).toEqual(expect.arrayContaining(["mind", "other"]));
    const { cautions } = ask(tried, { form: "progress", slots: {} }, library.forms);
    expect(cautions[0]).toMatch(/^Tried with .*Caution mind.*, which is not in force\.$/);
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(before.rulings);
    expect(workshop.rulebook(kit.id).byId.has("mind")).toBe(false);
  });

  it("comes to the same as putting it in force, also in place of the revision in force", async () => {
    const rule = caution("mind", {
      event: { type: "treatment", params: { head: "flush" } },
      family: "treatment",
    });
    const tried = await openWorkshop(library, bookWith(caution("mind"))).trying(kit.id, assembly.id, rule);
    const real = await openWorkshop(library, bookWith(rule)).job(kit.id, assembly.id);
    expect(tried.rulebook.rules).toHaveLength(real.rulebook.rules.length);
    for (const { id } of assembly.holes) expect(tried.rulings.of(id)).toEqual(real.rulings.of(id));
  });

  it("refuses a rule that does not fit, with the place in the rule", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const bad = caution("bad", {
      conditions: { all: [{ fact: "gone", operator: "equal", value: 1 } as never] },
    });
    await expect(workshop.trying(kit.id, assembly.id, bad)).rejects.toMatchObject({
      code: "FACT_UNKNOWN",
      where: { pointer: "/conditions/all/0/fact" },
    });
    await expect(workshop.trying(kit.id, assembly.id, { id: "x" } as RuleInFile)).rejects.toBeInstanceOf(
      Problem,
    );
  });
});

describe("a shop book that cannot be trusted", () => {
  it("is read on, and every answer says so first", async () => {
    const what = "The shop book cannot be trusted: entry 2 was changed after it was written.";
    const trouble = new Problem("SHOPBOOK_BROKEN", what, { fix: "Put a copy back." });
    const workshop = openWorkshop(library, { ...memoryBook(), writable: false, trouble });
    const job = await workshop.job(kit.id, assembly.id);
    const { cautions } = ask(job, { form: "progress", slots: {} }, library.forms);
    expect(cautions[0]).toContain(what);
  });
});
