import type { TraceEntry } from "../server/ask/types.js";
import type { ApproachReach, Blocker } from "../server/reach/types.js";
import type { Basis, ClaimTrace, ConditionTrace, Truth } from "../server/ruling/types.js";
import { h } from "./dom.js";
import type { Names } from "./names.js";
import { capital, counted, GROUPS, sayValue } from "./words.js";

type Ruling = Extract<TraceEntry, { kind: "ruling" }>;
type Reached = Extract<TraceEntry, { kind: "reach" }>;

/** The evidence behind an answer, piece by piece. */
export function traceList(trace: readonly TraceEntry[], names: Names): HTMLElement {
  const titles = ruleTitles(trace);
  return h("ol", { class: "trace" }, ...trace.map((entry) => h("li", {}, ...pieces(entry, names, titles))));
}

type Titles = ReadonlyMap<string, string>;

function pieces(entry: TraceEntry, names: Names, titles: Titles): readonly (Node | string)[] {
  switch (entry.kind) {
    case "ruling":
      return ruling(entry, names, titles);
    case "reach":
      return reached(entry, names);
    case "order":
      return [
        head(truthSign(entry.verdict), entry.title),
        h("p", { class: "trace-holes" }, names.holes(entry.holes)),
        h("p", {}, entry.why),
      ];
    case "hold":
      return [
        head(null, `Held open until ${names.thing(entry.until)}`),
        h("p", { class: "trace-holes" }, names.hole(entry.hole)),
        h("p", {}, entry.why),
        h("p", { class: "trace-rule" }, "Rule: ", h("code", {}, entry.rule)),
      ];
    case "prep":
      return [
        head(
          truthSign(entry.done ? "true" : "false"),
          `${names.part(entry.part)}: ${names.thing(entry.gate)} ${entry.done ? "is done" : "is not done yet"}`,
        ),
      ];
    case "note":
      return [head(null, `Note: ${entry.title}`)];
  }
}

function ruling(entry: Ruling, names: Names, titles: Titles): readonly Node[] {
  const value = entry.value === null ? "" : `: ${sayValue(entry.value, names)}`;
  return [
    head(null, `${capital(names.fact(entry.attribute))}${value} (${entry.status})`),
    h("p", { class: "trace-holes" }, names.holes(entry.holes)),
    ...(entry.missing.length > 0
      ? [
          h(
            "p",
            { class: "trace-missing" },
            `Not known: ${entry.missing.map((fact) => names.fact(fact)).join(", ")}`,
          ),
        ]
      : []),
    ...claimList(entry.claims, { names, titles, sums: sumsIn(entry) }),
  ];
}

/** The sums behind an entry's facts in words, by fact. */
type Sums = ReadonlyMap<string, string>;

/** What it takes to say a ruling. */
interface Saying {
  readonly names: Names;
  readonly titles: Titles;
  readonly sums: Sums;
}

function sumsIn({ figures }: Ruling): Sums {
  return new Map((figures ?? []).map(({ fact, said }) => [fact, said]));
}

/** Rules that speak here, the prevailing first; those whose conditions do not hold are folded away. */
function claimList(claims: readonly ClaimTrace[], saying: Saying): HTMLElement[] {
  const speaking = claims.filter(({ verdict }) => verdict !== "false");
  const silent = claims.filter(({ verdict }) => verdict === "false");
  const order = ({ verdict, lostTo }: ClaimTrace): number =>
    verdict === "unknown" ? 2 : lostTo.length > 0 ? 1 : 0;
  return [
    ...speaking.sort((a, b) => order(a) - order(b)).map((claim) => claimed(claim, saying)),
    ...(silent.length > 0
      ? [
          h(
            "details",
            { class: "silent" },
            h("summary", {}, `${counted(silent.length, "rule does", "rules do")} not apply here`),
            ...silent.map((claim) => claimed(claim, saying)),
          ),
        ]
      : []),
  ];
}

function claimed(claim: ClaimTrace, saying: Saying): HTMLElement {
  const { names, titles } = saying;
  const title = (rule: string): string => `“${titles.get(rule) ?? rule}”`;
  const versus = (words: string, others: ClaimTrace["beat"]): HTMLElement[] =>
    others.map(({ rule, principle, reason }) =>
      h(
        "p",
        { class: "trace-versus" },
        `${words} ${title(rule)} by ${principle}${reason ? `: ${reason}` : ""}`,
      ),
    );
  return h(
    "details",
    { class: `claim claim-${claim.verdict}` },
    h(
      "summary",
      {},
      truthSign(claim.verdict),
      h("span", { class: "claim-title" }, claim.title),
      " says ",
      h("strong", {}, sayValue(claim.value, names)),
      claim.lostTo.length > 0 && h("span", { class: "claim-fate" }, " beaten"),
      claim.beat.length > 0 && claim.lostTo.length === 0 && h("span", { class: "claim-fate" }, " prevails"),
      claim.tiedWith.length > 0 && h("span", { class: "claim-fate" }, " opposed"),
    ),
    h("p", { class: "basis" }, sayBasis(claim.basis)),
    h("p", {}, claim.why),
    condition(claim.conditions, saying),
    ...versus("Beats", claim.beat),
    ...versus("Beaten by", claim.lostTo),
    ...(claim.tiedWith.length > 0
      ? [
          h(
            "p",
            { class: "trace-versus" },
            `Opposed, and nothing decides: ${claim.tiedWith.map(title).join(", ")}`,
          ),
        ]
      : []),
    h("p", { class: "trace-rule" }, "Rule: ", h("code", {}, claim.rule)),
  );
}

function condition(tree: ConditionTrace, saying: Saying): HTMLElement {
  return h("ul", { class: "conditions" }, conditionLine(tree, saying));
}

function conditionLine(tree: ConditionTrace, saying: Saying): HTMLElement {
  if (tree.op === "leaf") {
    const { names, sums } = saying;
    const sum = sums.get(tree.fact);
    return h(
      "li",
      { class: `condition condition-${tree.verdict}` },
      truthSign(tree.verdict),
      `${names.fact(tree.fact)} ${names.operator(tree.operator)} ${sayValue(tree.needed, names)}`,
      h(
        "span",
        { class: "found" },
        tree.actual === null
          ? " · not known"
          : ` · found: ${sayValue(tree.actual, names)}${sum ? ` (${sum})` : ""}`,
      ),
    );
  }
  return h(
    "li",
    { class: `condition condition-${tree.verdict}` },
    truthSign(tree.verdict),
    GROUPS[tree.op],
    h("ul", { class: "conditions" }, ...tree.of.map((one) => conditionLine(one, saying))),
  );
}

function reached(entry: Reached, names: Names): readonly Node[] {
  const closed = new Set(entry.closed);
  return [
    head(null, `Reach of ${names.hole(entry.hole)}`),
    h(
      "p",
      { class: "trace-holes" },
      closed.size === 0
        ? "With no part closed."
        : `With these closed: ${entry.closed.map((part) => names.part(part)).join(", ")}.`,
    ),
    ...entry.approaches.map((approach) => approachLine(approach, closed, names)),
  ];
}

function approachLine(approach: ApproachReach, closed: ReadonlySet<string>, names: Names): HTMLElement {
  const inTheWay = approach.blockedBy.filter(({ part }) => closed.has(part));
  const later = approach.blockedBy.filter(({ part }) => !closed.has(part));
  const free = inTheWay.length === 0 && approach.ownStack.length === 0;
  const line = (blocker: Blocker, when: string): HTMLElement =>
    h(
      "li",
      {},
      `${blocker.side ? `${blocker.side} side: ` : ""}${names.part(blocker.part)}${when} in the way${sayRoom(blocker)}`,
    );
  return h(
    "div",
    { class: "approach" },
    h(
      "p",
      {},
      truthSign(free ? "true" : "false"),
      `${names.thing(approach.approach)}: ${free ? "free" : "blocked"}`,
    ),
    h(
      "ul",
      {},
      ...inTheWay.map((blocker) => line(blocker, " is")),
      ...approach.ownStack.map((blocker) => line(blocker, " is by its own shape")),
      ...later.map((blocker) => line(blocker, " is, once it is on,")),
    ),
  );
}

function sayRoom({ room, kind, why }: Blocker): string {
  const needed = room ? ` of the ${room}` : "";
  return `${needed}${kind === "stated" ? " (stated by the kit)" : ""}${why ? `: ${why}` : ""}`;
}

/** "manual, Assembly manual, page 12, revision C, 2024-03-01". */
function sayBasis({ rank, document, place, revision, dated }: Basis): string {
  return [rank, document, place, revision && `revision ${revision}`, dated].filter(Boolean).join(", ");
}

function head(sign: HTMLElement | null, words: string): HTMLElement {
  return h("p", { class: "trace-head" }, sign, words);
}

const SIGNS: Readonly<Record<Truth, readonly [sign: string, words: string]>> = {
  true: ["✓", "holds: "],
  false: ["✗", "does not hold: "],
  unknown: ["?", "not known: "],
};

function truthSign(truth: Truth): HTMLElement {
  const [sign, words] = SIGNS[truth];
  return h(
    "span",
    { class: `truth truth-${truth}` },
    h("span", { "aria-hidden": "true" }, sign),
    h("span", { class: "unseen" }, words),
  );
}

function ruleTitles(trace: readonly TraceEntry[]): Titles {
  const titles = new Map<string, string>();
  for (const entry of trace) {
    if (entry.kind === "ruling") for (const { rule, title } of entry.claims) titles.set(rule, title);
    if (entry.kind === "order") titles.set(entry.rule, entry.title);
  }
  return titles;
}
