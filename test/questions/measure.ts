import { type Case, judge, phrasingSet, readCase, type Tally, tally } from "./phrasings.js";

/**
 * Prints how questions are read, by form: right, asked back, wrong. `npm run reading` shows the sets as numbers;
 * `npm run reading -- --show` lists what is not right in the work sets, and names of sets before it print only those; "one tap" are those asked back with the right reading among the choices. The kept set and the fresh one, written when the reader was done, are never listed.
 */
const show = process.argv.includes("--show");

const SETS = [
  "work",
  "kept",
  "fresh",
  "second-hand-work",
  "second-hand-kept",
  "other-hands-work",
  "other-hands-kept",
  "third-hands-work",
  "third-hands-kept",
  "fourth-hands-work",
  "fourth-hands-kept",
  "fifth-hands-kept",
];
const named = process.argv.slice(2).filter((word) => !word.startsWith("--"));

for (const name of named.length > 0 ? named : SETS) {
  const cases = phrasingSet(name);
  const { rows, all } = tally(cases);
  console.log(`\n${name}: ${cases.length} phrasings`);
  console.log(line(["form", "right", "asked back", "one tap", "wrong", "right %", "wrong %"]));
  for (const row of [...rows, all]) console.log(line(cells(row)));
  if (show && name.endsWith("work")) list(cases);
}

function list(cases: readonly Case[]): void {
  for (const one of cases) {
    const outcome = readCase(one);
    const result = judge(one, outcome);
    if (result === "right") continue;
    const { ask, read } = one.phrasing;
    const got = outcome.kind === "read" ? outcome.asked : { ...outcome.doubt, unread: outcome.unread };
    console.log(`${result}: ${ask}\n    wanted ${JSON.stringify(read)}\n    got    ${JSON.stringify(got)}`);
  }
}

function cells({ form, right, askedBack, oneTap, wrong }: Tally): string[] {
  const total = right + askedBack + wrong;
  const percent = (part: number): string => ((100 * part) / total).toFixed(1);
  return [form, `${right}`, `${askedBack}`, `${oneTap}`, `${wrong}`, percent(right), percent(wrong)];
}

function line([form = "", ...numbers]: readonly string[]): string {
  return form.padEnd(16) + numbers.map((number) => number.padStart(12)).join("");
}
