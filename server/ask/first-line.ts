import type { FormAnswer } from "./types.js";
import { sentencesIn } from "./wording/grammar.js";

/** Longest first line of an answer, in characters, as far as its sentences allow. */
export const FIRST_LINE = 160;

/**
 * An answer whose first line is short: where it would be long, what the form has said in brief, else the sentences that it
 * begins with, as many as fit. What the first line leaves out is the first row, word for word, so that nothing is lost.
 */
export function withFirstLine({ brief, ...answer }: FormAnswer): FormAnswer {
  const said = sentencesIn(answer.headline);
  if (answer.headline.length <= FIRST_LINE) return answer;
  const headline = brief === undefined ? answer.headline : fitting(sentencesIn(brief)).join(" ");
  if (!answer.headline.startsWith(headline))
    return { ...answer, headline, rows: before(answer, "in full", said) };
  const first = fitting(said);
  if (first.length === said.length) return answer;
  return { ...answer, headline: first.join(" "), rows: before(answer, "also", said.slice(first.length)) };
}

/** A brief for where the first sentence is too long; none where it tells more than the brief would. */
export function briefFor(headline: string, brief: string): Pick<FormAnswer, "brief"> {
  return isLong(headline) ? { brief } : {};
}

function isLong(headline: string): boolean {
  return (sentencesIn(headline)[0]?.length ?? 0) > FIRST_LINE;
}

/** As many sentences as fit a first line, one at the least. */
function fitting(said: readonly string[]): readonly string[] {
  let count = 1;
  while (count < said.length && said.slice(0, count + 1).join(" ").length <= FIRST_LINE) count += 1;
  return said.slice(0, count);
}

/** A row before the others: the rest of the first line ("also"), or all of what was said in brief ("in full"). */
function before({ rows }: FormAnswer, kind: "also" | "in full", said: readonly string[]): FormAnswer["rows"] {
  return [{ holes: [], where: kind, what: said.join(" "), kind }, ...rows];
}
