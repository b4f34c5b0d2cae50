import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { Problem } from "../problem.js";
import { isRecord } from "../ruling/json.js";
import type { RuleComment } from "../shop/types.js";
import { type Decision, signAnswer } from "./review-answer.js";
import { REVIEW_FORMAT, type ReviewFile } from "./types.js";

/** @throws REVIEW_UNREADABLE */
export function readReview(file: string): ReviewFile {
  const unreadable = (what: string): Problem =>
    new Problem("REVIEW_UNREADABLE", what, { where: { file }, fix: "Name a review file as it was sent." });
  let value: unknown;
  try {
    value = JSON.parse(readFileSync(file, "utf8"));
  } catch (error) {
    throw unreadable(`The review cannot be read: ${(error as Error).message}`);
  }
  if (!isRecord(value) || value.format !== REVIEW_FORMAT || !isRecord(value.shown)) {
    throw unreadable(`This is not a review file ("${REVIEW_FORMAT}").`);
  }
  return value as unknown as ReviewFile;
}

/** The review as a mentor reads it on the terminal. */
export function reviewText({ text, revision, author, shown }: ReviewFile): string {
  const list = (lines: readonly string[]): string => lines.map((line) => `  - ${line}`).join("\n");
  const parts = [
    `“${text.title}”, revision ${revision}, by ${author}`,
    list(shown.words),
    list([...shown.problems, ...shown.departures, ...shown.findings, ...shown.examples]),
    ...(shown.changes ? [list(shown.changes)] : []),
    ...shown.impact.map(({ assembly, lines }) => `  ${assembly}:\n${list(lines)}`),
  ];
  return parts.filter((part) => part !== "").join("\n\n");
}

/** A comment as it is typed: "TEXT", or "/why: TEXT" for a part of the rule. */
export function readComment(typed: string): RuleComment {
  const [, at, text] = /^(\/\S*?):\s+(\S[\s\S]*)$/.exec(typed) ?? [];
  return at === undefined || text === undefined ? { at: null, text: typed } : { at, text };
}

/**
 * Signs a review and writes the answer beside it.
 * @returns where it was written
 * @throws  KEY_UNREADABLE, ANSWER_NOT_WRITTEN (there is one already, or the folder cannot be written)
 */
export function writeAnswer(file: string, review: ReviewFile, decision: Decision, key: string): string {
  const answer = signAnswer(review, decision, key);
  const name = `answer-${String(review.rule).replace(/[^A-Za-z0-9-]/g, "")}-${Number(review.revision)}.json`;
  const path = join(dirname(file), name);
  try {
    writeFileSync(path, `${JSON.stringify(answer, null, 2)}\n`, { flag: "wx" });
  } catch (error) {
    throw new Problem("ANSWER_NOT_WRITTEN", `The answer was not written: ${(error as Error).message}`, {
      where: { file: path },
      fix: "Move the answer that is there out of the way, or sign a copy of the review in another folder.",
    });
  }
  return path;
}
