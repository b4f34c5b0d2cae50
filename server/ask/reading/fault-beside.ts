import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import { itemsOf } from "./items.js";
import { clausesOf } from "./lead-in.js";
import { mishapChoices, tellsMore, tellsOfRivet } from "./mishaps.js";
import type { Token } from "./tokens.js";
import { onlyReading, type Standing, said } from "./whole.js";
import { opensQuestion } from "./words.js";

/**
 * "May I close the skin? I bent a rivet": a fault told of a rivet, beside a question whether something may be done. It
 * asks nothing of strength, though it speaks of what bends and breaks. What helps with the fault, then the question.
 * @returns  null where more is asked than whether it may be done, or the fault is only supposed
 */
export function faultBeside(tokens: readonly Token[], standing: Standing): readonly Asked[] | null {
  const { names } = standing.setting;
  const alone: Standing = { setting: { ...standing.setting, before: null, asks: true }, before: null };
  const clauses = clausesOf(tokens).map(withoutJoining);
  for (const [at, clause] of clauses.entries()) {
    for (const [before, own] of endsOf(clause)) {
      const may = onlyReading(said(own, alone), alone);
      if (may?.form !== "may-i") continue;
      const told = [...clauses.slice(0, at), before, ...clauses.slice(at + 1)].filter(
        ({ length }) => length > 0,
      );
      const items = itemsOf(told.flat(), names);
      if (told.some(asksOrSupposes) || !tellsOfRivet(items) || tellsMore(items)) continue;
      const choices = mishapChoices(items, may, names);
      if (choices.length > 0) return [...choices, may];
    }
  }
  return null;
}

/** The whole clause, and what of it begins with the verb of a question: "a stem broke off | may I close it". */
function endsOf(clause: readonly Token[]): readonly (readonly [readonly Token[], readonly Token[]])[] {
  return clause.flatMap(({ word }, at) =>
    at === 0 || opensQuestion(word) ? [[clause.slice(0, at), clause.slice(at)] as const] : [],
  );
}

function withoutJoining(clause: readonly Token[]): readonly Token[] {
  return /^(but|so|and)$/.test(clause[0]?.word ?? "") ? clause.slice(1) : clause;
}

function asksOrSupposes(clause: readonly Token[]): boolean {
  const [first] = clause;
  return opensQuestion(first?.word ?? "") || clause.some(({ word }) => lexicon().isOf(word, "condition"));
}
