import type { Reading } from "../server/ask/types.js";
import type { AssemblyShown } from "./wire.js";
import { theNamed } from "./words.js";

/** Questions to begin with, made from what the assembly has. */
export function startersFor({ closings, parts, families, milestones }: AssemblyShown): readonly Reading[] {
  const closing = parts.find(({ id }) => id === closings[0]);
  const [family] = families;
  return [
    ...(closing
      ? [
          {
            form: "before-closing",
            slots: { part: closing.id },
            said: `What before ${theNamed(closing.name)} closes?`,
          },
        ]
      : []),
    { form: "stay-open", slots: {}, said: "Which holes stay open?" },
    ...(milestones.length > 0
      ? [{ form: "close-later", slots: {}, said: "What is closed later, and when?" }]
      : []),
    ...(family
      ? [{ form: "odd-ones", slots: { family: family.id }, said: `Which of the ${family.name} differ?` }]
      : []),
    { form: "treatment", slots: { treatment: "dimple", not: "yes" }, said: "Which holes are not dimpled?" },
    { form: "changed", slots: {}, said: "What did notices change?" },
  ];
}
