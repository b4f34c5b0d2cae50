import type { Finding } from "../../ruling/anomalies/finding.js";
import type { Departure } from "../../shop/departures.js";
import type { HistoryStep, RuleComment } from "../../shop/types.js";
import { counted, sentence } from "./grammar.js";
import type { RuleSayer } from "./rule-words.js";
import { sayRule } from "./rulings.js";

/** What stands on a review sheet and on the page that goes to a mentor. */
export const REVIEW_WORDS = {
  title: (rule: string, revision: number) => `Review of the shop rule “${rule}”, revision ${revision}`,
  ground: (kit: string, revision: string, version: number) =>
    `${kit}, kit revision ${revision}. As the shop book stood at version ${version}.`,
  proposed: (author: string, by: string, at: string) =>
    `Written by ${author}; proposed by ${by} on ${at.slice(0, 10)}.`,
  hash: (hash: string) => `Fingerprint of the rule: ${(hash.match(/.{4}/g) ?? []).slice(0, 8).join(" ")}`,
  onPaper:
    "This sheet puts nothing in force. The mentor enters the decision with their own key, after comparing revision and fingerprint with the screen.",
  advice:
    "The kit maker's data and current notices govern; the inspector or a licensed person decides on departures and repairs.",
  holdsAt: (holds: number, mayHold: number) =>
    `It holds at ${counted(holds, "hole")}${mayHold > 0 ? `; at ${counted(mayHold, "more hole")} a fact that is not known leaves it open` : ""}.`,
  nothingChanges: "Nothing would be otherwise here.",
  more: (count: number) => `… and ${count} more, which the screen shows.`,
  headings: {
    words: "The rule",
    changes: "New against the revision in force",
    problems: "What keeps it from coming into force",
    departures: "Departures from the manual or a notice",
    findings: "What was found about it",
    examples: "Its examples",
    impact: "What would be otherwise",
    earlier: "Said of it before",
    comments: "Comments",
    decision: "Decision",
  },
  none: {
    changes: "Nothing.",
    departures: "None.",
    findings: "Nothing odd.",
    examples: "It was not tried.",
  },
  parts: {
    "": "The rule as a whole",
    "/title": "Title",
    "/conditions": "Where it holds",
    "/event": "What it says",
    "/why": "Why",
    "/basis": "Basis",
    "/overrides": "Rules it goes before",
    "/departure": "Departure",
    "/examples": "Examples",
  } as Readonly<Record<string, string>>,
  accept: "Accept: it counts from now on",
  return: "Send back",
  name: "Name",
  date: "Date",
  signature: "Signature",
  reference: "Reference of the kit maker's agreement, if other than above",
  key: "Your key",
  sign: "Sign and save the answer",
  howToAnswer:
    "Read it, write comments, choose, and sign with your key. The answer is saved as a file; send that back. Your key is not saved and not sent.",
  savedAs: "Saved as a file. Send it back to the builder.",
  badKey: "That is not a key: ten letters and digits, a dot, and 43 more.",
  noComment: "To send it back, write at least one comment.",
  noChoice: "Choose whether to accept it or to send it back.",
  noSigning: "This browser cannot sign. Use a newer one, or: npm run key -- sign FILE.",
} as const;

const SEVERITIES: Readonly<Record<Finding["severity"], string>> = {
  error: "Wrong",
  warning: "Look at it",
  note: "Note",
};

/** "Look at it: where it holds, no rule says the rivet. Add …" */
export function sayFinding({ severity, said, fix }: Finding): string {
  return `${SEVERITIES[severity]}: ${sentence(said)} ${fix}`;
}

export function sayDeparture(
  { from, holes, declared, reference }: Departure,
  { titleOf }: RuleSayer,
): string {
  const title = titleOf(from);
  const other = title === null ? `the rule ${from}` : sayRule(title);
  return `From ${other} at ${counted(holes.length, "hole")}: ${
    !declared
      ? "not declared, so it cannot be accepted as it is"
      : reference === null
        ? "declared, and the kit maker's agreement is to be named by whoever accepts it"
        : "declared, with the kit maker's agreement"
  }.`;
}

export function sayExampleSeen({
  said,
  comesOut,
}: {
  readonly said: string;
  readonly comesOut: boolean;
}): string {
  return `${comesOut ? "Comes out" : "Does not come out"}: ${said}.`;
}

/** A comment with the part of the rule that it is about, and who made it when. */
export function sayComment({ at, text }: RuleComment, step: HistoryStep | null): string {
  const part = REVIEW_WORDS.parts[at ?? ""] ?? `At ${at}`;
  const from = step ? ` (${step.by}, ${step.at.slice(0, 10)}, revision ${step.revision})` : "";
  return `${part}: ${text}${from}`;
}
