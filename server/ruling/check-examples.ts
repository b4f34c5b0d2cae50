import type { Spot } from "../kit/findings.js";
import type { Scope } from "./check-conditions.js";
import { checkText } from "./check-conditions.js";
import { misfit } from "./domain.js";
import { isRecord, sayValue } from "./json.js";
import { nearest } from "./nearest.js";

/** What examples may speak of. */
export interface ExampleScope extends Scope {
  /** Ids of the kit's holes; null = no kit is at hand. */
  readonly holes: ReadonlySet<string> | null;
}

/** Notes what is wrong with a rule's examples as written; whether they come out is run in `examples.ts`. */
export function checkExampleForms(examples: unknown, spot: Spot, scope: ExampleScope): void {
  if (!Array.isArray(examples)) return; // the schema says so
  examples.forEach((example: unknown, i) => {
    const here = spot.at(i);
    if (!isRecord(example)) {
      here.add("EXAMPLE_MALFORMED", "An example must be an object.", `Write {"hole" or "facts", "fires"}.`);
      return;
    }
    for (const key of Object.keys(example)) {
      if (!["hole", "facts", "fires", "why"].includes(key)) {
        here.at(key).add("EXAMPLE_MALFORMED", `"${key}" has no place in an example.`, "Take it out.");
      }
    }
    if (typeof example.fires !== "boolean") {
      here.at("fires").add("EXAMPLE_MALFORMED", `"fires" must be true or false.`, "Say which.");
    }
    if (Object.hasOwn(example, "hole") === Object.hasOwn(example, "facts")) {
      here.add(
        "EXAMPLE_MALFORMED",
        "An example names a hole, or gives facts; one of the two.",
        "Keep one of them.",
      );
    } else if (Object.hasOwn(example, "hole")) checkHole(example.hole, here.at("hole"), scope);
    if (isRecord(example.facts)) checkFacts(example.facts, here.at("facts"), scope);
  });
  for (const fires of [true, false]) {
    if (!examples.some((example) => isRecord(example) && example.fires === fires)) {
      spot.add(
        "EXAMPLES_MISSING",
        fires ? "No example shows where the rule fires." : "No example shows where the rule does not fire.",
        `Add an example with "fires": ${fires}.`,
      );
    }
  }
}

function checkHole(hole: unknown, here: Spot, scope: ExampleScope): void {
  if (!scope.ofKit) {
    here.add(
      "EXAMPLE_HOLE",
      "A rule for any kit cannot name a hole of one.",
      "Give facts in its place, or name the kit in the file.",
    );
  } else if (scope.holes && (typeof hole !== "string" || !scope.holes.has(hole))) {
    const near = typeof hole === "string" ? nearest(hole, scope.holes) : null;
    here.add(
      "EXAMPLE_HOLE",
      `The kit has no hole ${sayValue(hole)}.`,
      near ? `Did you mean "${near}"?` : "Name one of its holes.",
    );
  }
}

function checkFacts(facts: Readonly<Record<string, unknown>>, here: Spot, scope: ExampleScope): void {
  for (const [name, value] of Object.entries(facts)) {
    const domain = scope.domains.get(name);
    if (!domain) {
      const near = nearest(name, scope.domains.keys());
      here
        .at(name)
        .add(
          "FACT_UNKNOWN",
          `There is no fact "${name}".`,
          near ? `Did you mean "${near}"?` : "Use a fact of rules/facts.json.",
        );
      continue;
    }
    const wrong = misfit(domain, value);
    if (wrong) {
      here
        .at(name)
        .add("VALUE_TYPE", `${sayValue(value)} does not fit "${name}": ${wrong}.`, "Write such a value.");
    } else if ((domain.type === "text" || domain.type === "list") && (scope.ofKit || !domain.kitTexts)) {
      for (const text of Array.isArray(value) ? value : [value]) {
        checkText(name, text, domain.texts, here.at(name));
      }
    }
  }
}
