import { spawn } from "node:child_process";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { PROJECT } from "../../server/files.js";
import { makeKey } from "../../server/keys/key.js";
import { signerOf } from "../../server/review/review-answer.js";
import { sealReview } from "../../server/review/review-file.js";
import type { Review } from "../../server/review/types.js";
import { hashOfRule } from "../../server/shop/life.js";
import { aRule } from "../routes/a-rule.js";
import { PATIENCE_MS, tempFolder } from "./program.js";

const ida = await makeKey("Ida", "mentor", "2031-05-04T10:00:00.000Z");
const text = aRule("wooden-bar");
const review: Review = {
  format: "tailroom review 1",
  kit: { id: "kit", name: "Kit", revision: "A" },
  rule: text.id,
  revision: 1,
  hash: hashOfRule(text),
  proposal: 2,
  author: "builder",
  proposedBy: "builder",
  proposedAt: "2031-05-04T10:00:00.000Z",
  comments: [],
  version: 2,
  text,
  shown: {
    words: ["Where the row is the first."],
    changes: null,
    problems: [],
    departures: [],
    findings: [],
    examples: [],
    impact: [],
    earlier: [],
  },
};

/** Signs on the terminal, the key on standard input. */
function sign(
  args: readonly string[],
  key: string,
): Promise<{ code: number | null; out: string; err: string }> {
  const child = spawn(
    process.execPath,
    ["--import", "tsx", join(PROJECT, "server", "key-cli.ts"), "sign", ...args],
    { cwd: PROJECT },
  );
  let [out, err] = ["", ""];
  child.stdout.setEncoding("utf8").on("data", (more: string) => {
    out += more;
  });
  child.stderr.setEncoding("utf8").on("data", (more: string) => {
    err += more;
  });
  child.stdin.end(key);
  return new Promise((resolve) => child.on("close", (code) => resolve({ code, out, err })));
}

describe("answering a review on the terminal", { timeout: PATIENCE_MS }, () => {
  it("shows it in words, and writes a signed answer beside it, once", async () => {
    const folder = tempFolder();
    const file = join(folder, "review.json");
    writeFileSync(file, JSON.stringify(sealReview(review, Buffer.alloc(32))));
    const args = [file, "--accept", "--comment", "Well seen.", "--comment", "/why: Which piece?"];
    const signed = await sign(args, `${ida.shown}\n`);
    expect(signed).toMatchObject({ code: 0, err: expect.stringContaining("Where the row is the first.") });
    expect(signed.err + signed.out).not.toContain(ida.shown.slice(11));

    const path = join(folder, "answer-wooden-bar-1.json");
    expect(signed.out.trim()).toBe(path);
    const answer = JSON.parse(readFileSync(path, "utf8"));
    expect(answer.answer).toEqual({
      step: "accept",
      comments: [
        { at: null, text: "Well seen." },
        { at: "/why", text: "Which piece?" },
      ],
      reference: null,
    });
    expect(signerOf(answer, ida.stored)).toBe(ida.stored);

    const again = await sign(args, `${ida.shown}\n`);
    expect(again).toMatchObject({ code: 1, err: expect.stringContaining("ANSWER_NOT_WRITTEN") });
  });

  it("writes nothing without a decision, a reason for sending back, a key, or a review", async () => {
    const folder = tempFolder();
    const file = join(folder, "review.json");
    const other = join(folder, "other.json");
    writeFileSync(file, JSON.stringify(sealReview(review, Buffer.alloc(32))));
    writeFileSync(other, "[]");
    const refusals = [
      [await sign([file], ida.shown), "ARGUMENT_INVALID"],
      [await sign([file, "--return"], ida.shown), "ARGUMENT_INVALID"],
      [await sign([file, "--accept"], ""), "KEY_UNREADABLE"],
      [await sign([file, "--accept"], "not a key\n"), "KEY_UNREADABLE"],
      [await sign([other, "--accept"], ida.shown), "REVIEW_UNREADABLE"],
      [await sign([join(folder, "none.json"), "--accept"], ida.shown), "REVIEW_UNREADABLE"],
    ] as const;
    for (const [{ code, err }, problem] of refusals)
      expect({ code, err }).toMatchObject({ code: 1, err: expect.stringContaining(problem) });
    expect(readdirSync(folder).sort()).toEqual(["other.json", "review.json"]);
  });
});
