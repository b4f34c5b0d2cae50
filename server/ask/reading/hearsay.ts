import { lexicon } from "../lexicon.js";
import { clausesOf, isChatter } from "./lead-in.js";
import type { NameIndex } from "./names.js";
import type { Token } from "./tokens.js";
import { isAsking } from "./words.js";

/** The text as the builder's own words, and whether somebody in it asks. */
export interface OwnWords {
  readonly tokens: readonly Token[];
  readonly asks: boolean;
}

/**
 * Others ask and report through the builder: "mum wants to know which …", "Dave says rib 3 is deburred", "my son
 * pinned …". Whoever they are, the same is asked and the same is stated; what somebody only
 * thinks stays a thought.
 */
export function asOwnWords(tokens: readonly Token[], names: NameIndex): OwnWords {
  const opening = openingOf(tokens);
  const person = personAt(tokens, opening, names);
  if (person === 0) return { tokens, asks: false };
  const said = tokens.slice(opening + person);
  const lead = tokens.slice(0, opening);
  const isSelf = person === 1 && SELF.test(tokens[opening]?.word ?? "");
  const asking = isSelf ? 0 : askingAt(said);
  if (asking > 0) {
    const rest = said.slice(asking);
    const whether = /^(if|whether)$/.test(rest[0]?.word ?? "") ? 1 : 0;
    if (whether > 0 || isAsking(rest[0]?.word ?? ""))
      return { tokens: [...lead, ...rest.slice(whether)], asks: true };
  }
  if (isSelf) return { tokens, asks: false };
  const saying = sayingAt(said);
  // "My wife says I'm obsessed" speaks of the builder, not of the work.
  if (saying && SELF.test(said[saying.length]?.word ?? "")) return { tokens, asks: false };
  if (saying) return { tokens: [...lead, ...saying.doubt, ...said.slice(saying.length)], asks: false };
  if (!isName(tokens[opening] as Token, names) && mayDo(said))
    return { tokens: [...lead, ...asMine(tokens[opening] as Token, said)], asks: false };
  return { tokens, asks: false };
}

/** "Hi", "right,", "so": what may stand before the person. */
function openingOf(tokens: readonly Token[]): number {
  const clauses = clausesOf(tokens);
  const first = clauses.findIndex((clause) => !isChatter(clause.map(({ word }) => word)));
  const from = clauses.slice(0, Math.max(first, 0)).flat().length;
  const at = tokens.findIndex(
    ({ word }, n) => n >= from && !lexicon().isChatter(word) && lexicon().weight(word) !== "quiet",
  );
  return tokens[at - 1]?.word === "the" ? at - 1 : Math.max(at, 0);
}

/** How many tokens from here name a person; 0 for none: "mum", "my old man", "the missus", "Dave", "she", "me and my brother". */
function personAt(tokens: readonly Token[], at: number, names: NameIndex): number {
  const one = SELF.test(tokens[at]?.word ?? "") ? 1 : oneAt(tokens, at, names);
  const and = at + one;
  if (one === 0 || tokens[and]?.word !== "and") return one;
  const other = SELF.test(tokens[and + 1]?.word ?? "") ? 1 : oneAt(tokens, and + 1, names);
  return other > 0 ? one + 1 + other : one;
}

/** The builder alone is nobody else: only "me and my brother" is. */
const SELF = /^(i|me|we)$/;

function oneAt(tokens: readonly Token[], at: number, names: NameIndex): number {
  const token = tokens[at];
  if (!token || token.id || token.size) return 0;
  if (/^(my|our|the)$/.test(token.word)) {
    const adjective = /^(old|dear|little|young|good|lovely|poor|elder|big|new|grand)$/.test(
      tokens[at + 1]?.word ?? "",
    )
      ? 1
      : 0;
    const noun = tokens[at + 1 + adjective];
    const isPerson =
      noun !== undefined &&
      !names.knows(noun.word) &&
      (lexicon().isPerson(noun.word) || (token.word !== "the" && lexicon().isAddress(noun.word)));
    return isPerson ? 2 + adjective : 0;
  }
  if (/^(he|she|they)$/.test(token.word)) return 1;
  if (names.knows(token.word)) return 0;
  return (lexicon().isPerson(token.word) && lexicon().isKin(token.word)) || isName(token, names) ? 1 : 0;
}

/** A word that nothing knows, as typed, since it may have been taken for a misspelling: with "says" after it, a name. */
function isName({ text }: Token, names: NameIndex): boolean {
  const word = text.toLowerCase();
  return /^[a-z]+$/.test(word) && !lexicon().knows(word) && !names.knows(word);
}

/** So many tokens say that somebody asks: "wants to know", "is asking", "does not get". */
function askingAt(said: readonly Token[]): number {
  const line = said
    .slice(0, 8)
    .map(({ word }) => word)
    .join(" ");
  return wordsIn(
    /^((just|now|really|still|also) )*((is|are|was|were|has been|keeps?|kept|would|will|did|do|does|can|could) )?((just|now|really|still|forever|always) )*(wants?( me)?( to)? (know|ask|tell (him|her|them|you))|(wants?|needs?) (to (know|ask)|telling)|asks?|asked|asking|wonders?|wondered|wondering|(like|love) to know|inquires?|enquires?|curious|needs? to know|dying to know|not (get|see|know|understand|remember|recall|believe))( (me|us|you|about|again))*(?= )/.exec(
      `${line} `,
    )?.[0],
  );
}

/** So many tokens say that somebody says something, and what that leaves in doubt. */
function sayingAt(said: readonly Token[]): { length: number; doubt: readonly Token[] } | null {
  const line = said
    .slice(0, 6)
    .map(({ word }) => word)
    .join(" ");
  const says = wordsIn(
    /^((just|has|have|did|also|now) )*(says?|said|tells (me|us)|told (me|us)|mentions|mentioned|reports|reported|shouts|shouted|texted|texts)( (me|that|to me))*(?= )/.exec(
      `${line} `,
    )?.[0],
  );
  if (says > 0) return { length: says, doubt: [] };
  const thinks = wordsIn(
    /^((just|also|now) )*(thinks|thought|reckons|reckoned|believes|believed|claims|claimed|guesses|insists|insisted|swears|swore|suspects|figures|assumes|assumed)( that)?(?= )/.exec(
      `${line} `,
    )?.[0],
  );
  const [first] = said;
  return thinks > 0 && first
    ? {
        length: thinks,
        doubt: [
          { ...first, word: "i", after: "" },
          { ...first, word: "think", after: "" },
        ],
      }
    : null;
}

function wordsIn(found: string | undefined): number {
  return found === undefined ? 0 : found.trim().split(" ").length;
}

/** What a person does with the work: "has pinned", "just deburred"; not "has been pinned". */
function mayDo(said: readonly Token[]): boolean {
  const at = said.findIndex(({ word }) => !/^(has|have|had|just|already|now|also|both|all)$/.test(word));
  const [verb, object] = [said[at], said[at + 1]];
  return (
    verb !== undefined &&
    object !== undefined &&
    !/[,.;:!?]/.test(verb.after) &&
    lexicon()
      .senses(verb.word)
      .some(({ past }) => past)
  );
}

function asMine(person: Token, said: readonly Token[]): readonly Token[] {
  const own = said.map((token, at) =>
    at === 0 && token.word === "has" ? { ...token, word: "have" } : token,
  );
  return [{ ...person, word: "i", after: "" }, ...own];
}
