import type { Token } from "./tokens.js";

/**
 * "Which pops", "pop rivets", "a flush pop": a rivet called after how it is set becomes the rivet, so that its name is
 * not taken for the work. "Do I pop rib 3" stays work.
 * @source  common practice, no source
 */
export function withRivetNouns(tokens: readonly Token[]): readonly Token[] {
  return tokens.flatMap((token, at): Token[] => {
    const [before, next] = [tokens[at - 1], tokens[at + 1]];
    if (token.id || !isSetting(token.word)) return [token];
    const isApart = before === undefined || /[,.;:!?-]/.test(before.after);
    const joined = token.after === "" || token.after === "-";
    if (joined && /^(pop|pull|blind)$/.test(token.word) && /^rivets?$/.test(next?.word ?? ""))
      return !isApart && WORKING.test(before.word) ? [token] : [];
    if (/^pops?$/.test(token.word) && !isApart && (before.size || NAMING.test(before.word)))
      return [{ ...token, word: token.word === "pops" ? "rivets" : "rivet" }];
    return [token];
  });
}

function isSetting(word: string): boolean {
  return /^(pops?|pull|blind)$/.test(word);
}

/** After these it is what somebody does: "do I pop rivets into rib 3". */
const WORKING = /^(i|we|you|to|and|then|now|can|may|must|should|could|not|already|just|please)$/;

/** After these it is a thing. */
const NAMING =
  /^(which|what|many|more|of|the|a|any|flush|domed|dome|countersunk|head|headed|size|length|sort|kind|type|number|these|those)$/;
