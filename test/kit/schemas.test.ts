import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, it } from "vitest";
import { publishedSchemas } from "../../server/schemas.js";
import { smallKit } from "./small-kit.js";

const read = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), "utf8");

describe("the published schemas", () => {
  it.each(publishedSchemas())(
    "$path is what the code checks by (npm run schemas writes it)",
    ({ path, text }) => {
      expect(read(path)).toBe(text);
    },
  );

  it.each(publishedSchemas())("$path is a JSON Schema of 2020-12 that a strict reader takes", ({ path }) => {
    const schema = JSON.parse(read(path));
    expect(schema.$schema).toBe("https://json-schema.org/draft/2020-12/schema");
    expect(() => new Ajv2020({ strict: true }).compile(schema)).not.toThrow();
  });

  it("take a valid kit and refuse a misspelt key, for editors that know nothing of this program", () => {
    const { kit, assembly } = smallKit();
    const ajv = new Ajv2020();
    const takesKit = ajv.compile(JSON.parse(read("rules/schemas/kit.schema.json")));
    const takesAssembly = ajv.compile(JSON.parse(read("rules/schemas/assembly.schema.json")));
    expect(takesKit(kit)).toBe(true);
    expect(takesAssembly(JSON.parse(JSON.stringify(assembly)))).toBe(true);
    expect(takesKit({ ...kit, notice: [] })).toBe(false);
    expect(takesAssembly({ ...assembly, closing: [] })).toBe(false);
  });
});
