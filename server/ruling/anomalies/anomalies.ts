import { checkExamplesOf } from "../examples.js";
import type { Rulebook } from "../rulebook.js";
import type { Rule } from "../types.js";
import { extentOf } from "./extent.js";
import { type Finding, finding, gravestFirst } from "./finding.js";
import { gapsBeside } from "./gaps.js";
import { kinshipOf } from "./kinship.js";
import { type Look, lookAt, type Site } from "./look.js";
import { loopsThrough } from "./loops.js";
import { oppositionTo } from "./opposition.js";
import { ownPartOf } from "./own-part.js";
import { findingsOf } from "./refused.js";
import type { FindingWords } from "./words.js";

/**
 * Everything odd about one rule, by itself and beside the others of its book: whether it can hold at all, rules
 * that say the same or otherwise, circles, what it leaves open, examples that fail. What could not be worked out
 * within the limits is told as "cut off", never passed over.
 * @param rulebook  the rule is in it
 * @param words     how things are named; by their names in the files when left out
 * @param sites     all of the kit's assemblies, settled under this rulebook; none = only the conditions are compared
 * @source D. Calvanese, M. Dumas, Ü. Laurson, F. M. Maggi, M. Montali, I. Teinemaa, "Semantics and analysis of DMN
 *         decision tables", BPM 2016: conditions as boxes, overlapping and missing rules (from memory)
 */
export async function anomaliesOf(
  rulebook: Rulebook,
  rule: Rule,
  sites: readonly Site[] = [],
  words?: FindingWords,
): Promise<readonly Finding[]> {
  const look = lookAt(rulebook, rule, sites, words);
  const extent = extentOf(look);
  // What holds nowhere lies within every rule and meets none: that is no news about the others.
  if (extent.some(({ kind, severity }) => kind === "never holds" && severity === "error")) {
    return gravestFirst([...extent, ...(await failingExamples(look))]);
  }
  const found = [
    ...extent,
    ...ownPartOf(look),
    ...kinshipOf(look),
    ...oppositionTo(look),
    ...loopsThrough(look),
    ...gapsBeside(look),
    ...(await failingExamples(look)),
  ];
  return gravestFirst([...found, ...notCompared(look)]);
}

async function failingExamples(look: Look): Promise<readonly Finding[]> {
  const { rule, holes } = look;
  const byId = new Map(holes.map((spot) => [spot.id, spot]));
  const problems = await checkExamplesOf(rule, (hole) => {
    const spot = byId.get(hole);
    return spot ? { record: spot.record, trace: spot.site.rulings.conditions(hole, rule.id) } : null;
  });
  // Without holes at hand an example that names one cannot be tried, and nothing can be said of it.
  const tried = holes.length > 0 ? problems : problems.filter(({ code }) => code !== "EXAMPLE_HOLE");
  return findingsOf(rule.id, tried, rule);
}

function notCompared({ rule, notCompared: ids, shape }: Look): readonly Finding[] {
  if (ids.size === 0 || shape(rule) === null) return [];
  const rules = [...ids].sort();
  return [
    finding(rule.id, {
      kind: "cut off",
      severity: "note",
      rules,
      said: `This rule was not compared in full with ${rules.join(", ")}: it would have taken too long.`,
      pointer: "/conditions",
      fix: "Split the rules, or compare fewer facts with each other.",
    }),
  ];
}
