import { type Boxes, boxesOf, MOST_BOXES, remainder, shared } from "../boxes.js";
import { childrenOf, isLeaf, leavesOf, opOf } from "../conditions.js";
import type { Domains } from "../domain.js";
import type { Condition, Leaf } from "../types.js";
import { witnessOf } from "../witness.js";
import { type Finding, finding } from "./finding.js";
import { type Look, titled } from "./look.js";
import type { FindingWords } from "./words.js";

/** How far a rule's conditions reach: nowhere, everywhere, or nowhere in this kit. */
export function extentOf(look: Look): readonly Finding[] {
  const { rule } = look;
  const { domains, shape: shapeOf } = look.scope([rule]);
  const shape = shapeOf(rule);
  if (shape === null) {
    return [
      finding(rule.id, {
        kind: "cut off",
        severity: "warning",
        said: `The conditions of ${titled(rule)} come to more than ${MOST_BOXES} separate cases, so they were not compared with those of other rules.`,
        pointer: "/conditions",
        fix: "Split the rule into simpler ones.",
      }),
    ];
  }
  const within = witnessOf(shape, domains);
  if (within === "none") return [neverHolds(look)];
  const outside = remainder([new Map()], shape);
  const without = outside && witnessOf(outside, domains);
  if (within === "not shown" || without === "not shown" || without === null) {
    return [notShown(look), ...deadBranches(look), ...inThisKit(look)];
  }
  return without === "none"
    ? [
        finding(rule.id, {
          kind: "always holds",
          severity: "warning",
          said: `The conditions of ${titled(rule)} hold at every hole, whatever its facts are.`,
          pointer: "/conditions",
          fix: "Say where the rule holds, or leave it to a rule that is meant for all holes.",
        }),
      ]
    : [...deadBranches(look), ...inThisKit(look)];
}

function notShown({ rule }: Look): Finding {
  return finding(rule.id, {
    kind: "cut off",
    severity: "note",
    said: `Whether ${titled(rule)} holds nowhere or everywhere was not shown: looking it up would have taken too long.`,
    pointer: "/conditions",
    fix: "Split the rule, or compare fewer facts with each other.",
  });
}

function neverHolds(look: Look): Finding {
  const { rule } = look;
  const { domains } = look.scope([rule]);
  const clash = clashIn(rule.conditions, domains);
  const [only, another] = clash ?? [];
  return finding(rule.id, {
    kind: "never holds",
    severity: "error",
    said:
      clash === null
        ? `The conditions of ${titled(rule)} can never hold together.`
        : `The conditions of ${titled(rule)} can never hold: ${clash.map(look.words.leaf).join(" and ")}${clash.length > 1 ? " at once" : ""} cannot be.${only && !another ? sayRange(only, domains, look.words) : ""}`,
    pointer: "/conditions",
    fix:
      clash?.length === 1
        ? "Change this condition, or take it out."
        : "Change one of these conditions, or join them by “any”.",
  });
}

/** What a leaf's number can be at all: " In any kit the gap is 0 mm or more and at most 200 mm."; empty where any number goes. */
function sayRange({ fact }: Leaf, domains: Domains, words: FindingWords): string {
  const domain = domains.get(fact);
  if (domain?.type !== "number" || !domain.range) return "";
  const { from, to } = domain.range;
  const ends = [
    ...(Number.isFinite(from.at)
      ? [from.closed ? `${words.value(fact, from.at)} or more` : `more than ${words.value(fact, from.at)}`]
      : []),
    ...(Number.isFinite(to.at) ? [`at most ${words.value(fact, to.at)}`] : []),
  ];
  return ` In any kit ${words.fact(fact)} is ${ends.join(" and ")}.`;
}

/** The fewest leaves of an "all" that already rule each other out, one or two; null where it takes more. */
function clashIn(conditions: Condition, domains: Domains): readonly Leaf[] | null {
  const leaves = opOf(conditions) === "all" ? childrenOf(conditions).filter(isLeaf) : [];
  const shapes = leaves.map((leaf) => boxesOf(leaf, domains) ?? []);
  const isNone = (boxes: Boxes | null) => boxes !== null && witnessOf(boxes, domains) === "none";
  for (const [i, one] of leaves.entries()) if (isNone(shapes[i] ?? [])) return [one];
  for (const [i, one] of leaves.entries()) {
    for (const [j, other] of leaves.entries()) {
      if (j > i && isNone(shared(shapes[i] ?? [], shapes[j] ?? []))) return [one, other];
    }
  }
  return null;
}

/** Branches of an "any" that can never hold by themselves: the rule reaches less far than it looks. */
function deadBranches({ rule, scope, words }: Look): readonly Finding[] {
  const { domains } = scope([rule]);
  const found: Finding[] = [];
  const visit = (condition: Condition, pointer: string, negated: boolean): void => {
    if (isLeaf(condition)) return;
    const op = opOf(condition);
    childrenOf(condition).forEach((child, i) => {
      const here = `${pointer}/${op}${op === "not" ? "" : `/${i}`}`;
      const boxes = op === "any" && !negated ? boxesOf(child, domains) : null;
      if (boxes !== null && witnessOf(boxes, domains) === "none") {
        found.push(
          finding(rule.id, {
            kind: "never holds",
            severity: "warning",
            said: `One of the alternatives of ${titled(rule)} can never hold: ${leavesOf(child).map(words.leaf).join(", ")}.`,
            pointer: here,
            fix: "Change this alternative, or take it out.",
          }),
        );
      } else visit(child, here, op === "not" ? !negated : negated);
    });
  };
  visit(rule.conditions, "/conditions", false);
  return found;
}

/** What the holes of this kit add: the rule may hold somewhere, and yet at none of them, or at all. */
function inThisKit(look: Look): readonly Finding[] {
  const { rule, holes } = look;
  if (holes.length === 0) return [];
  const truths = look.truths(rule);
  const firing = truths.filter((truth) => truth === "true").length;
  const open = holes.filter((_, i) => truths[i] === "unknown");
  if (firing === holes.length && rule.family !== "caution") {
    return [
      finding(rule.id, {
        kind: "always holds",
        severity: "note",
        said: `${titled(rule)} holds at every one of the kit's ${holes.length} holes.`,
        pointer: "/conditions",
        fix: "Leave it so when it is meant for all of them; otherwise say where it holds.",
      }),
    ];
  }
  if (firing > 0) return [];
  const [hole] = open;
  return [
    finding(rule.id, {
      kind: "holds nowhere here",
      severity: "note",
      witness: hole ? { hole: hole.id } : null,
      holes: open.map(({ id }) => id),
      said: hole
        ? `${titled(rule)} holds at no hole of the kit for certain; at ${open.length} a fact is missing, first at ${look.words.holes([hole.id])}.`
        : `${titled(rule)} holds at no hole of the kit${sayNearest(look)}.`,
      pointer: "/conditions",
      fix: hole
        ? "Find out the missing fact, or ask for facts that are known."
        : "Check the facts and values, or leave it so when it is meant for other kits or a later state of the work.",
    }),
  ];
}

/** Facts of a hole that would meet the conditions: ", only at one with gapMm 0". */
function sayNearest({ rule, scope, words }: Look): string {
  const { domains, shape } = scope([rule]);
  const facts = witnessOf(shape(rule) ?? [], domains);
  return typeof facts === "object" ? `; it would at one with ${words.facts(facts)}` : "";
}
