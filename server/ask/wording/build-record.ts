import type { RuleInFile } from "../../ruling/schema.js";
import type { HoldLine, RecordLine, RuleInUse, When } from "../../shop/record.js";
import type { Job } from "../types.js";
import { counted, listed, sentences } from "./grammar.js";
import { attributeLabel } from "./measures.js";
import { namesOf } from "./names.js";
import { sayRule, sayValueShort } from "./rulings.js";

/** What stands on the build record besides what was done. */
export const RECORD_WORDS = {
  columns: ["When (UTC)", "Who", "What", "Where", "Ruled at the time", "Rules"],
  sections: {
    work: "What was done",
    holds: "Holes that stay open, and their ends",
    departures: "Departures from the manual or a notice",
    rules: "The shop's own rules, while they were in force",
    signed: "Looked at",
  },
  none: {
    work: "Nothing was recorded.",
    holds: "No rule keeps a hole open.",
    departures: "None.",
    rules: "None.",
  },
  notRuled: "not written down at the time",
  purpose:
    "What the builder told this program, in the order it was told, with what the rules said at the time. It helps to keep a builder's log and does not replace one: no form is laid down for that, tasks count, pictures are recommended, and paid help must be noted (FAA AC 20-27G and a builders' association that quotes it). Nothing here is an approval.",
  signLine: "Name, date, signature:",
} as const;

export function sayRecordTitle({ kit, assembly }: Job): string {
  return `Build record: ${kit.name}, ${assembly.name}`;
}

/** Which state of kit and shop book it tells of; the last entry's hash proves later that nothing was changed. */
export function sayRecordGround({ kit, version }: Job, head: string | null): string {
  return sentences(
    `${kit.name}, ${kit.revision} (${kit.dated})`,
    `shop book, version ${version}${head ? `, last entry ${head}` : ""}`,
  );
}

export function sayRecordSum(counts: { holes: number; set: number; pinned: number; open: number }): string {
  const { holes, set, pinned, open } = counts;
  return sentences(
    `${counted(holes, "hole")}: ${set} set, ${pinned > 0 ? `${pinned} pinned, ` : ""}${open} open`,
  );
}

/** "2031-05-04 10:00". */
export function sayTime(at: string): string {
  return at.slice(0, 16).replace("T", " ");
}

/** What was done, and where. */
export function sayLine(job: Job, line: RecordLine): { readonly what: string; readonly where: string } {
  const names = namesOf(job);
  const rivets = (holes: readonly string[]): string => counted(holes.length, "rivet");
  switch (line.kind) {
    case "set":
      return { what: `${rivets(line.holes)} set`, where: placeOf(job, line.holes) };
    case "pinned":
      return { what: `${counted(line.holes.length, "hole")} pinned`, where: placeOf(job, line.holes) };
    case "unset":
      return {
        what:
          line.was === "set"
            ? `${rivets(line.holes)} out again`
            : `${counted(line.holes.length, "hole")} ${line.was === "pinned" ? "no longer pinned" : "told to be open"}`,
        where: placeOf(job, line.holes),
      };
    case "prep":
      return {
        what: line.done ? names.gate(line.gate) : `not done after all: ${names.gate(line.gate)}`,
        where: names.parts(line.parts),
      };
    case "milestone":
      return {
        what: line.reached
          ? `reached: ${names.milestone(line.milestone)}`
          : `not reached after all: ${names.milestone(line.milestone)}`,
        where: "",
      };
    case "note": {
      const about = line.hole !== null ? placeOf(job, [line.hole]) : "";
      return {
        what: `note: ${line.text}`,
        where: about || (line.part === null ? "" : names.part(line.part)),
      };
    }
    case "rule":
      return {
        what: `shop rule ${sayRuleName(line.rule, line.revision)} ${line.inForce ? "came into force" : ["was retired", ...line.why].join(": ")}`,
        where: "",
      };
  }
}

/** Holes that a revised kit no longer has are named by their ids. */
function placeOf({ kit, assembly }: Job, holes: readonly string[]): string {
  const known = new Set(assembly.holes.map(({ id }) => id));
  const gone = holes.filter((hole) => !known.has(hole));
  const there = namesOf({ kit, assembly }).everywhere(holes);
  return [there, ...(gone.length > 0 ? [`${listed(gone)} (not in the kit any more)`] : [])]
    .filter((text) => text !== "")
    .join("; ");
}

type RuledThen = Extract<RecordLine, { kind: "set" }>["ruled"];

/** "treatment: dimple, final diameter: 4.1 mm, head: flush; not settled: rivet". */
export function sayRuledThen(job: Job, ruled: RuledThen): string {
  if (!ruled) return RECORD_WORDS.notRuled;
  const names = namesOf(job);
  const settled = inReadingOrder(Object.entries(ruled.settled)).map(
    ([attribute, value]) =>
      `${attributeLabel(attribute)}: ${sayValueShort(attribute, value, names, job.kit.units)}`,
  );
  const open = ruled.open.length > 0 ? `not settled: ${listed(ruled.open.map(attributeLabel))}` : "";
  return [settled.join(", "), open].filter((text) => text !== "").join("; ");
}

/** As a builder goes about it; what is not named here comes last. */
const READING_ORDER = ["treatment", "under", "finalDiameterMm", "rivet", "head", "hold"];

function inReadingOrder<T>(entries: readonly (readonly [string, T])[]): readonly (readonly [string, T])[] {
  const rank = ([name]: readonly [string, T]): number => {
    const place = READING_ORDER.indexOf(name);
    return place < 0 ? READING_ORDER.length : place;
  };
  return [...entries].sort((a, b) => rank(a) - rank(b));
}

/** "flush-under-seal (C), shop-1 (2)": rules by id, each with the revision that counted. */
export function sayRulesThen(ruled: RuledThen): string {
  return (ruled?.rules ?? [])
    .map(({ rule, revision }) => (revision === null ? rule : `${rule} (${revision})`))
    .join(", ");
}

export function sayHoldLine(job: Job, hold: HoldLine): string {
  const names = namesOf(job);
  const { status, until, ended, open, setAfter, setMeanwhile } = hold;
  const what =
    status !== "settled"
      ? `Whether these stay open is ${status === "conflict" ? "in conflict" : "undecided"}`
      : `Open until ${names.milestone(until ?? "")}: ${ended ? `reached ${sayTime(ended.at)}, told by ${ended.by}` : "not reached"}`;
  return sentences(
    what,
    open.length > 0 && `open: ${placeOf(job, open)}`,
    setAfter.length > 0 && `set afterwards: ${placeOf(job, setAfter)}`,
    setMeanwhile.length > 0 &&
      `set ${status === "settled" ? "while they were to stay open" : "all the same"}: ${placeOf(job, setMeanwhile)}`,
  );
}

export function sayRuleInUse(job: Job, used: RuleInUse): string {
  const { rule, revision, author, from, until, holes } = used;
  const titles = job.rulebook.byId;
  return sentences(
    `${sayRuleName(rule, revision)}, written by ${author}`,
    `accepted by ${sayWho(from)}${until ? `, in force until ${sayTime(until.at)}` : ", in force"}`,
    rule.departure &&
      `it departs from ${listed(rule.departure.from.map((id) => sayRule(titles.get(id)?.title ?? id)))}; the kit maker's agreement: ${used.reference}`,
    holes.length > 0 ? `rivets set on its word: ${placeOf(job, holes)}` : "no rivet was set on its word",
  );
}

function sayWho({ at, by }: When): string {
  return `${by} on ${sayTime(at)}`;
}

function sayRuleName({ id, title }: RuleInFile, revision: number): string {
  return `${sayRule(title)} (${id}, revision ${revision})`;
}
