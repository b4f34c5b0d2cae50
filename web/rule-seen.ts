import type { RuleSeen } from "./bench.js";
import type { MatchesShown, PreviewShown } from "./wire.js";

/** What the map shows of it; while nothing can be told but where it holds, that. */
export function seenOf(
  title: string,
  { matched, unknown, impact, words }: PreviewShown,
  matches: Pick<MatchesShown, "holds" | "open"> = { holds: [], open: [] },
): RuleSeen {
  const changes = new Map<string, string[]>();
  const wrong = new Set<string>();
  for (const { kind, what, holes } of impact?.said ?? []) {
    if (kind === "plan" || kind === "closing") continue;
    for (const hole of holes) {
      changes.set(hole, [...(changes.get(hole) ?? []), what]);
      if (kind === "done wrong") wrong.add(hole);
    }
  }
  return {
    title: title || "the rule being written",
    holds: new Set(words ? matched.holes : matches.holds),
    open: new Set(words ? unknown.holes : matches.open),
    changes,
    wrong,
  };
}
