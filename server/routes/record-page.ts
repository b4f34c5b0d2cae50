import type { Job } from "../ask/types.js";
import {
  RECORD_WORDS,
  sayHoldLine,
  sayLine,
  sayRecordGround,
  sayRecordSum,
  sayRecordTitle,
  sayRuledThen,
  sayRuleInUse,
  sayRulesThen,
  sayTime,
} from "../ask/wording/build-record.js";
import { groundCautions } from "../ask/wording/ground.js";
import type { BuildRecord, RecordLine } from "../shop/record.js";
import { type Html, html, pageLink, paperPage } from "./html.js";

const { sections, none, columns } = RECORD_WORDS;

/** The build record as a page that prints well, with room for a signature. */
export function recordPage(job: Job, record: BuildRecord, head: string | null): string {
  const links = [
    html`<p>${pageLink(job.kit.id, job.assembly.id, "parts")} `,
    html`<a href="record.csv">Table (CSV)</a> `,
    html`<a href="record">Data (JSON)</a> `,
    html`<a href="sheet.html">Sheets</a></p>`,
  ];
  const departures = record.rules.filter(({ rule }) => rule.departure);
  const others = record.rules.filter(({ rule }) => !rule.departure);
  return paperPage(sayRecordTitle(job), links, [
    html`<p class="ground">${sayRecordGround(job, head)}</p>`,
    ...groundCautions(job).map((caution) => html`<p class="warning"><strong>!</strong> ${caution}</p>`),
    html`<p class="sum">${sayRecordSum(record.counts)}</p>`,
    section("work", record.lines.length === 0 ? null : workTable(job, record.lines)),
    section("holds", items(record.holds.map((hold) => sayHoldLine(job, hold)))),
    section("departures", items(departures.map((used) => sayRuleInUse(job, used)))),
    section("rules", items(others.map((used) => sayRuleInUse(job, used)))),
    html`<section id="signed"><h2>${sections.signed}</h2><p class="sign">${RECORD_WORDS.signLine}</p></section>`,
    html`<p class="ground">${RECORD_WORDS.purpose}</p>`,
  ]);
}

function section(kind: keyof typeof none, body: Html | null): Html {
  return html`<section id="${kind}">
<h2>${sections[kind]}</h2>
${body ?? html`<p>${none[kind]}</p>`}
</section>`;
}

function items(texts: readonly string[]): Html | null {
  return texts.length === 0 ? null : html`<ul>${texts.map((text) => html`<li>${text}</li>\n`)}</ul>`;
}

function workTable(job: Job, lines: readonly RecordLine[]): Html {
  return html`<table class="record">
<thead><tr>${columns.map((column) => html`<th scope="col">${column}</th>`)}</tr></thead>
<tbody>${lines.map((line) => row(job, line))}</tbody>
</table>`;
}

function row(job: Job, line: RecordLine): Html {
  const { what, where } = sayLine(job, line);
  const ruled = line.kind === "set" ? line.ruled : undefined;
  return html`<tr><th scope="row"><time datetime="${line.at}">${sayTime(line.at)}</time></th><td>${line.by}</td><td>${what}</td><td>${where}</td><td>${ruled !== undefined && sayRuledThen(job, ruled)}</td><td>${ruled !== undefined && sayRulesThen(ruled)}</td></tr>
`;
}
