import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, it } from "vitest";
import { CATALOGUE } from "../../server/routes/problems.js";
import { assembly, assemblyPath, library, openShop, place, type Shop } from "./shop.js";

interface Operation {
  readonly summary: string;
  readonly parameters: readonly { readonly name: string; readonly in: string; readonly required: boolean }[];
  readonly requestBody?: { readonly content: Readonly<Record<string, { readonly schema: object }>> };
  readonly responses: Readonly<
    Record<string, { readonly content?: Readonly<Record<string, { schema: object }>> }>
  >;
}
interface Description {
  readonly openapi: string;
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Readonly<Record<string, object>> };
}

async function describe_(shop: Shop): Promise<Description> {
  return (await shop.request.get("/api/openapi.json").expect(200)).body;
}

const ajv = () => new Ajv2020({ strict: false, discriminator: true });

describe("the description of the API", () => {
  it("lists every address with what it is for, and nothing else", async () => {
    const shop = await openShop();
    const { openapi, paths } = await describe_(shop);
    expect(openapi).toBe("3.1.0");
    expect(Object.keys(paths).sort()).toEqual([
      "/api/ask",
      "/api/book/export",
      "/api/book/notes",
      "/api/door",
      "/api/kits",
      "/api/kits/{kit}/assemblies/{assembly}",
      "/api/kits/{kit}/assemblies/{assembly}/marks",
      "/api/kits/{kit}/assemblies/{assembly}/plan",
      "/api/kits/{kit}/assemblies/{assembly}/plan.html",
      "/api/kits/{kit}/assemblies/{assembly}/plan.svg",
      "/api/kits/{kit}/assemblies/{assembly}/record",
      "/api/kits/{kit}/assemblies/{assembly}/record.csv",
      "/api/kits/{kit}/assemblies/{assembly}/record.html",
      "/api/kits/{kit}/assemblies/{assembly}/rulings",
      "/api/kits/{kit}/assemblies/{assembly}/sheet",
      "/api/kits/{kit}/assemblies/{assembly}/sheet.html",
      "/api/kits/{kit}/assemblies/{assembly}/steps/{step}/sheet",
      "/api/kits/{kit}/assemblies/{assembly}/steps/{step}/sheet.html",
      "/api/marks",
      "/api/marks/events",
      "/api/notes",
      "/api/notes/{id}",
      "/api/offers",
      "/api/openapi.json",
      "/api/problems",
      "/api/questions",
      "/api/reviews",
      "/api/reviews/answer",
      "/api/reviews/{id}",
      "/api/reviews/{id}/file",
      "/api/reviews/{id}/page",
      "/api/reviews/{id}/sheet",
      "/api/rules",
      "/api/rules/matches",
      "/api/rules/preview",
      "/api/rules/vocabulary",
      "/api/rules/{id}",
      "/api/rules/{id}/accept",
      "/api/rules/{id}/diff",
      "/api/rules/{id}/propose",
      "/api/rules/{id}/retire",
      "/api/rules/{id}/return",
      "/api/rules/{id}/withdraw",
      "/api/suggestions",
      "/health",
    ]);
    for (const operation of Object.values(paths).flatMap((path) => Object.values(path))) {
      expect(operation.summary).not.toBe("");
      expect(Object.keys(operation.responses)).toEqual(["200", "default"]);
    }
  });

  it("names every step of a path as a required parameter", async () => {
    const { paths } = await describe_(await openShop());
    for (const [path, operations] of Object.entries(paths)) {
      const steps = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
      for (const { parameters } of Object.values(operations)) {
        const named = parameters.filter((one) => one.in === "path" && one.required).map(({ name }) => name);
        expect(named.sort()).toEqual([...steps].sort());
      }
    }
  });

  it("refers to nothing that is not there, and its schemas are JSON Schemas", async () => {
    const description = await describe_(await openShop());
    for (const [, pointer] of JSON.stringify(description).matchAll(/"\$ref":"#\/([^"]+)"/g)) {
      const found = (pointer ?? "")
        .split("/")
        .reduce<unknown>((at, step) => (at as Record<string, unknown> | undefined)?.[step], description);
      expect(found).toBeDefined();
    }
    for (const operation of Object.values(description.paths).flatMap((path) => Object.values(path))) {
      const contents = [operation.requestBody, ...Object.values(operation.responses)];
      for (const { schema } of contents.flatMap((one) => Object.values(one?.content ?? {}))) {
        expect(() => ajv().compile(schema)).not.toThrow();
      }
    }
  });

  it("is true of what is answered", async () => {
    const shop = await openShop();
    const { paths, components } = await describe_(shop);
    const rule = library.rulebookOf(place.kit).rules[0]?.id;
    const note = library.notes.notes[0]?.id;
    const body = { ...place, marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "set" }] };
    const act = { "idempotency-key": "k", "if-match": "*" };
    const replies = [
      ["/api/ask", "post", await shop.request.post("/api/ask").send({ ...place, question: "what?" })],
      [
        "/api/ask",
        "post",
        await shop.request.post("/api/ask").send({ ...place, form: "stay-open", slots: {} }),
      ],
      [
        "/api/offers",
        "post",
        await shop.request.post("/api/offers").send({ ...place, form: "treatment", slots: {} }),
      ],
      ["/api/suggestions", "post", await shop.request.post("/api/suggestions").send({ ...place, about: {} })],
      ["/api/kits", "get", await shop.request.get("/api/kits")],
      ["/api/kits/{kit}/assemblies/{assembly}", "get", await shop.request.get(assemblyPath)],
      ["/api/marks", "post", await shop.request.post("/api/marks").set(act).send(body)],
      ["/api/kits/{kit}/assemblies/{assembly}/marks", "get", await shop.request.get(`${assemblyPath}/marks`)],
      [
        "/api/kits/{kit}/assemblies/{assembly}/rulings",
        "get",
        await shop.request.get(`${assemblyPath}/rulings`),
      ],
      [
        "/api/book/notes",
        "post",
        await shop.request
          .post("/api/book/notes")
          .set({ ...act, "idempotency-key": "k2" })
          .send({ ...place, text: "sharp" }),
      ],
      [
        "/api/kits/{kit}/assemblies/{assembly}/record",
        "get",
        await shop.request.get(`${assemblyPath}/record`),
      ],
      [
        "/api/kits/{kit}/assemblies/{assembly}/sheet",
        "get",
        await shop.request.get(`${assemblyPath}/sheet?spares=10`),
      ],
      [
        "/api/kits/{kit}/assemblies/{assembly}/steps/{step}/sheet",
        "get",
        await shop.request.get(`${assemblyPath}/steps/${assembly.steps[1]?.id}/sheet`),
      ],
      ["/api/notes", "get", await shop.request.get("/api/notes")],
      ["/api/notes/{id}", "get", await shop.request.get(`/api/notes/${note}`)],
      ["/api/problems", "get", await shop.request.get("/api/problems")],
      ["/api/questions", "get", await shop.request.get("/api/questions")],
      ["/api/rules", "get", await shop.request.get("/api/rules")],
      ["/api/rules/{id}", "get", await shop.request.get(`/api/rules/${rule}`)],
      ["/health", "get", await shop.request.get("/health")],
    ] as const;
    for (const [path, method, reply] of replies) {
      expect({ path, status: reply.status }).toEqual({ path, status: 200 });
      const schema = paths[path]?.[method]?.responses["200"]?.content?.["application/json"]?.schema ?? false;
      const validate = ajv().compile(schema);
      expect({ path, valid: validate(reply.body), errors: validate.errors }).toEqual({
        path,
        valid: true,
        errors: null,
      });
    }
    const problem = ajv().compile(components.schemas.Problem ?? false);
    const stale = await shop.request
      .post("/api/marks")
      .set({ ...act, "idempotency-key": "l", "if-match": '"0"' })
      .send(body);
    for (const { body: document } of [stale, await shop.request.get("/api/none")]) {
      expect(problem(document)).toBe(true);
    }
  });
});

describe("the codes of problems", () => {
  it("each have a status that HTTP knows and a title, and are listed", async () => {
    const { request } = await openShop();
    const { body } = await request.get("/api/problems").expect(200);
    expect(body.problems).toHaveLength(Object.keys(CATALOGUE).length);
    for (const { status, title } of body.problems) {
      expect(status).toBeGreaterThanOrEqual(400);
      expect(status).toBeLessThan(600);
      expect(title).toMatch(/^[A-Z]/);
    }
  });
});
