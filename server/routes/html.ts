import { SHEET_WORDS } from "../ask/wording/step-sheet.js";

/** Markup that may be put into a page as it is. Only `html` and `markup` make it. */
export class Html {
  constructor(readonly text: string) {}
}

type Piece = Html | string | number | null | false | undefined | readonly Piece[];

/** Markup with everything put into it escaped, unless `html` made that itself. */
export function html(fixed: TemplateStringsArray, ...pieces: readonly Piece[]): Html {
  return new Html(fixed.map((text, i) => text + (i < pieces.length ? textOf(pieces[i]) : "")).join(""));
}

/** Text of our own that is markup, script or style already; never anything that somebody typed. */
export function markup(text: string): Html {
  return new Html(text);
}

function textOf(piece: Piece): string {
  if (piece === null || piece === undefined || piece === false) return "";
  if (piece instanceof Html) return piece.text;
  if (typeof piece === "string" || typeof piece === "number") return escaped(String(piece));
  return piece.map(textOf).join("");
}

const SIGNS: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => SIGNS[sign] ?? sign);
}

/** Back from a page for paper to the page itself, where it was come from. */
export function pageLink(kit: string, assembly: string, pane: "parts" | "plan"): Html {
  return html`<a href="/#${String(new URLSearchParams({ kit, assembly, pane }))}">${SHEET_WORDS.page}</a>`;
}

/**
 * A page for paper: no script, and no style of its own (the content security policy lets neither in).
 * @param nav  links, which are not printed
 */
export function paperPage(title: string, nav: readonly Html[], body: readonly Html[]): string {
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${title}</title>
<link rel="icon" href="/icon.svg" type="image/svg+xml">
<link rel="stylesheet" href="/style.css">
<link rel="stylesheet" href="/sheet.css">
</head>
<body class="sheet">
<nav aria-label="Sheets">${nav}</nav>
<main>
<h1>${title}</h1>
${body}
</main>
</body>
</html>
`;
  return page.text;
}
