import { beforeAll, describe, expect, it } from "vitest";
import { FIRST_LINE, withFirstLine } from "../../server/ask/first-line.js";
import type { FormSpec } from "../../server/ask/form.js";
import { FORMS } from "../../server/ask/forms/index.js";
import { loadForms } from "../../server/ask/questions.js";
import type { FormAnswer, Job, Slots } from "../../server/ask/types.js";
import { sentencesIn } from "../../server/ask/wording/grammar.js";
import { planOf } from "../../server/order/plan.js";
import { Problem } from "../../server/problem.js";
import { marksOf } from "../support/any-bench.js";
import { everyQuestion } from "../support/every-question.js";
import { allGatesDone, filesIn, GAP_MEASURED, jobFromDisk, rowMarks } from "../support/job.js";

const specs = loadForms(filesIn("kb/questions", ".json"));
/** Forms that say their first line in brief where it would be long. */
const BRIEF =
  "before-closing close-later may-i next odd-ones plan progress repair rework stay-open tell tools why-not".split(
    " ",
  );
/** The longest title of a rule, the longest place and a few words go into one of these. */
const MOST_IN_BRIEF = 240;
const MOST = 400;
/** Questions of one form that are asked of one job, spread over all of them. */
const SOME = 25;

let jobs: readonly Job[];
beforeAll(async () => {
  const fresh = await jobFromDisk();
  const door = await jobFromDisk({ kit: "vetch-six" });
  const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(fresh, row, "set"));
  const measured = await jobFromDisk({ moreRules: [GAP_MEASURED] });
  jobs = [
    fresh,
    await jobFromDisk({ marks: [...allGatesDone(fresh), ...feet] }),
    await jobFromDisk({
      moreRules: [GAP_MEASURED],
      marks: planOf(measured).steps.slice(0, 60).flatMap(marksOf),
    }),
    door,
    await jobFromDisk({ kit: "vetch-six", marks: allGatesDone(door) }),
    await jobFromDisk({ kit: "vetch-six", marks: planOf(door).steps.slice(0, 25).flatMap(marksOf) }),
  ];
});

/** What a form answers to some of its questions, as it is and with its first line made short. */
function* answers(
  job: Job,
  spec: FormSpec,
): Generator<{ slots: Slots; told: FormAnswer; short: FormAnswer }> {
  const all = everyQuestion(job, spec);
  const stride = Math.max(1, Math.floor(all.length / SOME));
  for (let at = 0; at < all.length; at += stride) {
    const slots = all[at] ?? {};
    const told = answered(job, spec, slots);
    if (told) yield { slots, told, short: withFirstLine(told) };
  }
}

function answered(job: Job, { id }: FormSpec, slots: Slots): FormAnswer | null {
  try {
    return FORMS.get(id)?.answer(job, slots) ?? null;
  } catch (error) {
    if (error instanceof Problem) return null;
    throw error;
  }
}

describe("the first line of an answer", () => {
  it("is one that can be taken in at a glance, on both kits and however far the work is", () => {
    for (const spec of specs) {
      const lengths: number[] = [];
      for (const job of jobs) {
        for (const { slots, short } of answers(job, spec)) {
          const most = BRIEF.includes(spec.id) ? MOST_IN_BRIEF : MOST;
          expect(
            short.headline.length,
            `${spec.id} ${JSON.stringify(slots)}: ${short.headline}`,
          ).toBeLessThanOrEqual(most);
          lengths.push(short.headline.length);
        }
      }
      expect(lengths.length, spec.id).toBeGreaterThan(0);
      const fitting = lengths.filter((length) => length <= FIRST_LINE).length;
      if (BRIEF.includes(spec.id)) expect(fitting / lengths.length, spec.id).toBeGreaterThanOrEqual(0.4);
    }
  }, 120_000);

  it("leaves nothing out: what it has no room for is the first row, word for word", () => {
    for (const spec of specs) {
      for (const job of jobs) {
        for (const { told, short } of answers(job, spec)) {
          const [also, ...rows] = short.rows;
          if (short.headline === told.headline) {
            expect(short.rows).toEqual(told.rows);
            continue;
          }
          expect(also?.kind).toBe(told.headline.startsWith(short.headline) ? "also" : "in full");
          expect(rows).toEqual(told.rows);
          const all = told.headline.startsWith(short.headline)
            ? `${short.headline} ${also?.what}`
            : also?.what;
          expect(all, spec.id).toBe(told.headline);
        }
      }
    }
  }, 120_000);

  it("says the verdict of the whole: in brief it never leads with another word than in full", () => {
    for (const job of jobs) {
      for (const spec of specs.filter(({ id }) => id === "may-i")) {
        for (const { told, short } of answers(job, spec)) {
          const lead = /^(Yes|No, not now|No|Not decided|The rules contradict each other)/;
          expect(lead.exec(short.headline)?.[0]).toBe(lead.exec(told.headline)?.[0]);
          expect(lead.test(short.headline)).toBe(true);
        }
      }
    }
  });

  it("ends at a sentence's end, and a drill's number ends none", () => {
    expect(sentencesIn("No. 30 fits. 5 rivets go in. Set them.")).toEqual([
      "No. 30 fits.",
      "5 rivets go in.",
      "Set them.",
    ]);
    const text = "“It holds.” Measure it, then use a No. 30 drill. Ask.";
    expect(sentencesIn(text).join(" ")).toBe(text);
  });
});
