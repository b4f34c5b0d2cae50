import { check } from "./check.js";

/** `npm run check -- PATH…`: checks kit folders and rule files; everything when none is named. */
const { problems, kits, holes, rules, examples } = await check(process.argv.slice(2));
for (const { code, where, message, fix } of problems) {
  const place = `${where.file ?? ""}${where.pointer === undefined ? "" : `#${where.pointer}`}`;
  console.error(`${code}${place && `  ${place}`}\n  ${message}\n  fix: ${fix}\n`);
}
const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;
console.log(
  `${counted(kits, "kit")}, ${counted(holes, "hole")}, ${counted(rules, "rule")} with ${counted(examples, "example")}: ` +
    (problems.length === 0 ? "nothing wrong." : `${counted(problems.length, "problem")}.`),
);
process.exitCode = problems.length === 0 ? 0 : 1;
