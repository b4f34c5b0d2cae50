import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { finder } from "../../server/kit/find.js";
import { closedParts, stateOf, withMarks } from "../../server/kit/work.js";
import { maySet } from "../../server/order/may-set.js";
import { planOf } from "../../server/order/plan.js";
import type { Plan, PlanStep } from "../../server/order/plan-types.js";
import { nextOf } from "../../server/order/progress.js";
import { reachAt, stackOf } from "../../server/order/standing.js";
import type { Standing } from "../../server/order/types.js";
import { isWalledIn } from "../../server/reach/walled-in.js";
import { anyBench, marksOf, shuffled, standing } from "../support/any-bench.js";

const rivetsOf = (steps: readonly PlanStep[]): string[] =>
  steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));

const done = (here: Standing, step: PlanStep): Standing => ({
  ...here,
  work: withMarks(here.work, marksOf(step)),
});

/** Laws of any plan, after any history of marks. */
describe("a plan, whatever was marked before", () => {
  it("sets each unset rivet once or says why it stays open, and brings each part on once", () => {
    fc.assert(
      fc.property(anyBench(), (bench) => {
        const here = standing(bench);
        const plan = planOf(here);
        const unset = here.assembly.holes.filter(({ id }) => stateOf(here.work, id) !== "set");
        const named = [...rivetsOf(plan.steps), ...plan.leftOpen.map(({ hole }) => hole)];
        const stuck = (plan.impossible?.stuck ?? []).filter((id) => finder(here.assembly).hasHole(id));
        expect(new Set(named).size).toBe(named.length);
        if (plan.status !== "impossible") {
          expect([...named].sort()).toEqual(unset.map(({ id }) => id).sort());
        } else expect(stuck.length).toBeGreaterThan(0);
        const on = plan.steps.flatMap((step) => (step.kind === "part" ? [step.part] : []));
        expect(new Set(on).size).toBe(on.length);
      }),
      { numRuns: 250 },
    );
  });

  it("may be followed to the letter: may-I says yes to each rivet when its turn comes, and each is within reach", () => {
    fc.assert(
      fc.property(anyBench(), (bench) => {
        let here = standing(bench);
        const on = new Set(closedParts(here.assembly, here.work));
        for (const step of planOf(here).steps) {
          if (step.kind === "part") on.add(step.part);
          if (step.kind !== "rivets") {
            here = done(here, step);
            continue;
          }
          for (const id of step.holes) {
            const hole = finder(here.assembly).hole(id);
            for (const part of stackOf(hole)) expect(on.has(part), `${part} is on for ${id}`).toBe(true);
            expect(isWalledIn(reachAt(here.reach, hole), on), `${id} is within reach`).toBe(false);
            const may = maySet(here, id);
            // That a part has just come on shows in the marks only once a hole through it is pinned or set.
            const against = may.reasons.filter(
              (reason) =>
                reason.weight !== "note" &&
                !(
                  reason.code === "order-rule" &&
                  reason.order.relation === "after" &&
                  on.has(reason.order.part)
                ),
            );
            expect(against, `${id} may be set`).toEqual([]);
            here = { ...here, work: withMarks(here.work, [{ kind: "hole", hole: id, state: "set" }]) };
          }
        }
      }),
      { numRuns: 250 },
    );
  });

  it("may be followed generation by generation, in any order within each", () => {
    fc.assert(
      fc.property(anyBench(), fc.array(fc.nat(), { minLength: 30, maxLength: 30 }), (bench, mix) => {
        let here = standing(bench);
        const steps = planOf(here).steps.map((step, i) => ({ step, key: mix[i % mix.length] ?? 0 }));
        steps.sort((a, b) => a.step.generation - b.step.generation || a.key - b.key);
        const on = new Set(closedParts(here.assembly, here.work));
        for (const { step } of steps) {
          if (step.kind === "part") on.add(step.part);
          if (step.kind === "rivets") {
            for (const id of step.holes) {
              const hole = finder(here.assembly).hole(id);
              for (const part of stackOf(hole)) expect(on.has(part), `${part} is on for ${id}`).toBe(true);
              expect(isWalledIn(reachAt(here.reach, hole), on), `${id} is within reach`).toBe(false);
            }
          }
          here = done(here, step);
        }
        const lost = planOf(here).leftOpen.filter(({ code }) => code === "late");
        expect(lost.map(({ hole }) => hole)).toEqual(
          planOf(standing(bench)).leftOpen.flatMap(({ hole, code }) => (code === "late" ? [hole] : [])),
        );
      }),
      { numRuns: 300 },
    );
  });

  it("is done for now when all its steps are done, and nothing that it left open was lost on the way", () => {
    fc.assert(
      fc.property(anyBench(), (bench) => {
        const here = standing(bench);
        const plan = planOf(here);
        fc.pre(plan.status !== "impossible");
        const end = plan.steps.reduce(done, here);
        const rest = planOf(end);
        expect(rivetsOf(rest.steps)).toEqual([]);
        const lost = (from: Plan): string[] =>
          from.leftOpen.flatMap((open) => (open.code === "walled-in" ? [open.hole] : []));
        expect(lost(rest)).toEqual(lost(plan));
      }),
      { numRuns: 250 },
    );
  });

  it("has a next step unless it is done or impossible; what could be begun instead may be begun", () => {
    fc.assert(
      fc.property(anyBench(), (bench) => {
        const here = standing(bench);
        const plan = planOf(here);
        const next = nextOf(here, plan);
        expect(next.first !== null).toBe(plan.status === "open");
        for (const step of next.also) {
          if (step.kind !== "rivets") continue;
          expect(maySet(here, step.holes[0] ?? "").verdict).toBe("yes");
        }
      }),
      { numRuns: 250 },
    );
  });

  it("is the same however the kit's lists are shuffled", () => {
    fc.assert(
      fc.property(anyBench(), fc.integer(), (bench, seed) => {
        const here = standing(bench);
        const there = shuffled(here, seed);
        const [one, other] = [planOf(here), planOf(there)];
        const order = (steps: readonly PlanStep[]): unknown[] =>
          steps.map((step) =>
            step.kind === "rivets" ? [step.row, ...step.holes] : [step.kind, "part" in step ? step.part : ""],
          );
        expect(order(other.steps).filter((step) => !isPrep(step))).toEqual(
          order(one.steps).filter((step) => !isPrep(step)),
        );
        expect(other.turnOvers).toBe(one.turnOvers);
        expect(new Set(other.leftOpen.map(({ hole, code }) => `${hole} ${code}`))).toEqual(
          new Set(one.leftOpen.map(({ hole, code }) => `${hole} ${code}`)),
        );
        expect(new Set(other.broken.map(({ rule }) => rule))).toEqual(
          new Set(one.broken.map(({ rule }) => rule)),
        );
      }),
      { numRuns: 250 },
    );
  });
});

function isPrep(step: unknown): boolean {
  return Array.isArray(step) && step[0] === "prep";
}
