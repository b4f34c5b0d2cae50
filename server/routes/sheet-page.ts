import type { SaidSheet, SheetLine } from "../ask/step-sheet.js";
import type { FormAnswer, Source } from "../ask/types.js";
import { SHEET_WORDS } from "../ask/wording/step-sheet.js";
import type { Assembly } from "../kit/types.js";
import { type Html, html, pageLink, paperPage } from "./html.js";

const { columns } = SHEET_WORDS;

/** A sheet as a page that prints well. */
export function sheetPage(sheet: SaidSheet, { steps }: Pick<Assembly, "steps">): string {
  const isStep = sheet.step !== null;
  return paperPage(sheet.title, links(sheet, steps), [
    html`<p class="ground">${sheet.ground}</p>`,
    html`<p class="sum">${sheet.sum}</p>`,
    ...sheet.warnings.map((warning) => html`<p class="warning"><strong>!</strong> ${warning}</p>`),
    ...(sheet.step?.text ? [html`<blockquote><p>${sheet.step.text}</p></blockquote>`] : []),
    ...(isStep ? [section("before", sheet.before)] : []),
    section("gates", sheet.gates),
    section("drills", sheet.drills),
    section("forming", sheet.forming),
    section("pins", sheet.pins, sheet.pinCount),
    rivetSection(sheet),
    ...(isStep ? [section("after", sheet.after)] : []),
    section("open", sheet.open),
    ...evidence(sheet.cautions, sheet.sources),
  ]);
}

/** The whole order of work as a page that prints well: the picture, then every step with a box to tick. */
export function planPage(
  {
    kit,
    assembly,
    title,
    ground,
    answer,
  }: {
    readonly kit: string;
    readonly assembly: string;
    readonly title: string;
    readonly ground: string;
    readonly answer: FormAnswer;
  },
  steps: Assembly["steps"],
): string {
  return paperPage(title, links({ kit: { id: kit }, assembly: { id: assembly }, step: null }, steps), [
    html`<p class="ground">${ground}</p>`,
    html`<p class="sum">${answer.headline}</p>`,
    html`<table class="lines"><tbody>${answer.rows.map((row) => tableRow(row))}</tbody></table>`,
    html`<figure><img src="plan.svg" alt="${answer.headline}"></figure>`,
    ...evidence(answer.cautions, answer.sources),
  ]);
}

type Kind = "open" | "drills" | "forming" | "pins" | "gates" | "before" | "after";

function section(kind: Kind, lines: readonly SheetLine[], note = ""): Html {
  const { title, none } = SHEET_WORDS[kind];
  if (lines.length === 0 && none === "") return html``;
  return html`<section id="${kind}">
<h2>${title}</h2>
${
  lines.length === 0
    ? html`<p>${none}</p>`
    : html`<table class="lines">
<thead><tr><td class="tick"></td><th scope="col">${kind === "gates" ? columns.gate : columns.where}</th><th scope="col">${kind === "gates" ? columns.parts : columns.what}</th></tr></thead>
<tbody>${lines.map(tableRow)}</tbody>
</table>`
}
${note && html`<p>${note}</p>`}
</section>
`;
}

function tableRow({ where, what }: Pick<SheetLine, "where" | "what">): Html {
  return html`<tr><td class="tick" aria-hidden="true"><span></span></td><th scope="row">${where}</th><td>${what}</td></tr>
`;
}

function rivetSection({ rivets, sparesPercent }: SaidSheet): Html {
  const { title, none } = SHEET_WORDS.rivets;
  const spares = sparesPercent > 0;
  return html`<section id="rivets">
<h2>${title}</h2>
${
  rivets.length === 0
    ? html`<p>${none}</p>`
    : html`<table class="rivets">
<thead><tr><td class="tick"></td><th scope="col">${columns.rivet}</th><th scope="col">${columns.count}</th>${
        spares && html`<th scope="col">${columns.fetch} (+${sparesPercent} %)</th>`
      }<th scope="col">${columns.what}</th><th scope="col">${columns.where}</th></tr></thead>
<tbody>${rivets.map(
        ({
          code,
          count,
          fetch,
          what,
          where,
        }) => html`<tr><td class="tick" aria-hidden="true"><span></span></td><th scope="row">${String(code)}</th><td class="number">${String(count)}</td>${
          spares && html`<td class="number">${String(fetch)}</td>`
        }<td>${what}</td><td>${where}</td></tr>
`,
      )}</tbody>
</table>`
}
</section>
`;
}

function evidence(cautions: readonly string[], sources: readonly Source[]): readonly Html[] {
  return [
    html`<section id="cautions"><h2>${SHEET_WORDS.cautions}</h2><ul>${cautions.map((text) => html`<li>${text}</li>`)}</ul></section>
`,
    html`<section id="sources"><h2>${SHEET_WORDS.sources}</h2><ul>${sources.map(
      ({ rank, document, place, dated, rule }) =>
        html`<li>${[rank && `${rank}:`, [document, place, dated].filter(Boolean).join(", ")].filter(Boolean).join(" ")}${
          rule && html` <code>${rule}</code>`
        }</li>`,
    )}</ul></section>
`,
  ];
}

/** Back to the page, the plan, the picking list, and every step's sheet with this one marked. */
function links(
  {
    kit,
    assembly,
    step,
  }: {
    readonly kit: { readonly id: string };
    readonly assembly: { readonly id: string };
    readonly step: { readonly id: string } | null;
  },
  steps: Assembly["steps"],
): readonly Html[] {
  const at = `/api/kits/${encodeURIComponent(kit.id)}/assemblies/${encodeURIComponent(assembly.id)}`;
  return [
    html`<p>${pageLink(kit.id, assembly.id, "plan")} <a href="${at}/plan.html">${SHEET_WORDS.plan}</a> <a href="${at}/sheet.html">${SHEET_WORDS.whole}</a></p>
`,
    html`<details><summary>${SHEET_WORDS.steps}</summary><ul>${steps.map(
      ({ id, title }) =>
        html`<li><a href="${at}/steps/${encodeURIComponent(id)}/sheet.html"${
          id === step?.id && html` aria-current="page"`
        }>${id} ${title}</a></li>`,
    )}</ul></details>
`,
  ];
}
