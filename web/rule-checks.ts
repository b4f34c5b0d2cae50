import type { ImpactKind } from "../server/ask/wording/impact-words.js";
import { button, h } from "./dom.js";
import type { Told } from "./placed-fields.js";
import type { FindingShown, PreviewShown } from "./wire.js";
import { capital, counted } from "./words.js";

const SEVERITIES: Readonly<Record<FindingShown["severity"], string>> = {
  error: "Wrong",
  warning: "Look at it",
  note: "Note",
};

const KINDS: Readonly<Record<ImpactKind, string>> = {
  "done wrong": "Work done that would be wrong",
  conflict: "New conflicts",
  undecided: "No longer decided",
  departure: "Departures",
  contradiction: "Both cannot be",
  plan: "The plan",
  closing: "Before closing",
  changed: "Before → after",
  added: "Where it begins or ceases to hold",
};

/** "Look at it: …", as it stands beside a field. */
export function sayFinding({ severity, said, fix }: FindingShown): string {
  return `${SEVERITIES[severity]}: ${said} ${fix}`;
}

/**
 * What a rule says and would do.
 * @param left  problems that no field shows
 * @param show  shows holes on the map
 */
export function checksView(
  preview: PreviewShown,
  left: readonly Told[],
  show: (holes: readonly string[]) => void,
): readonly HTMLElement[] {
  const { words, matched, unknown, examples, findings, departures, impact } = preview;
  if (!words || !impact) {
    return [
      ...problemList(left),
      h("p", {}, "What it would do shows here as soon as its conditions and what it says are whole."),
    ];
  }
  return [
    ...problemList(left),
    h("h4", {}, "In words"),
    h("p", { class: "rule-words" }, words.said),
    h("h4", {}, "Where it holds"),
    line(
      `At ${counted(matched.count, "hole")} of this assembly.${
        unknown.count > 0
          ? ` At ${counted(unknown.count, "more hole")} a fact that is not known leaves it open.`
          : ""
      }`,
      [...matched.holes, ...unknown.holes],
      show,
    ),
    h("h4", {}, "What would be otherwise"),
    ...impactList(preview, show),
    ...(departures.length > 0
      ? [
          h("h4", {}, "Departures from stronger rules"),
          list(
            departures.map(({ from, holes, declared }) =>
              line(
                `${from}: ${declared ? "declared, with the kit maker's agreement" : "not declared, so nobody can accept it as it is"}`,
                holes,
                show,
              ),
            ),
          ),
        ]
      : []),
    h("h4", {}, "What was found about it"),
    findings.length === 0
      ? h("p", {}, "Nothing odd.")
      : list(
          findings.map((finding) => line(sayFinding(finding), finding.holes, show, `is-${finding.severity}`)),
        ),
    ...(examples.length > 0
      ? [
          h("h4", {}, "Its examples"),
          list(
            examples.map(({ said, comesOut }) =>
              line(
                `${comesOut ? "✓ comes out" : "✗ does not come out"}: ${said}`,
                [],
                show,
                comesOut ? "" : "is-error",
              ),
            ),
          ),
        ]
      : []),
  ];
}

/** The same in one breath: "Holds at 46 holes; 12 change; work done at 3 would be wrong." */
export function sayInShort({ matched, unknown, impact, findings }: PreviewShown): string {
  if (!impact) return "";
  const changed = new Set(impact.changed.map(({ hole }) => hole)).size;
  const wrong = new Set(impact.doneWrong.map(({ hole }) => hole)).size;
  const odd = findings.filter(({ severity }) => severity !== "note").length;
  return [
    `holds at ${counted(matched.count, "hole")}`,
    unknown.count > 0 && `open at ${unknown.count}`,
    changed > 0 ? `${counted(changed, "hole")} would be ruled otherwise` : "no ruling changes",
    wrong > 0 && `work done at ${counted(wrong, "hole")} would be wrong`,
    odd > 0 && `${counted(odd, "thing")} to look at`,
  ]
    .filter((words) => words !== false)
    .join("; ");
}

function impactList(
  { impact }: PreviewShown,
  show: (holes: readonly string[]) => void,
): readonly HTMLElement[] {
  const lines = impact?.said ?? [];
  if (lines.length === 0) return [h("p", {}, "Nothing would be otherwise here.")];
  const kinds = [...new Set(lines.map(({ kind }) => kind))];
  return kinds.flatMap((kind) => [
    h("p", { class: "label impact-kind" }, KINDS[kind]),
    list(
      lines
        .filter((one) => one.kind === kind)
        .map(({ said, holes }) => line(said, holes, show, kind === "done wrong" ? "is-error" : "")),
    ),
  ]);
}

function problemList(left: readonly Told[]): readonly HTMLElement[] {
  if (left.length === 0) return [];
  return [
    h("h4", {}, "Wrong as it stands"),
    list(
      left.map(({ pointer, words }) =>
        h("li", { class: "is-error" }, words, pointer !== "" && h("code", {}, ` ${pointer}`)),
      ),
    ),
  ];
}

function list(items: readonly HTMLElement[]): HTMLElement {
  return h(
    "ul",
    { class: "check-list" },
    ...items.map((item) => (item.tagName === "LI" ? item : h("li", {}, item))),
  );
}

function line(
  said: string,
  holes: readonly string[],
  show: (holes: readonly string[]) => void,
  kind = "",
): HTMLElement {
  return h(
    "p",
    { class: `check-line ${kind}`.trim() },
    capital(said),
    holes.length > 0 && " ",
    holes.length > 0 &&
      button("Show on the map", () => show(holes), {
        class: "quiet",
        "aria-label": `Show on the map: ${said}`,
      }),
  );
}
