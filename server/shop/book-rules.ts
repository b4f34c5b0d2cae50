import type { Kit } from "../kit/types.js";
import { Problem } from "../problem.js";
import { type Rulebook, withRules } from "../ruling/rulebook.js";
import type { RuleInFile } from "../ruling/schema.js";
import type { SourceFile } from "../source.js";

/** Where a shop rule says that it was read from. */
export const SHOP_BOOK_FILE = "shop book";

/** A shop rule as it goes into the rulebook. */
export interface ShopRuleText {
  readonly rule: RuleInFile;
  /** Shown as the revision of its basis. */
  readonly revision: string;
  /** Reference of the kit maker's agreement that it was accepted with; left out = as the rule says. */
  readonly agreement?: string | null;
}

/** The rulebook with those shop rules that fit it. */
export interface Fitted {
  readonly rulebook: Rulebook;
  /** Those that do not, each with what is wrong; pointers lead into the rule. */
  readonly leftOut: readonly { readonly rule: RuleInFile; readonly problem: Problem }[];
}

/**
 * Adds shop rules to a kit's rules. One that does not fit (the kit was revised, another rule was retired) is
 * left out; those that fit stay.
 * @param rules  in the order in which they came into force: of rules that contradict each other the later goes
 */
export function fitRules(base: Rulebook, kit: Kit, rules: readonly ShopRuleText[]): Fitted {
  const all = attempt(base, kit, rules);
  if (!(all instanceof Problem)) return { rulebook: all, leftOut: [] };
  let rulebook = base;
  let waiting = rules;
  // Again and again, since a rule may refer to one that comes later.
  for (;;) {
    const still: ShopRuleText[] = [];
    const problems: Problem[] = [];
    for (const one of waiting) {
      const made = attempt(rulebook, kit, [one]);
      if (made instanceof Problem) {
        still.push(one);
        problems.push(inRule(made));
      } else rulebook = made;
    }
    if (still.length === waiting.length) {
      const leftOut = still.map(({ rule }, i) => ({ rule, problem: problems[i] as Problem }));
      return { rulebook, leftOut };
    }
    waiting = still;
  }
}

function attempt(book: Rulebook, kit: Kit, rules: readonly ShopRuleText[]): Rulebook | Problem {
  const stray = rules.find(({ rule }) => rule.basis?.rank !== "shop");
  if (stray) {
    return new Problem("RULE_NOT_SHOP", `"${stray.rule.id}" does not stand on the shop's own word.`, {
      where: { file: SHOP_BOOK_FILE, pointer: `/rules/${rules.indexOf(stray)}/basis/rank` },
      fix: 'A rule of the shop book has the rank "shop"; notices and the manual come with the kit.',
    });
  }
  if (rules.length === 0) return book;
  try {
    return withRules(book, kit, fileOf(kit, rules));
  } catch (error) {
    if (error instanceof Problem) return error;
    throw error;
  }
}

function fileOf(kit: Kit, rules: readonly ShopRuleText[]): SourceFile {
  const written = rules.map(({ rule, revision, agreement }) => ({
    ...rule,
    basis: { ...rule.basis, revision },
    ...(rule.departure && agreement && { departure: { ...rule.departure, reference: agreement } }),
  }));
  const file = { format: "tailroom rules 1", kit: kit.id, rules: written };
  return { path: SHOP_BOOK_FILE, text: JSON.stringify(file) };
}

/** The problem of a file with one rule, with places in that rule. */
function inRule({ code, message, where, fix, others }: Problem): Problem {
  const inside = where.file === SHOP_BOOK_FILE && where.pointer?.replace(/^\/rules\/0(?=\/|$)/, "");
  return new Problem(code, message, {
    where: inside === undefined || inside === false ? where : { pointer: inside },
    fix,
    others: others.map(inRule),
  });
}
