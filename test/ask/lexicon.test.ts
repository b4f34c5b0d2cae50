import { expect, test } from "vitest";
import file from "../../kb/lexicon.json" with { type: "json" };
import { lexicon } from "../../server/ask/lexicon.js";

const groups: Readonly<
  Record<
    string,
    { readonly says: string; readonly with?: readonly string[]; readonly words: readonly string[] }
  >
> = file.groups;

test("a group of words takes in only groups that stand before it", () => {
  const names = Object.keys(groups);
  for (const [at, { with: others = [] }] of Object.values(groups).entries())
    for (const other of others) expect(names.slice(0, at), other).toContain(other);
});

test("a word stands once in its group, in order, and not in one that the group takes in", () => {
  for (const [name, { with: others = [], words }] of Object.entries(groups)) {
    expect(words, name).toEqual([...new Set(words)].sort());
    for (const other of others)
      expect(
        words.filter((word) => lexicon().group(other)?.has(word)),
        `${name} and ${other}`,
      ).toEqual([]);
  }
});

test("whoever reports by hearsay is in doubt, and whoever is in doubt states nothing", () => {
  expect(lexicon().isOf("allegedly", "as-told")).toBe(true);
  expect(lexicon().isOf("allegedly", "doubting")).toBe(true);
  expect(lexicon().isOf("allegedly", "hedge")).toBe(true);
  expect(lexicon().isOf("perhaps", "as-told")).toBe(false);
  expect(lexicon().isOf("riveted", "hedge", "binding", "mishap")).toBe(false);
});
