import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { ask } from "../server/ask/ask.js";
import { FIRST_LINE } from "../server/ask/first-line.js";
import { loadLibrary } from "../server/library.js";
import { jobFromDisk } from "./support/job.js";

/** Question and headline pairs of the README: a bold line that asks, then a quote that answers. */
const readme = readFileSync(new URL("../README.md", import.meta.url), "utf8");
const pairs = [...readme.matchAll(/^\*\*(?<question>.+\?)\*\*\n\n> (?<headline>.+)$/gm)];

it("the README shows five questions with the answers that the program gives", async () => {
  const job = await jobFromDisk();
  const { forms } = loadLibrary();
  expect(pairs.length).toBe(5);
  for (const { groups } of pairs) {
    const answer = ask(job, { question: groups?.question ?? "" }, forms);
    expect(answer.headline, groups?.question).toBe(groups?.headline);
    expect(answer.headline.length, groups?.question).toBeLessThanOrEqual(FIRST_LINE);
  }
});
