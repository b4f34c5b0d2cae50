import { describe, expect, it } from "vitest";
import { citedSources } from "../../server/ask/table-sources.js";
import { sayCitation } from "../../server/ask/wording/sizes.js";
import { tableOf } from "../../server/fastener/table.js";
import { tables } from "../../server/fastener/tables.js";

const SOURCES = Object.values(tables).flatMap(({ rows }) => rows.map(({ source }) => source));

describe("where a table's value comes from", () => {
  it("is a document and a place in it, for every row of every table", () => {
    expect(SOURCES.length).toBeGreaterThan(200);
    for (const { title, part } of SOURCES) {
      expect(title).not.toBe("");
      expect(part, title).not.toBe("");
    }
  });

  it("is said with how far it was verified, wherever it is cited", () => {
    for (const source of SOURCES) {
      const [cited] = citedSources([source]);
      const said = [`${cited?.document}, ${cited?.place}`, sayCitation(source)];
      for (const text of said) {
        expect(/from memory, not verified/.test(text)).toBe(source.confidence === "unverified");
        expect(/as quoted by a secondary source/.test(text)).toBe(source.confidence === "secondary");
      }
    }
  });

  it("a source without a place is refused", () => {
    const file = {
      format: "tailroom table 1",
      id: "trial",
      title: "Trial",
      units: "mm",
      rows: [{ source: "cards" }],
      sources: { cards: { title: "Cards", part: "", dated: null, confidence: "read" } },
    };
    expect(() => tableOf(file)).toThrow(expect.objectContaining({ code: "TABLE_INVALID" }));
  });
});
