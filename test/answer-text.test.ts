import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { answerText, wrap } from "../server/answer-text.js";
import type { Answer, Job } from "../server/ask/types.js";

const rule = {
  id: "R-1",
  title: "Flush under the seal",
  why: "the seal rubs",
  basis: { rank: "manual", document: "Manual", place: "8.4", revision: null, dated: null },
};
const job = { rulebook: { byId: new Map([["R-1", rule]]) } } as unknown as Job;

const answer: Answer = {
  outcome: "answered",
  reading: { form: "may-i", slots: { part: "MOUNT" }, said: "May I close the mount now?" },
  verdict: "no",
  headline: "Set two rivets first.",
  holes: ["RIB.top.1", "RIB.top.2"],
  rows: [
    { holes: ["RIB.top.1"], where: "rib, top row, hole 1", what: "walled in once the mount is on" },
    { holes: ["RIB.top.2"], where: "rib, top row, hole 2", what: "the same" },
  ],
  trace: [{ kind: "hold", hole: "RIB.top.1", holes: ["RIB.top.1"], until: "twist", rule: "R-1", why: "" }],
  cautions: ["Wear eye protection."],
  sources: [],
  followUps: [{ form: "why", slots: {}, said: "Why is rib, top row, hole 1 walled in?" }],
  corrected: [{ from: "cloze", to: "close" }],
  version: 0,
};

describe("an answer on the terminal", () => {
  it("says what was read, the verdict, each row, the cautions and why", () => {
    expect(answerText(answer, job, 80)).toBe(
      [
        "Read as: May I close the mount now?",
        "",
        "Read “cloze” as “close”.",
        "",
        "NO: Set two rivets first.",
        "",
        "  rib, top row, hole 1 | walled in once the mount is on",
        "  rib, top row, hole 2 | the same",
        "",
        "Cautions",
        "  - Wear eye protection.",
        "",
        "Why",
        "  - “Flush under the seal” (manual: Manual, 8.4): The seal rubs.",
        "",
        "You may ask next",
        "  - Why is rib, top row, hole 1 walled in?",
      ].join("\n"),
    );
  });

  it("asks back with numbered choices, and names the words it could not use", () => {
    const said = answerText(
      {
        ...answer,
        outcome: "ask-back",
        reading: null,
        verdict: undefined,
        headline: "Which rib?",
        rows: [],
        trace: [],
        cautions: [],
        corrected: [],
        followUps: [],
        notUnderstood: ["blue"],
        choices: [
          { form: "treatment", slots: { part: "RIB-1" }, said: "What is done to rib 1?" },
          { form: "treatment", slots: { part: "RIB-2" }, said: "What is done to rib 2?" },
        ],
      },
      job,
      80,
    );
    expect(said).toBe(
      "Which rib?\n\nNot understood: blue\n\nChoose one:\n  1. What is done to rib 1?\n  2. What is done to rib 2?",
    );
  });

  it("for any width: loses no word, and keeps within the width unless a word is longer", () => {
    const word = fc.string({ unit: fc.constantFrom(..."abc-."), minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(fc.array(word, { maxLength: 30 }), fc.integer({ min: 16, max: 60 }), (words, width) => {
        const lines = wrap(words.join(" "), width, "  ", "    ").split("\n");
        expect(lines.flatMap((line) => line.split(/ +/)).filter((one) => one !== "")).toEqual(words);
        expect(lines.every((line) => line.length <= width)).toBe(true);
      }),
    );
  });
});
