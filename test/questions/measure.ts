import { judge, phrasingSet, readOn, shelfOf, type Tally, tally } from "./phrasings.js";

/**
 * Prints how questions are read, by form: right, asked back, wrong. `npm run reading` shows both sets as numbers;
 * `npm run reading -- --show` lists what is not right in the work set. The kept set is never listed.
 */
const show = process.argv.includes("--show");

for (const name of ["work", "kept"]) {
  const file = phrasingSet(name);
  const shelf = shelfOf(file.kit, file.assembly);
  const { rows, all } = tally(shelf, file.phrasings);
  console.log(`\n${name}: ${file.phrasings.length} phrasings`);
  console.log(line(["form", "right", "asked back", "wrong", "right %", "wrong %"]));
  for (const row of [...rows, all]) console.log(line(cells(row)));
  if (!show || name === "kept") continue;
  for (const phrasing of file.phrasings) {
    const outcome = readOn(shelf, phrasing.ask, phrasing.after ?? null);
    const result = judge(phrasing, outcome, shelf);
    if (result === "right") continue;
    const got = outcome.kind === "read" ? outcome.asked : { ...outcome.doubt, unread: outcome.unread };
    console.log(
      `${result}: ${phrasing.ask}\n    wanted ${JSON.stringify(phrasing.read)}\n    got    ${JSON.stringify(got)}`,
    );
  }
}

function cells({ form, right, askedBack, wrong }: Tally): string[] {
  const total = right + askedBack + wrong;
  const percent = (part: number): string => ((100 * part) / total).toFixed(1);
  return [form, `${right}`, `${askedBack}`, `${wrong}`, percent(right), percent(wrong)];
}

function line([form = "", ...numbers]: readonly string[]): string {
  return form.padEnd(16) + numbers.map((number) => number.padStart(12)).join("");
}
