import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { firstBreak } from "../../server/store/chain.js";
import { assembly, assemblyPath, kit, library, openShop, place } from "./shop.js";

const RUNS = 150;
const forms = library.forms.map(({ id }) => id);
const some = (list: readonly { readonly id: string }[]) =>
  fc.constantFrom(...list.slice(0, 12).map(({ id }) => id));
const odd = fc.oneof(
  fc.string({ unit: "binary", maxLength: 30 }),
  fc.constantFrom(
    "__proto__",
    "constructor",
    "toString",
    "<b>",
    "' OR 1=1 --",
    "../..",
    "\u0000",
    "x".repeat(3000),
    "٣",
    "𝟑",
  ),
);
const id = fc.oneof(
  some(assembly.parts),
  some(assembly.rows),
  some(assembly.holes),
  some(assembly.families),
  some(assembly.milestones),
  odd,
);
const words = fc.constantFrom(
  ..."what which why not is are may I close set dimple rib holes hole row 1 2 3 7 4.0 mm top flange before after until the of and on in it open done rivet ? , . - – ( ) : ~ + ^ ½ 🔩 dimpel".split(
    " ",
  ),
);
const question = fc.oneof(
  fc
    .array(fc.oneof({ weight: 6, arbitrary: words }, { weight: 1, arbitrary: id }), { maxLength: 14 })
    .map((list) => list.join(" ")),
  odd,
);
const anything = fc.jsonValue({ maxDepth: 4 });
const slots = fc.dictionary(
  fc.oneof(
    fc.constantFrom(
      ..."part row hole holes family side treatment head milestone act attribute notice state topic gate done reached not".split(
        " ",
      ),
    ),
    odd,
  ),
  fc.oneof(id, fc.array(id, { maxLength: 3 }), anything),
  { maxKeys: 4, noNullPrototype: true },
);

/** Mostly a body of the right shape, with now and then a field that is missing, odd or too much. */
function body(fields: Record<string, fc.Arbitrary<unknown>>): fc.Arbitrary<unknown> {
  const shape = Object.fromEntries(
    Object.entries(fields).map(([name, good]) => [
      name,
      fc.oneof({ weight: 8, arbitrary: good }, { weight: 1, arbitrary: anything }),
    ]),
  );
  return fc.oneof(
    { weight: 8, arbitrary: fc.record(shape) },
    { weight: 2, arbitrary: fc.record({ ...shape, more: anything }, { requiredKeys: [] }) },
    { weight: 1, arbitrary: anything },
  );
}

const here = { kit: fc.constant(kit.id), assembly: fc.constant(assembly.id) };
const asked = fc.oneof(
  body({ ...here, question }),
  body({ ...here, question, context: fc.record({ form: fc.constantFrom(...forms), slots }) }),
  body({ ...here, form: fc.oneof(fc.constantFrom(...forms), odd), slots }),
);
const mark = fc.oneof(
  body({
    kind: fc.constant("hole"),
    hole: fc.oneof(some(assembly.holes), id),
    state: fc.constantFrom("set", "pinned", "unset", "Set"),
  }),
  body({
    kind: fc.constant("prep"),
    part: fc.oneof(some(assembly.parts), id),
    gate: fc.oneof(some(kit.prepGates), id),
    done: fc.boolean(),
  }),
  body({
    kind: fc.constant("milestone"),
    milestone: fc.oneof(some(assembly.milestones), id),
    reached: fc.boolean(),
  }),
);

/** Marks with nothing wrong about them, so that what is recorded is looked at as often as what is refused. */
const goodMark = fc.oneof(
  fc.record({
    kind: fc.constant("hole"),
    hole: some(assembly.holes),
    state: fc.constantFrom("set", "pinned", "unset"),
  }),
  fc.record({
    kind: fc.constant("prep"),
    part: some(assembly.parts),
    gate: some(kit.prepGates),
    done: fc.boolean(),
  }),
  fc.record({
    kind: fc.constant("milestone"),
    milestone: some(assembly.milestones),
    reached: fc.boolean(),
  }),
);
const told = fc.oneof(
  { weight: 2, arbitrary: body({ ...here, marks: fc.array(mark, { minLength: 1, maxLength: 3 }) }) },
  { weight: 1, arbitrary: fc.record({ ...here, marks: fc.array(goodMark, { minLength: 1, maxLength: 3 }) }) },
);

describe("whatever is sent", () => {
  it("as a question, is answered, asked back or refused with a reason; nothing is recorded", async () => {
    const { request, book, unforeseen } = await openShop();
    await fc.assert(
      fc.asyncProperty(asked, async (sent) => {
        const reply = await request
          .post("/api/ask")
          .set("content-type", "application/json")
          .send(JSON.stringify(sent));
        expect(unforeseen).toEqual([]);
        expect([200, 400, 404, 422]).toContain(reply.status);
        if (reply.status === 200) expect(reply.body.headline).not.toBe("");
        else
          expect(reply.body).toMatchObject({
            code: expect.stringMatching(/^[A-Z_]+$/),
            fix: expect.stringMatching(/./),
          });
        expect(book.version()).toBe(0);
      }),
      { numRuns: RUNS },
    );
  }, 120_000);

  it("as marks, is recorded whole or refused with a reason, and undoing brings back what was there", async () => {
    const { request, book, unforeseen } = await openShop();
    let keys = 0;
    const post = (sent: unknown) =>
      request
        .post("/api/marks")
        .set({
          "content-type": "application/json",
          "idempotency-key": `k${keys++}`,
          "if-match": `"${book.version()}"`,
        })
        .send(JSON.stringify(sent));
    const stand = async () => {
      const { version: _, ...work } = (await request.get(`${assemblyPath}/marks`).expect(200)).body;
      const sorted = Object.entries(work.prep as Record<string, string[]>).map(([part, gates]) => [
        part,
        [...gates].sort(),
      ]);
      return { ...work, prep: Object.fromEntries(sorted), milestones: [...work.milestones].sort() };
    };
    await fc.assert(
      fc.asyncProperty(told, async (sent) => {
        const [before, version] = [await stand(), book.version()];
        const reply = await post(sent);
        expect(unforeseen).toEqual([]);
        expect([200, 400, 404, 422]).toContain(reply.status);
        expect(book.version()).toBe(version + (reply.status === 200 ? 1 : 0));
        if (reply.status === 200) await post({ ...place, marks: reply.body.undo }).expect(200);
        expect(await stand()).toEqual(before);
      }),
      { numRuns: RUNS },
    );
    expect(book.version()).toBeGreaterThan(10);
    expect(firstBreak(book.snapshot().entries)).toBeNull();
  }, 120_000);

  it("as an address, is answered or refused, and never fails", async () => {
    const { app, unforeseen } = await openShop();
    const step = fc.oneof(
      fc.constantFrom(
        "api",
        "kits",
        kit.id,
        "assemblies",
        assembly.id,
        "rulings",
        "marks",
        "rules",
        "notes",
        "..",
        ".",
        "",
        "health",
      ),
      odd.map((text) => encodeURIComponent(text.replace(/\p{Surrogate}/gu, "x")).slice(0, 200)),
      fc.constantFrom("%", "%00", "%2e%2e", "%2f", "*", ":kit", "a;b", "a b"),
    );
    const query = fc.dictionary(fc.constantFrom("q", "kit", "__proto__", "x"), odd, {
      maxKeys: 2,
      noNullPrototype: true,
    });
    await fc.assert(
      fc.asyncProperty(
        fc.array(step, { maxLength: 7 }),
        query,
        fc.constantFrom("GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"),
        async (steps, asked, method) => {
          const path = `/${steps.join("/")}`;
          if (path === "/api/marks/events") return;
          const search = new URLSearchParams(asked).toString();
          const reply = await app.inject({
            method: method as "GET",
            url: `${path}?${search}`,
            headers: { host: "localhost" },
          });
          expect(unforeseen).toEqual([]);
          expect(reply.statusCode).toBeLessThan(500);
          expect(reply.headers["x-content-type-options"]).toBe("nosniff");
        },
      ),
      { numRuns: 400 },
    );
  }, 60_000);
});
