import { lexicon } from "../lexicon.js";
import type { Token } from "./tokens.js";
import { isAsking } from "./words.js";

/**
 * Who wants to know is no part of the question: "mum wants to know whether …", "she says the film is off rib 1", "my lad is
 * asking if …". The tokens without it, and whether somebody asks. Somebody who only doubts or hopes tells nothing, and what
 * somebody says of a rule may be what is asked about, so only plain saying and asking is left out.
 */
export function withoutSpeaker(tokens: readonly Token[]): {
  readonly tokens: readonly Token[];
  readonly asks: boolean;
} {
  let at = 0;
  const word = (n = 0): string => tokens[at + n]?.word ?? "";
  while (OPENING.test(word())) at++;
  const start = at;
  if (/^(my|our|the)$/.test(word())) at++;
  if (!isSomebody(word()) || tokens[at]?.id) return { tokens, asks: false };
  at++;
  if (/^(just|here|now|also|still|then)$/.test(word())) at++;
  const verb = VERBS.find(({ words }) => words.every((one, n) => word(n) === one));
  if (!verb) return { tokens, asks: false };
  at += verb.words.length;
  const follows = /^(if|whether)$/.test(word());
  if (verb.asks && !follows && !isAsking(word()) && !/[,:]/.test(tokens[at - 1]?.after ?? ""))
    return { tokens, asks: false };
  if (follows || word() === "that") at++;
  // "She says so" says nothing by itself.
  if (tokens.length - at < 2) return { tokens, asks: false };
  return { tokens: [...tokens.slice(0, start), ...tokens.slice(at)], asks: verb.asks };
}

const OPENING = /^(and|but|so|hi|hello|hey|now|well|ok|okay|right|oh|um|er)$/;

function isSomebody(word: string): boolean {
  return /^(he|she|they)$/.test(word) || lexicon().isPerson(word);
}

const VERBS = [
  "says",
  "said",
  "tells me",
  "told me",
  "reports",
  "asks",
  "asked",
  "is asking",
  "was asking",
  "keeps asking",
  "wants to know",
  "wanted to know",
  "would like to know",
  "wonders",
  "is wondering",
  "was wondering",
  "does not get",
  "does not understand",
  "does not see",
  "can not see",
  "can not understand",
  "do not get",
  "do not understand",
].map((saying) => ({
  words: saying.split(" "),
  asks: !/^(says|said|tells|told|reports)/.test(saying),
}));
