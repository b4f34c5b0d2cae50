import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { answerText } from "../../server/answer-text.js";
import { ask } from "../../server/ask/ask.js";
import { memoryBook } from "../../server/store/memory.js";
import { SHOP_BOOK, sqliteBook } from "../../server/store/sqlite.js";
import { openWorkshop } from "../../server/workshop.js";
import { assembly, kit, library, place } from "../support/library.js";
import { PATIENCE_MS, run, tempFolder } from "./program.js";

const part = assembly.parts.find(({ id }) => id === assembly.closings[0])?.name ?? "";
const QUESTION = `What must be set before the ${part} closes?`;

describe("asking on the terminal", { timeout: PATIENCE_MS }, () => {
  it("gives the answer that the page gets", async () => {
    const program = run("ask-cli", [QUESTION, "--data", join(tempFolder(), "none")]);
    expect(await program.ended).toBe(0);
    const job = await openWorkshop(library, memoryBook()).job(place.kit, place.assembly);
    const answer = ask(job, { question: QUESTION }, library.forms);
    expect(answer.outcome).toBe("answered");
    expect(program.out).toBe(`${kit.name}, ${assembly.name}\n\n${answerText(answer, job, 100)}\n\n`);
    expect(program.err).toBe("");
  });

  it("takes the words unquoted too, and asks back with numbers when it has not read them whole", async () => {
    const program = run("ask-cli", [
      "what",
      "must",
      "be",
      "set",
      "before",
      "it",
      "closes",
      "--data",
      tempFolder(),
    ]);
    expect(await program.ended).toBe(2);
    expect(program.out).toMatch(/Choose one:\n {2}1\. /);
  });

  it("follows the work in the shop book, and makes none where none is", async () => {
    const data = tempFolder();
    const hole = assembly.holes[0]?.id ?? "";
    const book = sqliteBook(join(data, SHOP_BOOK));
    const marks = [{ kind: "hole", hole, state: "set" } as const];
    book.append([{ kind: "marks", by: "builder", ...place, body: { marks } }], { key: "k", expected: 0 });
    book.close();
    const after = run("ask-cli", [`May I set ${hole}?`, "--data", data]);
    const before = run("ask-cli", [`May I set ${hole}?`, "--data", join(data, "none")]);
    await Promise.all([after.ended, before.ended]);
    expect(after.out).toContain("set already");
    expect(before.out).not.toContain("set already");
    expect(before.out).not.toBe("");
  });

  it.each([
    ["no question", [], /^ARGUMENT_INVALID: There is no question\. Fix: .*npm run ask/],
    ["an unknown option", ["why?", "--kitt", "x"], /^ARGUMENT_INVALID: /],
    ["an unknown kit", ["why?", "--kit", "nokit"], /^UNKNOWN_KIT: .* Fix: /],
    ["an unknown assembly", ["why?", "--assembly", "none"], /^UNKNOWN_ASSEMBLY: .* Fix: /],
    ["a question without end", ["x".repeat(2001)], /^ARGUMENT_INVALID: /],
  ])("refuses %s in one line and exits with 1", async (_what, args, message) => {
    const program = run("ask-cli", [...args, "--data", join(tempFolder(), "none")]);
    expect(await program.ended).toBe(1);
    expect(program.err).toMatch(message);
    expect(program.err.trim().split("\n")).toHaveLength(1);
  });
});
