import { RANKS, type Rule } from "../types.js";
import { implies, witnessOf } from "../witness.js";
import { contradictionsBetween, isSaidBy } from "./claims-kept.js";
import { type Finding, finding, type Severity } from "./finding.js";
import { type Look, othersIn, titled } from "./look.js";

/** Rules that say the same as this one: at the same holes, at more of them, or at fewer. */
export function kinshipOf(look: Look): readonly Finding[] {
  const { rule } = look;
  return othersIn(look).flatMap((other): readonly Finding[] => {
    const [saidByOther, saysOther] = [isSaidBy(rule, other), isSaidBy(other, rule)];
    if (!saidByOther && !saysOther) return [];
    const within = saidByOther ? liesWithin(look, rule, other) : false;
    const around = saysOther ? liesWithin(look, other, rule) : false;
    if (within && around) return [duplicate(look, other)];
    if (within) return [subsumed(look, other)];
    if (saidByOther && isCoveredHere(look, other)) return [coveredHere(look, other)];
    return around ? [subsumes(look, other)] : [];
  });
}

function liesWithin(look: Look, inner: Rule, outer: Rule): boolean {
  const { domains, shape } = look.scope([inner, outer]);
  const [a, b] = [shape(inner), shape(outer)];
  // A rule for any kit that no hole of this one can meet lies within every other; that says nothing.
  if (inner.kit === null && outer.kit !== null && a && witnessOf(a, domains) === "none") return false;
  const answer = a && b ? implies(a, b, domains) : "not shown";
  if (answer === "not shown") look.notCompared.add((inner === look.rule ? outer : inner).id);
  return answer === "yes";
}

/** Whether the other rule holds at each hole of the kit at which this one holds or may hold. */
function isCoveredHere(look: Look, other: Rule): boolean {
  const [own, theirs] = [look.truths(look.rule), look.truths(other)];
  return own.includes("true") && own.every((truth, i) => truth === "false" || theirs[i] === "true");
}

/** By its conditions it reaches further; by the kit's parts and rows it does not. */
function coveredHere({ rule }: Look, other: Rule): Finding {
  return finding(rule.id, {
    kind: "subsumed",
    severity: "note",
    rules: [other.id],
    said: `At every hole of this kit where ${titled(rule)} holds, ${titled(other)} says the same.`,
    fix: "Leave this rule out, unless it is there to stand against another one.",
  });
}

function duplicate(look: Look, other: Rule): Finding {
  const { rule } = look;
  const isSameBasis = rule.basis.rank === other.basis.rank;
  return finding(rule.id, {
    kind: "duplicate",
    severity: isSameBasis && !makesADifference(look, rule, other) ? "warning" : "note",
    rules: [other.id],
    said: isSameBasis
      ? `${titled(rule)} says the same as ${titled(other)} at the same holes.`
      : `${titled(rule)} (${rule.basis.rank}) says the same as ${titled(other)} (${other.basis.rank}) at the same holes.`,
    fix: isSameBasis
      ? "Keep one of the two."
      : "Leave it so where the one confirms the other; otherwise keep one.",
  });
}

function subsumed(look: Look, outer: Rule): Finding {
  const { rule } = look;
  return finding(rule.id, {
    kind: "subsumed",
    severity: weightOf(look, rule, outer),
    rules: [outer.id],
    said: `${titled(outer)} says the same already, at these holes and at others.`,
    fix: "Leave this rule out, unless it is there to stand against another one.",
  });
}

function subsumes(look: Look, inner: Rule): Finding {
  const { rule } = look;
  return finding(rule.id, {
    kind: "subsumes",
    severity: weightOf(look, inner, rule),
    rules: [inner.id],
    said: `${titled(rule)} says the same as ${titled(inner)}, at its holes and at others.`,
    fix: `With this rule ${inner.id} may no longer be needed; look whether it can be retired.`,
  });
}

/** A narrower rule on a stronger basis confirms; one that wins against rules which the wider one does not is needed. */
function weightOf(look: Look, inner: Rule, outer: Rule): Severity {
  const isStronger = RANKS.indexOf(inner.basis.rank) < RANKS.indexOf(outer.basis.rank);
  return isStronger || makesADifference(look, inner, outer) ? "note" : "warning";
}

/** Whether some opposing rule stands otherwise to the one than to the other. */
function makesADifference({ rulebook }: Look, one: Rule, other: Rule): boolean {
  const { superiority } = rulebook;
  return rulebook.rules.some(
    (third) =>
      third !== one &&
      third !== other &&
      contradictionsBetween(one, third).length > 0 &&
      (Boolean(superiority.over(one, third)) !== Boolean(superiority.over(other, third)) ||
        Boolean(superiority.over(third, one)) !== Boolean(superiority.over(third, other))),
  );
}
