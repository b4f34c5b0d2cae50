import { check } from "./check.js";
import type { Problem } from "./problem.js";

/**
 * `npm run check -- PATH…`: checks kit folders and rule files; everything when none is named. Ends with 1 when
 * something is wrong; what is only odd is told and changes nothing.
 */
const { problems, warnings, notJudged, kits, holes, rules, examples } = await check(process.argv.slice(2));
const tell = ({ code, where, message, fix }: Problem, before: string): void => {
  const place = `${where.file ?? ""}${where.pointer === undefined ? "" : `#${where.pointer}`}`;
  console.error(`${before}${code}${place && `  ${place}`}\n  ${message}\n  fix: ${fix}\n`);
};
for (const problem of problems) tell(problem, "");
for (const warning of warnings) tell(warning, "warning: ");
const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;
if (notJudged > 0) {
  console.error(`${counted(notJudged, "rule")} not compared with the others for want of time.\n`);
}
console.log(
  `${counted(kits, "kit")}, ${counted(holes, "hole")}, ${counted(rules, "rule")} with ${counted(examples, "example")}: ` +
    (problems.length === 0 ? "nothing wrong" : counted(problems.length, "problem")) +
    (warnings.length === 0 ? "." : `, ${counted(warnings.length, "warning")}.`),
);
process.exitCode = problems.length === 0 ? 0 : 1;
