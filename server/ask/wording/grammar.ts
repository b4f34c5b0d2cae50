/** Plain English for counts, lists and ranges; nothing here knows rivets. */

/** `1 hole`, `3 holes`, `no holes`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count === 0 ? "no" : count} ${count === 1 ? one : many}`;
}

/** The word alone in the right number: `rivet`, `rivets`. */
export function plural(count: number, one: string, many = `${one}s`): string {
  return count === 1 ? one : many;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(items: readonly string[], joint: "and" | "or" = "and"): string {
  if (items.length <= 1) return items[0] ?? "";
  return `${items.slice(0, -1).join(", ")} ${joint} ${items[items.length - 1]}`;
}

/** `2–6`, `1, 3 and 5–7` for whole numbers in any order; two neighbours stay two: `2 and 3`. */
export function ranges(numbers: readonly number[]): string {
  const sorted = [...new Set(numbers)].sort((a, b) => a - b);
  const runs: { first: number; last: number }[] = [];
  for (const number of sorted) {
    const run = runs.at(-1);
    if (run && number === run.last + 1) run.last = number;
    else runs.push({ first: number, last: number });
  }
  return listed(
    runs.flatMap(({ first, last }) => {
      if (last - first >= 2) return [`${first}–${last}`];
      return last === first ? [`${first}`] : [`${first}`, `${last}`];
    }),
  );
}

/** With a capital at its start. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A sentence: capital first, full stop last, unless it ends in one already. */
export function sentence(text: string): string {
  const trimmed = text.trim();
  return `${capital(trimmed)}${/[.!?:]$/.test(trimmed) ? "" : "."}`;
}

/** Texts as sentences, empty ones left out. */
export function sentences(...texts: readonly (string | null | undefined | false)[]): string {
  return texts
    .filter((text): text is string => typeof text === "string" && text.trim() !== "")
    .map(sentence)
    .join(" ");
}

/** With its article, as in running text: `the servo mount`, but `rib 4` and `a doubler` stay as they are. */
export function the(name: string): string {
  return /\d$|^(the|a|an|no|each|every|all|left|right) /i.test(name) ? name : `the ${name}`;
}

/** Text of a list that may be long: the first few, then how many more. */
export function firstFew(items: readonly string[], few: number, more: (rest: number) => string): string {
  if (items.length <= few) return items.join("; ");
  return `${items.slice(0, few).join("; ")}; ${more(items.length - few)}`;
}

/** A text's sentences, joined by blanks again the text itself; "No. 30" ends none. */
export function sentencesIn(text: string): readonly string[] {
  return text.split(/(?<=[.?!])(?<!\bNo\.) (?=[A-Z“\d])/);
}
