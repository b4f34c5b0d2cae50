import { Marked } from "marked";
import sanitizeHtml from "sanitize-html";
import { Problem } from "../problem.js";
import type { SourceFile } from "../source.js";

/** How well a cited source is known: read itself, read where another page quotes it, or worked out from such values. */
export const STANDINGS = ["read", "secondary", "derived"] as const;
export type Standing = (typeof STANDINGS)[number];

/** A source that a note cites as `[n]`, n counted from 1. */
export interface NoteSource {
  readonly document: string;
  readonly place: string;
  /** As printed on the document; null when it shows none. */
  readonly dated: string | null;
  readonly standing: Standing;
}

/** A short note for the bench, ready to show. */
export interface Note {
  /** File name without its ending: `oversize-holes`. */
  readonly id: string;
  readonly title: string;
  /** Words that a builder may look for it by. */
  readonly words: readonly string[];
  readonly sources: readonly NoteSource[];
  /** The first sentences, as plain text. */
  readonly lead: string;
  /** Plain text of the whole note, for searching. */
  readonly text: string;
  /** Rendered and sanitised: a few tags, no attributes, so no links, scripts or styles. */
  readonly html: string;
}

/** Longer notes are shown as plain text: what a renderer does with them is not worth the risk. */
const MAX_RENDERED_CHARS = 20_000;
/** Markdown nests by the marks at the start of a line; no honest note goes deeper. */
const MAX_DEPTH = 24;
const TAGS = [
  ..."p br hr h3 h4 ul ol li blockquote em strong del code pre sup".split(" "),
  ..."table thead tbody tr th td".split(" "),
];

const markdown = new Marked({ async: false, gfm: true });

/**
 * A note from its file: front matter (`title`, `words`, `sources`), then Markdown with `[n]` for the sources.
 * @throws NOTE_MALFORMED naming the file and what is missing; never anything else
 */
export function readNote(file: SourceFile): Note {
  const refuse = (what: string, fix: string): Problem =>
    new Problem("NOTE_MALFORMED", what, { where: { file: file.path }, fix });
  const parts = /^---\n([\s\S]*?)\n---\n([\s\S]*)$/.exec(file.text.replace(/\r\n?/g, "\n"));
  if (!parts)
    throw refuse("The note has no front matter.", "Start it with --- , title, words, sources and --- .");
  const [head, body] = [parts[1] ?? "", (parts[2] ?? "").trim()];
  const title = /^title:(.*)$/m.exec(head)?.[1]?.trim() ?? "";
  if (title === "") throw refuse("The note has no title.", "Add a line title: … to the front matter.");
  if (body === "") throw refuse("The note has no text.", "Write the note below its front matter.");
  const words = (/^words:(.*)$/m.exec(head)?.[1] ?? "")
    .split(",")
    .map((word) => word.trim())
    .filter((word) => word !== "");
  const sources = [...head.matchAll(/^\s+-\s+(.*)$/gm)].map((line) => {
    const source = readSource(line[1] ?? "");
    if (source) return source;
    throw refuse(
      `"${line[1]}" is not a source.`,
      `Write "- document | place | date or undated | ${STANDINGS.join(" or ")}".`,
    );
  });
  for (const [mark, n] of body.matchAll(/\[(\d+)\]/g)) {
    if (!sources[Number(n) - 1])
      throw refuse(`${mark} cites a source that is not there.`, "Add it to sources.");
  }
  const html = renderNote(body);
  const text = plainText(html);
  const id = file.path.replace(/^.*\//, "").replace(/\.md$/, "");
  return Object.freeze({ id, title, words, sources, lead: leadOf(html), text, html });
}

function readSource(line: string): NoteSource | null {
  const [document, place, dated, standing, ...rest] = line.split(" | ").map((field) => field.trim());
  const known = STANDINGS.find((name) => name === standing);
  if (!document || !place || !dated || !known || rest.length > 0) return null;
  return { document, place, dated: dated === "undated" ? null : dated, standing: known };
}

/**
 * Markdown as sanitised HTML. Text that cannot be rendered (too long, too deep, or beyond the renderer) comes
 * back as escaped plain text: a note never breaks an answer.
 */
export function renderNote(text: string): string {
  if (text.length > MAX_RENDERED_CHARS || isTooDeep(text)) return asPlain(text);
  try {
    const raw = markdown.parse(text) as string;
    const clean = sanitizeHtml(raw, {
      allowedTags: TAGS,
      allowedAttributes: {},
      disallowedTagsMode: "discard",
      nestingLimit: 4 * MAX_DEPTH,
    });
    return clean.replace(/\[(\d{1,2})\]/g, "<sup>[$1]</sup>");
  } catch {
    return asPlain(text);
  }
}

function isTooDeep(text: string): boolean {
  return text.split("\n").some((line) => {
    const marks = /^[\s>*+-]*/.exec(line)?.[0].replace(/ /g, "").length ?? 0;
    const indent = /^\s*/.exec(line)?.[0].length ?? 0;
    const brackets = (line.match(/[[(*_<]/g) ?? []).length;
    return marks > MAX_DEPTH || indent > 4 * MAX_DEPTH || brackets > 20 * MAX_DEPTH;
  });
}

const ESCAPES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

function asPlain(text: string): string {
  return `<pre>${text.replace(/[&<>"]/g, (char) => ESCAPES[char] ?? char)}</pre>`;
}

/** The words of sanitised HTML, entities read back; source marks are left out. */
function plainText(html: string): string {
  const READ: Readonly<Record<string, string>> = { amp: "&", lt: "<", gt: ">", quot: '"', "#39": "'" };
  return html
    .replace(/<sup>\[\d+\]<\/sup>/g, "")
    .replace(/<[^>]*>/g, " ")
    .replace(/&(amp|lt|gt|quot|#39);/g, (whole, name: string) => READ[name] ?? whole)
    .replace(/\s+([.,;:])/g, "$1")
    .replace(/\s+/g, " ")
    .trim();
}

/** The first two sentences of the first paragraph, without the remark on sources; the note itself has that. */
function leadOf(html: string): string {
  const first = /<p>([\s\S]*?)<\/p>/.exec(html)?.[1] ?? html;
  const sentences = plainText(first)
    .replace(/\((common practice, no source|arithmetic)\)/g, "")
    .replace(/^Common practice, no source: ?/, "")
    .replace(/\s+([.,;:])/g, "$1")
    .replace(/\s+/g, " ")
    .split(/(?<=[a-z)][.!?]) (?=[A-Z])/);
  return sentences.slice(0, 2).join(" ").trim();
}
