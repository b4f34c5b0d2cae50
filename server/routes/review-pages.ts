import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { REVIEW_WORDS } from "../ask/wording/review-words.js";
import { commentable } from "../review/review.js";
import { ANSWER_FORMAT } from "../review/review-answer.js";
import type { Review, ReviewFile, Shown } from "../review/types.js";
import { type Html, html, markup, paperPage } from "./html.js";

const { headings, none, parts } = REVIEW_WORDS;

/** The sheet for a mentor without a computer: to read, write on and sign. */
export function reviewSheet(review: Review): string {
  const blank = (label: string): Html => html`<tr><th scope="row">${label}</th><td class="blank"></td></tr>
`;
  return paperPage(
    titleOf(review),
    [],
    [
      ...openingOf(review),
      ...sectionsOf(review.shown),
      html`<section id="comments">
<h2>${headings.comments}</h2>
<table class="lines"><tbody>${["", ...commentable(review.text)].map((pointer) => blank(parts[pointer] ?? pointer))}</tbody></table>
</section>
<section id="decision">
<h2>${headings.decision}</h2>
<table class="lines"><tbody>
<tr><td class="tick" aria-hidden="true"><span></span></td><td>${REVIEW_WORDS.accept}</td></tr>
<tr><td class="tick" aria-hidden="true"><span></span></td><td>${REVIEW_WORDS.return}</td></tr>
</tbody></table>
<table class="lines"><tbody>${[REVIEW_WORDS.reference, REVIEW_WORDS.name, REVIEW_WORDS.date, REVIEW_WORDS.signature].map(blank)}</tbody></table>
<p>${REVIEW_WORDS.onPaper}</p>
<p class="ground">${REVIEW_WORDS.advice}</p>
</section>
`,
    ],
  );
}

/**
 * The same as a page in one file, which a mentor far away opens, answers and sends back. It may run its own script
 * and nothing else, loads nothing and can send nothing.
 * @source W3C Content Security Policy Level 3 (hashes of inline script and style)
 */
export function mentorPage(review: ReviewFile): string {
  const policy = `default-src 'none'; script-src ${hashOf(SCRIPT)}; style-src ${hashOf(STYLE)}; form-action 'none'; base-uri 'none'`;
  const { savedAs, badKey, noComment, noChoice, noSigning } = REVIEW_WORDS;
  const words = { format: ANSWER_FORMAT, savedAs, badKey, noComment, noChoice, noSigning };
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${titleOf(review)}</title>
<style>${markup(STYLE)}</style>
</head>
<body>
<main>
<h1>${titleOf(review)}</h1>
${openingOf(review)}
${sectionsOf(review.shown)}
<form id="answer">
<h2>${headings.comments}</h2>
<p>${REVIEW_WORDS.howToAnswer}</p>
${["", ...commentable(review.text)].map(
  (
    pointer,
  ) => html`<label>${parts[pointer] ?? pointer}<textarea data-at="${pointer}" rows="2" maxlength="2000"></textarea></label>
`,
)}
<fieldset>
<legend>${headings.decision}</legend>
<label><input type="radio" name="step" value="accept"> ${REVIEW_WORDS.accept}</label>
<label><input type="radio" name="step" value="return"> ${REVIEW_WORDS.return}</label>
</fieldset>
<label>${REVIEW_WORDS.reference}<input name="reference" maxlength="2000"></label>
<label>${REVIEW_WORDS.key}<input name="key" type="password" autocomplete="off" spellcheck="false"></label>
<button>${REVIEW_WORDS.sign}</button>
<p id="told" role="status"></p>
</form>
<p class="ground">${REVIEW_WORDS.advice}</p>
</main>
<script type="application/json" id="review-data">${markup(inScript(review))}</script>
<script type="application/json" id="words-data">${markup(inScript(words))}</script>
<script>${markup(SCRIPT)}</script>
</body>
</html>
`.text;
}

const SCRIPT = readFileSync(new URL("./mentor-script.js", import.meta.url), "utf8");
const STYLE = `
body { max-width: 45rem; margin: 0 auto; padding: 0.75rem; font: 1rem/1.4 system-ui, sans-serif; }
h2, legend { margin: 1.25rem 0 0.25rem; font-size: 1.0625rem; font-weight: 700; }
label { display: block; margin-block: 0.5rem; }
textarea, input:not([type="radio"]) { display: block; box-sizing: border-box; width: 100%; font: inherit; }
button { padding: 0.625rem 1rem; font: inherit; font-weight: 700; }
#told { font-weight: 700; }
`;

function hashOf(text: string): string {
  return `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
}

/** JSON that cannot end the script element it stands in. @source WHATWG HTML, "Restrictions for contents of script elements" */
function inScript(value: object): string {
  return JSON.stringify(value).replaceAll("<", "\\u003c");
}

function titleOf({ text, revision }: Review): string {
  return REVIEW_WORDS.title(text.title, revision);
}

function openingOf({
  kit,
  version,
  author,
  proposedBy,
  proposedAt,
  hash,
  comments,
}: Review): readonly Html[] {
  return [
    html`<p class="ground">${REVIEW_WORDS.ground(kit.name, kit.revision, version)}</p>
<p>${REVIEW_WORDS.proposed(author, proposedBy, proposedAt)}</p>
<p>${REVIEW_WORDS.hash(hash)}</p>
${listOf(comments)}
`,
  ];
}

function sectionsOf(shown: Shown): readonly Html[] {
  const { words, changes, problems, departures, findings, examples, impact, earlier } = shown;
  const isTried = problems.length === 0;
  return [
    section("words", listOf(words)),
    ...(changes ? [section("changes", listOf(changes, none.changes))] : []),
    ...(isTried ? [] : [section("problems", listOf(problems))]),
    section("departures", listOf(departures, isTried ? none.departures : none.examples)),
    section("findings", listOf(findings, isTried ? none.findings : none.examples)),
    section("examples", listOf(examples, none.examples)),
    section(
      "impact",
      impact.length > 0
        ? impact.map(({ assembly, lines }) => html`<h3>${assembly}</h3>${listOf(lines)}`)
        : html`<p>${none.examples}</p>`,
    ),
    ...(earlier.length > 0 ? [section("earlier", listOf(earlier))] : []),
  ];
}

function section(kind: keyof typeof headings, body: Html | readonly Html[]): Html {
  return html`<section id="${kind}">
<h2>${headings[kind]}</h2>
${body}
</section>
`;
}

function listOf(lines: readonly string[], without = ""): Html {
  if (lines.length === 0) return without === "" ? html`` : html`<p>${without}</p>`;
  return html`<ul>${lines.map(
    (line) => html`<li>${line}</li>
`,
  )}</ul>`;
}
