import { existsSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline/promises";
import { parseArgs } from "node:util";
import { answerText } from "./answer-text.js";
import type { Answer } from "./ask/types.js";
import { askAndSolve } from "./asking.js";
import { loadLibrary } from "./library.js";
import { Problem } from "./problem.js";
import { reworkDesk } from "./rework-desk.js";
import type { ShopBook } from "./store/contract.js";
import { memoryBook } from "./store/memory.js";
import { SHOP_BOOK, sqliteBook } from "./store/sqlite.js";
import { openWorkshop, type Workshop } from "./workshop.js";

/** `npm run ask -- "question"`: the same answer as the page's, on the terminal. */
const USAGE = 'npm run ask -- "question" [--kit ID] [--assembly ID] [--data DIR]';

interface Wanted {
  readonly question: string;
  readonly kit: string | undefined;
  readonly assembly: string | undefined;
  readonly data: string;
}

async function run({ question, data, ...where }: Wanted): Promise<void> {
  const library = loadLibrary();
  const book = openBook(data);
  const desk = reworkDesk();
  try {
    const workshop = openWorkshop(library, book);
    const { kit, assembly } = placeOf(workshop, where);
    const job = await workshop.job(kit, assembly);
    const show = (answer: Answer): void => {
      console.log(`${job.kit.name}, ${job.assembly.name}\n`);
      console.log(`${answerText(answer, job, Math.min(process.stdout.columns ?? 100, 120))}\n`);
      process.exitCode = answer.outcome === "answered" || answer.outcome === "proposal" ? 0 : 2;
    };
    let answer = await askAndSolve(job, { question }, library.forms, desk);
    show(answer);
    while (answer.choices && answer.choices.length > 0 && process.stdin.isTTY && process.stdout.isTTY) {
      const choice = answer.choices[(await numberFrom(answer.choices.length)) - 1];
      if (!choice) return;
      answer = await askAndSolve(job, { form: choice.form, slots: choice.slots }, library.forms, desk);
      show(answer);
    }
  } finally {
    await desk.close();
    book.close();
  }
}

/** Only looks: where no shop book is yet, none is made. */
function openBook(data: string): ShopBook {
  const file = join(data, SHOP_BOOK);
  return existsSync(file) ? sqliteBook(file) : memoryBook();
}

/** Where the last work was done when nothing is named, else the first kit's first assembly. */
function placeOf(
  { library, book, kit }: Workshop,
  named: Pick<Wanted, "kit" | "assembly">,
): { kit: string; assembly: string } {
  const last = book
    .since(0)
    .filter((entry) => entry.kind === "marks")
    .findLast((entry) => named.kit === undefined || entry.kit === named.kit);
  const known = last && library.kits.get(last.kit)?.assemblies.some(({ id }) => id === last.assembly);
  const chosen = kit(named.kit ?? (known ? last.kit : ([...library.kits.keys()][0] ?? "")));
  const assembly = known && last.kit === chosen.id ? last.assembly : (chosen.assemblies[0]?.id ?? "");
  return { kit: chosen.id, assembly: named.assembly ?? assembly };
}

async function numberFrom(most: number): Promise<number> {
  const lines = createInterface({ input: process.stdin, output: process.stdout });
  const said = await lines.question(`Number (1 to ${most}, Enter to leave): `);
  lines.close();
  return /^\d+$/.test(said.trim()) ? Number(said) : 0;
}

/** @throws ARGUMENT_INVALID */
function wanted(args: readonly string[]): Wanted {
  const refuse = (what: string): Problem =>
    new Problem("ARGUMENT_INVALID", what, { fix: `Ask with: ${USAGE}` });
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        kit: { type: "string" },
        assembly: { type: "string" },
        data: { type: "string", default: "data" },
      },
    });
    const question = positionals.join(" ").trim();
    if (question === "") throw refuse("There is no question.");
    if (question.length > 2000) throw refuse("The question is longer than 2000 characters.");
    return { question, kit: values.kit, assembly: values.assembly, data: values.data };
  } catch (error) {
    throw error instanceof Problem ? error : refuse((error as Error).message);
  }
}

try {
  await run(wanted(process.argv.slice(2)));
} catch (error) {
  if (!(error instanceof Problem)) throw error;
  for (const problem of [error, ...error.others]) console.error(String(problem));
  process.exitCode = 1;
}
