/** One word of a question, in the order of the text. */
export interface Word {
  /** As the builder typed it. */
  readonly text: string;
  /** Lower case, plain quotes and hyphens, possessive ending taken off. */
  readonly word: string;
  /** Punctuation between this word and the next: "," matters to lists, "?" to statements. */
  readonly after: string;
}

/** Longer questions are refused before they are read. */
export const MAX_CHARS = 2000;
/** Nobody asks one thing in more words; a longer text is several questions. */
export const MAX_WORDS = 50;

/**
 * The text cut into words. Dots, slashes, commas and hyphens stay inside a word when they join letters or
 * digits (`FR-3.crest.4`, `2-6`, `1/8`); everything else between words is punctuation.
 */
export function wordsOf(text: string): Word[] {
  const plain = text
    .normalize("NFKC")
    .replace(/[\u2018\u2019\u02bc\u0060\u00b4]/g, "'")
    .replace(/[\u2010-\u2015\u2212_]/g, "-")
    .replace(/[\u2026]|\.\.+/g, " - ")
    .replace(/[&+]/g, " and ");
  const words: Word[] = [];
  let at = 0;
  while (at < plain.length) {
    const start = at;
    while (at < plain.length && isInside(plain, at, start)) at++;
    const text = plain.slice(start, at);
    const gap = at;
    while (at < plain.length && !isStart(plain, at)) at++;
    const after = plain.slice(gap, at).replace(/\s+/g, "");
    if (text !== "") words.push({ text, word: withoutPossessive(text.toLowerCase()), after });
  }
  return words;
}

const ALNUM = /[\p{L}\p{N}]/u;

function isStart(text: string, at: number): boolean {
  if (ALNUM.test(text[at] ?? "")) return true;
  if (text[at] === "#") return isDigit(text[at + 1]);
  // ".125 in" starts with its point; "end.5" does not.
  return text[at] === "." && isDigit(text[at + 1]) && !ALNUM.test(text[at - 1] ?? "");
}

function isInside(text: string, at: number, start: number): boolean {
  const char = text[at] ?? "";
  if (ALNUM.test(char)) return true;
  if (at === start) return (char === "#" || char === ".") && isStart(text, at);
  const [before, next] = [text[at - 1] ?? "", text[at + 1] ?? ""];
  if (char === '"') return isDigit(before) && !ALNUM.test(next);
  if (char === "," || char === "/") return isDigit(before) && isDigit(next);
  if (char === "'" || char === "." || char === "-") return ALNUM.test(before) && ALNUM.test(next);
  return false;
}

function isDigit(char: string | undefined): boolean {
  return char !== undefined && char >= "0" && char <= "9";
}

function withoutPossessive(word: string): string {
  return word.endsWith("'s") && !CONTRACTED.has(word) ? word.slice(0, -2) : word;
}

/** Words whose 's is a verb; the lexicon takes them apart. */
const CONTRACTED: ReadonlySet<string> = new Set(
  "what's that's it's where's who's when's how's there's here's let's why's".split(" "),
);
