import { readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Note, readNote, renderNote } from "../../server/ask/note.js";
import { NO_NOTES, shelveNotes } from "../../server/ask/notes.js";
import { Problem } from "../../server/problem.js";
import type { SourceFile } from "../../server/source.js";

const FOLDER = new URL("../../kb/notes/", import.meta.url);
const files: SourceFile[] = readdirSync(FOLDER)
  .filter((name) => name.endsWith(".md"))
  .map((name) => ({ path: `kb/notes/${name}`, text: readFileSync(new URL(name, FOLDER), "utf8") }));
const shelf = shelveNotes(files);

function bodyOf(note: Note): string {
  const text = files.find((file) => file.path.endsWith(`/${note.id}.md`))?.text ?? "";
  return text.slice(text.indexOf("\n---\n") + 5);
}

function noteOf(body: string, sources = ""): SourceFile {
  return {
    path: "kb/notes/trial.md",
    text: `---\ntitle: Trial\nwords: trial\nsources:\n${sources}---\n${body}\n`,
  };
}

/** Any tag that is not on this list would be one that the page did not ask for. */
const PLAIN_TAG =
  /^<\/?(p|br|hr|h3|h4|ul|ol|li|blockquote|em|strong|del|code|pre|sup|table|thead|tbody|tr|th|td)( \/)?>$/;

describe("the notes on the shelf", () => {
  it("are at least twenty, and all can be read", () => {
    expect(shelf.problems.map(String)).toEqual([]);
    expect(shelf.notes.length).toBeGreaterThanOrEqual(20);
  });

  it.each(shelf.notes)("$id is short: 80 to 200 words", (note) => {
    const words = bodyOf(note)
      .replace(/\[\d+\]/g, "")
      .split(/\s+/)
      .filter((word) => /\w/.test(word));
    expect(words.length).toBeGreaterThanOrEqual(80);
    expect(words.length).toBeLessThanOrEqual(200);
  });

  it.each(shelf.notes)(
    "$id gives a source for every paragraph, or says that it is common practice",
    (note) => {
      let underCommonPractice = false;
      const unmarked = bodyOf(note)
        .trim()
        .split(/\n\n/)
        .filter((paragraph) => {
          const isList = paragraph.startsWith("- ");
          const opens = paragraph.replace(/\s+/g, " ").startsWith("Common practice, no source:");
          if (opens) underCommonPractice = true;
          else if (!isList && !underCommonPractice) {
            return !/\[\d+\]|\((common practice, no source|arithmetic)\)/.test(
              paragraph.replace(/\s+/g, " "),
            );
          }
          return false;
        });
      expect(unmarked).toEqual([]);
    },
  );

  it.each(shelf.notes)("$id uses every source that it lists", (note) => {
    const cited = new Set([...bodyOf(note).matchAll(/\[(\d+)\]/g)].map((match) => Number(match[1])));
    expect([...cited].sort()).toEqual(note.sources.map((_, i) => i + 1));
  });

  it("answer the words that a builder would use", () => {
    const best = (text: string) => shelf.search(text)[0]?.note.id;
    expect(best("how do I drill out a pulled rivet")).toBe("drilling-out-pulled-rivets");
    expect(best("oversize hole")).toBe("oversize-holes");
    expect(best("why leave holes open")).toBe("holding-holes-open");
    expect(best("twist")).toBe("twist-check");
    expect(best("chips between the sheets")).toBe("chips-between-sheets");
    expect(best("dimple both layers")).toBe("dimple-both-layers");
  });

  it("are found over a slip of the finger", () => {
    expect(shelf.search("dimpel")[0]?.note.id).toBe("dimpling");
  });

  it("say nothing to words that no note has", () => {
    expect(shelf.search("zebra")).toEqual([]);
    expect(shelf.search("the and of")).toEqual([]);
    expect(NO_NOTES.search("dimple")).toEqual([]);
  });

  it("are searched with any text at all without an error", () => {
    expect(shelf.search("rivets: that~ +get -walled* ^2 title:x")[0]?.note.id).toBe("walled-in-rivets");
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 400 }), (text) => {
        for (const hit of shelf.search(text)) expect(shelf.get(hit.note.id)).toBe(hit.note);
      }),
    );
  });
});

describe("a note's Markdown", () => {
  it.each([
    ["a script", "<script>alert(1)</script>", /script|alert/],
    ["an event handler", "<img src=x onerror=alert(1)> <p onclick='a()'>x</p>", /onerror|onclick|<img/],
    ["a link that runs code", "[x](javascript:alert(1))", /<a|href/],
    ["a frame", "<iframe src='https://example.org'></iframe>", /iframe/],
    ["a style", "<p style='position:fixed'>x</p><style>p{}</style>", /style/],
    ["an svg", "<svg><g onload=alert(1)></g></svg>", /svg|onload/],
    ["a form", "<form action=/x><input name=y></form>", /form|input/],
  ])("loses %s", (_, text, bad) => {
    expect(renderNote(text)).not.toMatch(bad);
  });

  it("keeps what a note needs: paragraphs, lists, emphasis, source marks", () => {
    expect(renderNote("Take **care**. [1]\n\n- one\n- two")).toBe(
      "<p>Take <strong>care</strong>. <sup>[1]</sup></p>\n<ul>\n<li>one</li>\n<li>two</li>\n</ul>\n",
    );
  });

  it("nested too deep, or far too long, is shown as plain text instead of failing", () => {
    for (const text of [">".repeat(9_000), "[".repeat(9_000), "> - ".repeat(2_000), "a".repeat(30_000)]) {
      expect(renderNote(text)).toMatch(/^<pre>[^<]*<\/pre>$/);
    }
    expect(renderNote("<b>".repeat(9_000))).not.toMatch(/<b>/);
  });

  it("never gives a tag beyond the few that notes use, nor any attribute", () => {
    const piece = fc.oneof(
      fc.string({ maxLength: 20 }),
      fc.constantFrom(
        "<",
        ">",
        "<a href=",
        "<script>",
        "&lt;",
        "`",
        "\n> ",
        "\n- ",
        "![",
        "](",
        '"',
        "<p on",
        "\n|",
      ),
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 30 }), (pieces) => {
        const tags = renderNote(pieces.join("")).match(/<[^>]*>?/g) ?? [];
        for (const tag of tags) expect(tag).toMatch(PLAIN_TAG);
      }),
      { numRuns: 500 },
    );
  });
});

describe("a note that cannot be read", () => {
  it.each([
    ["without front matter", { path: "kb/notes/trial.md", text: "Just text." }],
    ["without a title", { path: "kb/notes/trial.md", text: "---\nwords: a\n---\nText." }],
    ["without text", noteOf("")],
    ["with a source that lacks its place", noteOf("Text. [1]", "  - A book | 1998\n")],
    ["with a standing that is none", noteOf("Text. [1]", "  - A book | page 1 | 1998 | heard\n")],
    ["citing a source that it does not list", noteOf("Text. [2]", "  - A book | page 1 | 1998 | read\n")],
  ])("%s is refused, naming the file", (_, file) => {
    let problem: unknown;
    try {
      readNote(file);
    } catch (error) {
      problem = error;
    }
    expect(problem).toBeInstanceOf(Problem);
    expect(problem).toMatchObject({ code: "NOTE_MALFORMED", where: { file: "kb/notes/trial.md" } });
  });

  it("is left out, and the other notes still serve", () => {
    const mixed = shelveNotes([...files, { path: "kb/notes/broken.md", text: "???" }]);
    expect(mixed.problems.map((problem) => problem.where.file)).toEqual(["kb/notes/broken.md"]);
    expect(mixed.notes.length).toBe(shelf.notes.length);
    expect(mixed.search("twist")[0]?.note.id).toBe("twist-check");
  });

  it("of the same name as another is left out and reported", () => {
    const twice = shelveNotes([
      noteOf("Some text."),
      { ...noteOf("Other text."), path: "kb/other/trial.md" },
    ]);
    expect(twice.notes.length).toBe(1);
    expect(twice.problems[0]?.message).toContain("two notes");
  });
});
