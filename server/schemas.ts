import { FactsFileSchema } from "./facts/schema.js";
import { AssemblyFileSchema, KitFileSchema } from "./kit/schema.js";
import { RuleFileSchema } from "./ruling/schema.js";
import type { SourceFile } from "./source.js";

/** Schemas that are published for editors and other programs, by file name. */
const SCHEMAS: Readonly<Record<string, object>> = {
  "kit.schema.json": KitFileSchema,
  "assembly.schema.json": AssemblyFileSchema,
  "facts.schema.json": FactsFileSchema,
  "rule.schema.json": RuleFileSchema,
};

/** The published files as they must stand in `rules/schemas`: JSON Schema 2020-12, from the code's own shapes. */
export function publishedSchemas(): readonly SourceFile[] {
  return Object.entries(SCHEMAS).map(([name, schema]) => ({
    path: `rules/schemas/${name}`,
    text: `${JSON.stringify({ $schema: "https://json-schema.org/draft/2020-12/schema", ...schema }, null, 2)}\n`,
  }));
}
