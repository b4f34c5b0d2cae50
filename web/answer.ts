import type { Answer, AnswerRow, Source } from "../server/ask/types.js";
import type { Mark } from "../server/kit/work.js";
import { paperPath } from "./api.js";
import { cautionsView } from "./cautions.js";
import { button, h } from "./dom.js";
import { listMarks } from "./marks.js";
import type { Names } from "./names.js";
import { noteNodes } from "./note-html.js";
import { type ChipActions, slotChips } from "./slot-chips.js";
import { traceList } from "./trace.js";
import { verdictMark } from "./verdict.js";
import { capital, counted } from "./words.js";

/** A sentence of more characters than this is not shown large. */
const LONG_SENTENCE = 110;

/** What can be done from within an answer. */
export interface AnswerActions extends ChipActions {
  readonly showHoles: (holes: readonly string[]) => void;
  readonly record: (marks: readonly Mark[]) => Promise<boolean>;
}

/** An answer as the server gave it: what was read, the headline, the evidence, the ways on. */
export function answerView(answer: Answer, names: Names, actions: AnswerActions): HTMLElement {
  return h(
    "div",
    { class: "answer" },
    readingLine(answer, names, actions),
    ...corrections(answer),
    headline(answer),
    ...otherWords(answer),
    ...choices(answer, actions),
    ...stepSheet(answer, names),
    ...proposed(answer, names, actions),
    ...rowTable(answer.rows, actions),
    ...inFull(answer.rows),
    ...cautionsView(answer.cautions),
    ...why(answer, names),
    ...sources(answer.sources),
    ...followUps(answer, actions),
  );
}

/** The answer in one breath, for those who hear the page. */
export function spokenAnswer({ verdict, headline, choices = [], rows }: Answer): string {
  const more =
    choices.length > 0
      ? ` ${counted(choices.length, "choice")}.`
      : rows.length > 0
        ? ` ${counted(rows.length, "row")}.`
        : "";
  return `${verdict ? `${capital(verdict)}. ` : ""}${headline}${more}`;
}

function headline(answer: Answer): HTMLElement {
  const { verdict } = answer;
  const isSaid = [",", ":"].some((sign) => verdict && answer.headline.startsWith(capital(verdict) + sign));
  return h(
    "p",
    { class: isSaid ? "headline says-verdict" : "headline" },
    verdict && verdictMark(verdict, isSaid, answer.reading?.slots.sense === "against"),
    headlineWords(answer),
  );
}

/**
 * The first sentence stands out, what follows is said more quietly; words that could not be used are marked. A verdict
 * that stands as a sentence of its own is shown by its mark already.
 */
function headlineWords({ headline, verdict, outcome, notUnderstood: words = [] }: Answer): HTMLElement {
  const notUnderstood = isWhole(outcome) ? [] : words;
  const text = verdict ? headline.replace(VERDICT_ALONE, "") : headline;
  const [sentence = ""] = /^.*?[.!?][”"’)]*(?= )/s.exec(text) ?? [text];
  // Of a long sentence with a list in it, what stands before the list.
  const lead = sentence.length > LONG_SENTENCE ? /^.{12,}?:(?= )/s.exec(sentence)?.[0] : undefined;
  const first = lead ?? sentence;
  return h(
    "span",
    { class: first.length > LONG_SENTENCE ? "headline-words is-long" : "headline-words" },
    h("span", { class: "headline-first" }, ...marked(first, notUnderstood)),
    ...marked(text.slice(first.length), notUnderstood),
  );
}

const VERDICT_ALONE = /^(Yes|No|Not decided|Undecided)\. (?=\S)/;

/** Words that could not be used are quoted in what is said of them. */
function marked(text: string, words: readonly string[]): (Node | string)[] {
  if (words.length === 0) return [text];
  const any = words.map((word) => word.replace(/[\\^$.*+?()[\]{}|/]/g, "\\$&")).join("|");
  return text
    .split(new RegExp(`(?<=["“])(${any})(?=["”])`, "u"))
    .map((piece, at) => (at % 2 === 1 ? h("mark", {}, piece) : piece));
}

/** What was read; of a question that is asked back, only the slots that were. */
function readingLine(
  { reading, outcome, carried }: Answer,
  names: Names,
  actions: AnswerActions,
): HTMLElement | null {
  if (!reading) return null;
  return h(
    "div",
    { class: "reading" },
    isWhole(outcome) &&
      h(
        "p",
        {},
        h("span", { class: "label" }, "Read as "),
        h("q", {}, reading.said),
        carried?.form && h("span", { class: "slot-carried" }, " (the same question as before)"),
      ),
    slotChips({ reading, carried }, names, actions),
  );
}

function corrections({ corrected = [] }: Answer): HTMLElement[] {
  return corrected.map(({ from, to }) =>
    h("p", { class: "corrected" }, "Spelling: ", h("del", {}, from), " read as ", h("ins", {}, to)),
  );
}

/** Words that could not be used and that the headline does not name; of what was said beside a question that is answered, quietly. */
function otherWords({ headline, outcome, notUnderstood = [] }: Answer): HTMLElement[] {
  if (isWhole(outcome))
    return notUnderstood.length > 0
      ? [h("p", { class: "not-used" }, `Not used: ${notUnderstood.join(", ")}`)]
      : [];
  const words = notUnderstood.filter((word) => !headline.includes(word));
  if (words.length === 0) return [];
  return [
    h("p", {}, "Not understood: ", ...words.flatMap((word, at) => [at > 0 ? ", " : "", h("mark", {}, word)])),
  ];
}

/** Whether the question was read whole, so that words that were not used stood beside it. */
function isWhole(outcome: Answer["outcome"]): boolean {
  return outcome === "answered" || outcome === "proposal";
}

function choices({ choices: readings = [] }: Answer, actions: AnswerActions): HTMLElement[] {
  if (readings.length === 0) return [];
  return [
    h(
      "ul",
      { class: "choices", "aria-label": "Did you mean" },
      ...readings.map((reading) =>
        h(
          "li",
          {},
          button(reading.said, () => actions.ask(reading), { class: "choice" }),
        ),
      ),
    ),
  ];
}

/** A question about a step of the manual leads to that step's sheet. */
function stepSheet({ reading, outcome }: Answer, names: Names): HTMLElement[] {
  const step = reading?.slots.step;
  if (outcome !== "answered" || step === undefined) return [];
  const { kit, assembly } = names.place;
  const href = paperPath(kit, assembly, { step });
  return [
    h(
      "p",
      {},
      h(
        "a",
        { class: "sheet-link", href, target: "_blank", rel: "noopener" },
        `Sheet of step ${step}, for print`,
      ),
    ),
  ];
}

function rowTable(all: readonly AnswerRow[], actions: AnswerActions): HTMLElement[] {
  const rows = all.filter(({ kind }) => kind !== IN_FULL);
  if (rows.length === 0) return [];
  const head = h("tr", {}, h("th", { scope: "col" }, "Where"), h("th", { scope: "col" }, "What"));
  return [
    h(
      "table",
      { class: "rows" },
      rows.some((row) => noteOf(row) === null) && h("thead", {}, head),
      h("tbody", {}, ...rows.map((row) => rowLine(row, actions))),
    ),
  ];
}

/** What a first line in brief leaves out; where rows below say it piece by piece it is folded away. */
function inFull(rows: readonly AnswerRow[]): HTMLElement[] {
  const said = rows.filter(({ kind }) => kind === IN_FULL).map(({ what }) => h("p", {}, what));
  if (said.length === 0) return [];
  return [
    h(
      "details",
      { class: "in-full", open: rows.length === said.length },
      h("summary", {}, "In full"),
      ...said,
    ),
  ];
}

const IN_FULL = "in full";

/** The one field that the server sends as markup: a note, rendered and sanitised. */
function noteOf({ html }: AnswerRow): string | null {
  return typeof html === "string" && html !== "" ? html : null;
}

function rowLine(row: AnswerRow, actions: AnswerActions): HTMLElement {
  const html = noteOf(row);
  if (html !== null) {
    const note = h("div", { class: "note" }, noteNodes(html));
    return h("tr", {}, h("td", { colspan: 2 }, h("p", { class: "note-title" }, capital(row.where)), note));
  }
  const where =
    row.holes.length > 0
      ? button(row.where, () => actions.showHoles(row.holes), {
          class: "row-where",
          title: "Show on the map",
        })
      : row.where;
  return h("tr", {}, h("th", { scope: "row" }, where), h("td", {}, row.what));
}

function proposed({ proposal }: Answer, names: Names, actions: AnswerActions): HTMLElement[] {
  if (!proposal) return [];
  const { marks } = proposal;
  const said = h("p", { class: "proposal-outcome", role: "status" });
  const buttons = h("p", { class: "buttons" });
  const settle = (words: string): void => {
    said.textContent = words;
    said.tabIndex = -1;
    said.focus();
    buttons.remove();
  };
  const record = button(
    "Record",
    async () => {
      record.disabled = true;
      if (await actions.record(marks)) settle("Recorded in the shop book.");
      record.disabled = false;
    },
    { class: "primary" },
  );
  buttons.append(
    record,
    button("Leave it", () => settle("Left as it was. Nothing was recorded.")),
  );
  return [
    h(
      "section",
      { class: "proposal", "aria-label": "To be recorded" },
      h("p", {}, `To be recorded, if you say so (${counted(marks.length, "mark")}):`),
      h("ul", {}, ...listMarks(marks, names).map((said) => h("li", {}, said))),
      buttons,
      said,
    ),
  ];
}

/** The trace is drawn when it is opened: it can be long. */
function why({ trace }: Answer, names: Names): HTMLElement[] {
  if (trace.length === 0) return [];
  const details = h(
    "details",
    { class: "why" },
    h("summary", {}, `Why (${counted(trace.length, "reason")})`),
  );
  const draw = (): void => {
    if (details.open && details.childElementCount === 1) details.append(traceList(trace, names));
  };
  details.addEventListener("toggle", draw);
  details.addEventListener("draw", draw);
  return [details];
}

/** Draws what is open but was not drawn yet, at once (before printing). */
export function drawOpened(within: ParentNode): void {
  for (const details of within.querySelectorAll("details[open]")) details.dispatchEvent(new Event("draw"));
}

function sources(all: readonly Source[]): HTMLElement[] {
  if (all.length === 0) return [];
  return [
    h(
      "details",
      { class: "sources" },
      h("summary", {}, `Sources (${all.length})`),
      h(
        "ul",
        {},
        ...all.map(({ rank, document: title, place, dated, rule }) =>
          h(
            "li",
            {},
            [rank && `${capital(rank)}: ${title}`, !rank && title, place, dated].filter(Boolean).join(", "),
            rule && h("code", { class: "rule-id" }, rule),
          ),
        ),
      ),
    ),
  ];
}

function followUps({ followUps: readings }: Answer, actions: AnswerActions): HTMLElement[] {
  if (readings.length === 0) return [];
  return [
    h(
      "ul",
      { class: "follow-ups", "aria-label": "Ask next" },
      ...readings.map((reading) =>
        h(
          "li",
          {},
          button(reading.said, () => actions.ask(reading), { class: "chip" }),
        ),
      ),
    ),
  ];
}
