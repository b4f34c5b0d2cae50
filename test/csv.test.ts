import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { csvOf } from "../server/csv.js";

/** Reads a table back. @source RFC 4180, section 2 */
function read(text: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let at = 0;
  while (at < text.length) {
    let field = "";
    if (text[at] === '"') {
      for (at += 1; !(text[at] === '"' && text[at + 1] !== '"'); at += 1) {
        if (text[at] === '"') at += 1;
        field += text[at];
      }
      at += 1;
    } else for (; !/^(,|\r\n)/.test(text.slice(at, at + 2)); at += 1) field += text[at];
    row.push(field);
    if (text[at] === ",") at += 1;
    else {
      rows.push(row);
      row = [];
      at += 2;
    }
  }
  return rows;
}

describe("a table as comma-separated values", () => {
  it("quotes what has a comma, a quote or a line end, and ends its lines with CR LF", () => {
    expect(csvOf([["a", 'say "b"', "c,d", "e\nf", 4.1, null]])).toBe('a,"say ""b""","c,d","e\nf",4.1,\r\n');
  });

  it.each([
    '=HYPERLINK("http://x")',
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =1",
    "＝1",
    "=cmd|' /C calc'!A0",
  ])("never lets a spreadsheet take %j for a formula", (text) => {
    expect(read(csvOf([[text]]))).toEqual([[`'${text}`]]);
  });

  it("leaves numbers, dates, ids and plain words as they are", () => {
    for (const text of ["RIB-3.top.8", "2031-05-04", "4.1", "rib 4, holes 2–6", "a = b", "'"]) {
      expect(read(csvOf([[text, -0.5]]))).toEqual([[text, "-0.5"]]);
    }
  });

  it("for any texts: gives them back, but for the apostrophe in front of a formula", () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(fc.string({ unit: "binary" }), { minLength: 1, maxLength: 4 }), { minLength: 1 }),
        (rows) => {
          const back = read(csvOf(rows));
          expect(back.map((row) => row.length)).toEqual(rows.map((row) => row.length));
          for (const [i, row] of rows.entries()) {
            for (const [j, text] of row.entries()) expect([text, `'${text}`]).toContain(back[i]?.[j]);
          }
        },
      ),
    );
  });
});
