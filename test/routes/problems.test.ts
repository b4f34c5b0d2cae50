import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { PROJECT } from "../../server/files.js";
import { Problem } from "../../server/problem.js";
import { CATALOGUE, documentOf } from "../../server/routes/problems.js";
import { VersionStale } from "../../server/store/decide.js";

/** Where a request can end: these codes leave through HTTP. */
const ON_THE_WAY = [
  "routes",
  "recording.ts",
  "rule-life.ts",
  "trial.ts",
  "preview.ts",
  "review/review.ts",
  "review/review-file.ts",
  "review/review-answer.ts",
  "workshop.ts",
  "ask/ask.ts",
  "store/decide.ts",
  "store/memory.ts",
];
/** Thrown while the page is loaded, before anything is served. */
const AT_THE_START = ["PAGE_MISSING", "PAGE_BROKEN"];
/** Thrown where a mentor signs, on the terminal. */
const ON_THE_TERMINAL = ["KEY_UNREADABLE"];

function textsOf(path: string): string[] {
  if (!statSync(path).isDirectory()) return [readFileSync(path, "utf8")];
  return readdirSync(path).flatMap((name) => textsOf(join(path, name)));
}

describe("a problem", () => {
  it("that a request can meet has its status and title in the catalogue", () => {
    const texts = ON_THE_WAY.flatMap((path) => textsOf(join(PROJECT, "server", path)));
    const thrown = texts.flatMap((text) =>
      [...text.matchAll(/(?:new Problem|unknown)\(\s*"([A-Z_]+)"/g)].map(([, code]) => code ?? ""),
    );
    expect(thrown.length).toBeGreaterThan(20);
    const unlisted = thrown.filter(
      (code) => !(code in CATALOGUE) && ![...AT_THE_START, ...ON_THE_TERMINAL].includes(code),
    );
    expect(unlisted).toEqual([]);
  });

  it("becomes a document with what is wrong, where, and a way out", () => {
    const problem = new Problem("MARK_REFUSED", "There is no such hole.", {
      where: { pointer: "/marks/0/hole" },
      fix: "Name a hole as PART.ROW.N.",
      others: [
        new Problem("MARK_REFUSED", "Nor this.", { where: { pointer: "/marks/1/hole" }, fix: "The same." }),
      ],
    });
    expect(documentOf(problem, "POST /api/marks")).toEqual({
      type: "/api/problems#MARK_REFUSED",
      title: "A mark does not fit the kit",
      status: 422,
      code: "MARK_REFUSED",
      detail: "There is no such hole.",
      where: { request: "POST /api/marks", pointer: "/marks/0/hole" },
      fix: "Name a hole as PART.ROW.N.",
      errors: [
        {
          code: "MARK_REFUSED",
          detail: "Nor this.",
          where: { request: "POST /api/marks", pointer: "/marks/1/hole" },
          fix: "The same.",
        },
      ],
    });
  });

  it("of a stale version says where the book stands", () => {
    expect(documentOf(new VersionStale(3, 5), "POST /api/marks")).toMatchObject({ status: 412, version: 5 });
  });

  it("of the core that the catalogue does not know is a request that cannot be carried out", () => {
    const problem = new Problem("SOMETHING_NEW", "It cannot be done.", { fix: "Do otherwise." });
    expect(documentOf(problem, "POST /api/ask").status).toBe(422);
  });

  it("never shows a path of the machine, and tells at most 20 more", () => {
    const others = Array.from({ length: 50 }, () => new Problem("X", "Wrong.", { fix: "Right." }));
    for (const file of ["/home/me/shop-book.sqlite", "C:\\me\\shop-book.sqlite"]) {
      const document = documentOf(
        new Problem("SHOPBOOK_FULL", "Full.", { where: { file }, fix: "Room.", others }),
        "x",
      );
      expect(JSON.stringify(document)).not.toContain("me");
      expect(document.errors).toHaveLength(20);
    }
    const ours = new Problem("X", "Wrong.", { where: { file: "rules/handbook.json" }, fix: "Right." });
    expect(documentOf(ours, "x").where.file).toBe("rules/handbook.json");
  });
});
