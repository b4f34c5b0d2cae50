import type { Rule } from "../types.js";
import { contradictionsBetween, isSettled } from "./claims-kept.js";
import { type Finding, finding } from "./finding.js";
import { holesWhere, type Look, sayHoles, titled } from "./look.js";

/** Rules on one circle that are still looked at. */
const LONGEST = 6;

/**
 * Circles of rules each of which goes before the next, by whatever principle: a shop rule that departs from the
 * manual, the manual that beats another shop rule, that one which overrides the first. Overrides alone can make
 * no circle: loading refuses that. Told only where the kit has a hole at which all of them may hold.
 */
export function loopsThrough(look: Look): readonly Finding[] {
  const { rule, rulebook } = look;
  if (!isSettled(rule)) return [];
  const found = new Map<string, Finding>();
  for (const attribute of Object.keys(rule.event.params)) {
    const rules = (rulebook.claims.get(attribute) ?? []).map((claim) => claim.rule);
    const beaten = (one: Rule): readonly Rule[] =>
      rules.filter(
        (other) => contradictionsBetween(one, other).length > 0 && rulebook.superiority.over(one, other),
      );
    const circle = circleFrom(rule, beaten, (path) => holesWhere(look, path, true).length > 0);
    if (!circle) continue;
    const holes = holesWhere(look, circle, true);
    found.set(
      circle
        .map(({ id }) => id)
        .sort()
        .join(" "),
      tell(look, attribute, circle, holes),
    );
  }
  return [...found.values()];
}

/** A circle that starts and ends at a rule, the shortest first; null when there is none that short. */
function circleFrom(
  rule: Rule,
  beaten: (rule: Rule) => readonly Rule[],
  canMeet: (rules: readonly Rule[]) => boolean,
): readonly Rule[] | null {
  let paths: readonly (readonly Rule[])[] = [[rule]];
  const seen = new Set<Rule>();
  for (let length = 1; length <= LONGEST && paths.length > 0; length++) {
    const longer: (readonly Rule[])[] = [];
    for (const path of paths) {
      for (const next of beaten(path.at(-1) ?? rule)) {
        if (next === rule) return path;
        if (seen.has(next) || !canMeet([...path, next])) continue;
        seen.add(next);
        longer.push([...path, next]);
      }
    }
    paths = longer;
  }
  return null;
}

function tell(
  look: Look,
  attribute: string,
  circle: readonly Rule[],
  holes: ReturnType<typeof holesWhere>,
): Finding {
  const { rule } = look;
  const [hole] = holes;
  return finding(rule.id, {
    kind: "override loop",
    severity: "warning",
    rules: circle.slice(1).map(({ id }) => id),
    attribute,
    witness: hole ? { hole: hole.id } : null,
    holes: holes.map(({ id }) => id),
    said: `These rules go before each other in a circle: ${[...circle, rule].map(titled).join(" before ")}. None of them stands, for one, at ${sayHoles(look, holes)}.`,
    pointer: rule.overrides.length > 0 ? "/overrides" : "/basis",
    fix: "Take one override or departure of the circle out, or limit one of the rules.",
  });
}
