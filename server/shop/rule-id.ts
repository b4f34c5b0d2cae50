import { Problem } from "../problem.js";

/** What stands below /api/rules/ beside the rules: a rule of such a name could not be fetched there. */
const ADDRESSES: readonly string[] = ["matches", "preview", "vocabulary"];

/** What keeps a new rule from having this id; null = nothing does. The pointer is into the rule. */
export function reservedId(id: unknown): Problem | null {
  if (typeof id !== "string" || !ADDRESSES.includes(id)) return null;
  return new Problem(
    "RULE_ID_RESERVED",
    `No rule can be called "${id}": that is an address of the program.`,
    {
      where: { pointer: "/id" },
      fix: `Give it another id, such as "${id}-1".`,
    },
  );
}
