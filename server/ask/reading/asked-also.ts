import type { Token } from "./tokens.js";

/** What a question asks beside itself: "…, and until when?", "and if not, why?". */
export type Also = "when" | "which" | "why" | "how-many";

/**
 * "Which holes stay open, and until when?": the question without the asking words that follow it, and what those ask;
 * null when none follow. Whether the answer tells it anyway is for the form to say.
 */
export function askedAlso(
  tokens: readonly Token[],
): { readonly tokens: readonly Token[]; readonly also: Also } | null {
  for (let from = Math.max(1, tokens.length - LONGEST); from < tokens.length; from++) {
    const before = tokens[from - 1];
    const comma = /[,;?-]/.test(before?.after ?? "");
    const words = tokens.slice(from).map(({ word }) => word);
    const [first = ""] = words;
    const rest = (/^(and|or)$/.test(first) ? words.slice(1) : comma ? words : []).join(" ");
    const asked = rest.replace(/^(if|when) (so|not|yes|no|any) /, "");
    const also = SAYINGS.find(([, sayings]) => sayings.has(asked))?.[0];
    if (!before || also === undefined) continue;
    return { tokens: [...tokens.slice(0, from - 1), { ...before, after: "" }], also };
  }
  return null;
}

const LONGEST = 8;

const SAYINGS: readonly (readonly [Also, ReadonlySet<string>])[] = (
  [
    [
      "when",
      "when,when exactly,when is that,when will that be,when would that be,until when,till when,til when,how long,how long for,for how long,at what point,at which point,at what stage,by when,after what,until what",
    ],
    [
      "which",
      "which,which ones,which one,what,where,which rivets,which holes,which are they,what are they,where are they",
    ],
    [
      "why",
      "why,why not,why so,why is that,what for,how come,for what reason,what is the reason,what is stopping me,what stops me",
    ],
    ["how-many", "how many,how often,how many times,how many of them,how many are there"],
  ] as const
).map(([also, sayings]) => [also, new Set(sayings.split(","))]);
