import type { Answer, AnswerRow, Job, TraceEntry } from "./ask/types.js";
import { sentence } from "./ask/wording/grammar.js";
import { sayBasis, sayRule } from "./ask/wording/rulings.js";

/** Longer lists of reasons are for the page, where they can be folded. */
const MOST_REASONS = 6;
const INDENT = "  ";

/**
 * An answer as plain text for the terminal: the reading, the headline, the rows as a table, cautions, the
 * short why, sources and what can be asked next.
 * @param width  columns to keep within
 */
export function answerText(answer: Answer, job: Job, width: number): string {
  const { verdict, headline, reading, rows, cautions, choices, corrected, notUnderstood, followUps } = answer;
  // Words that stood beside a question that was read are not a matter of understanding it.
  const isWhole = answer.outcome === "answered" || answer.outcome === "proposal";
  const blocks = [
    ...(reading ? [wrap(`Read as: ${reading.said}`, width)] : []),
    ...(corrected ?? []).map(({ from, to }) => wrap(`Read “${from}” as “${to}”.`, width)),
    wrap(verdict ? `${verdict.toUpperCase()}: ${headline}` : headline, width),
    ...(notUnderstood && notUnderstood.length > 0
      ? [wrap(`${isWhole ? "Not used" : "Not understood"}: ${notUnderstood.join(", ")}`, width)]
      : []),
    table(rows, width),
    list(
      "Choose one:",
      (choices ?? []).map(({ said }, i) => `${i + 1}. ${said}`),
      width,
    ),
    list("Cautions", cautions.map(dashed), width),
    list("Why", reasons(answer.trace, job).map(dashed), width),
    list(
      "You may ask next",
      followUps.map(({ said }) => dashed(said)),
      width,
    ),
  ];
  return blocks.filter((block) => block !== "").join("\n\n");
}

function dashed(text: string): string {
  return `- ${text}`;
}

function list(title: string, items: readonly string[], width: number): string {
  if (items.length === 0) return "";
  return [title, ...items.map((item) => wrap(item, width, INDENT, `${INDENT}${INDENT}`))].join("\n");
}

/** Rules that carried the answer, each once, with what they say and where they come from. */
function reasons(trace: readonly TraceEntry[], { rulebook }: Job): readonly string[] {
  const ids = trace.flatMap((entry) => {
    if (entry.kind === "ruling") return [...entry.ruleIds];
    return entry.kind === "order" || entry.kind === "hold" ? [entry.rule] : [];
  });
  const rules = [...new Set(ids)].flatMap((id) => rulebook.byId.get(id) ?? []);
  const said = rules.map(
    ({ title, basis, why }) => `${sayRule(title)} (${sayBasis(basis)}): ${sentence(why)}`,
  );
  const more = said.length - MOST_REASONS;
  return more > 0 ? [...said.slice(0, MOST_REASONS), `and ${more} more; the page shows all of it`] : said;
}

/** Two columns, where and what; one below the other when the terminal is narrow. */
function table(rows: readonly AnswerRow[], width: number): string {
  if (rows.length === 0) return "";
  const left = Math.min(Math.max(...rows.map(({ where }) => where.length)), Math.floor(width * 0.45));
  const right = width - INDENT.length - left - 3;
  if (right < 24) {
    return rows
      .flatMap(({ where, what }) => [wrap(where, width, INDENT), wrap(what, width, `${INDENT}${INDENT}`)])
      .join("\n");
  }
  return rows
    .flatMap(({ where, what }) => {
      const [places, words] = [wrap(where, left).split("\n"), wrap(what, right).split("\n")];
      return Array.from({ length: Math.max(places.length, words.length) }, (_, i) =>
        `${INDENT}${(places[i] ?? "").padEnd(left)} ${i === 0 ? "|" : " "} ${words[i] ?? ""}`.trimEnd(),
      );
    })
    .join("\n");
}

/** Breaks a text between words; a word longer than the line keeps a line of its own. */
export function wrap(text: string, width: number, first = "", further = first): string {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/).filter((one) => one !== "")) {
    const indent = lines.length === 0 ? first : further;
    const longer = line === "" ? `${indent}${word}` : `${line} ${word}`;
    if (line !== "" && longer.length > width) {
      lines.push(line);
      line = `${further}${word}`;
    } else line = longer;
  }
  return [...lines, line].filter((one) => one !== "").join("\n");
}
