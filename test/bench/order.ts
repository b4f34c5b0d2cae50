import { type Mark, withMarks } from "../../server/kit/work.js";
import { FreeApproaches } from "../../server/order/free-approaches.js";
import { planOf } from "../../server/order/plan.js";
import type { Plan } from "../../server/order/plan-types.js";
import { type Rework, reworkFrom, reworkQuestion } from "../../server/order/rework.js";
import type { Standing } from "../../server/order/types.js";
import { type ReworkDesk, reworkDesk } from "../../server/rework-desk.js";
import { reworkSolver } from "../../server/rework-solver.js";
import { orderPlane, RIVETS_A_PART } from "../support/order-plane.js";

const SIZES = [30, 100, 300, 1000];
/** One part in so many was forgotten: its rivets were never set, and what came later covers them. */
const FORGOTTEN_EVERY = 50;

/**
 * The whole plan of an assembly, and the way back when some parts were forgotten, for growing numbers of parts.
 * Both answers are gone through again: every rivet within reach when its turn comes.
 */
export async function bench(): Promise<string[]> {
  const solver = reworkSolver({ timeLimitMs: 60_000 });
  const desk = reworkDesk({ solver });
  const lines = [`order: plans and ways back, ${RIVETS_A_PART} rivets a part`];
  let last: { parts: number; planMs: number; backMs: number } | null = null;
  try {
    // The thread's start is paid once, by whoever asks first.
    const start = await timedLater(() => solver.solve("{ open(0) }. #minimize { 1,none }. #show open/1."));
    lines.push(`  the solver's thread started in ${ms(start.ms)}`);
    for (const parts of SIZES) {
      const here = orderPlane(parts);
      planOf(here);
      const plan = timed(() => planOf({ ...here }));
      follow(here, plan.value);
      const late = forgetful(here, plan.value);
      const asked = timed(() => reworkQuestion(late));
      const program = asked.value.program?.text ?? null;
      const solved = await timedLater(() =>
        program === null ? Promise.resolve(null) : solver.solve(program),
      );
      const back = timed(() => reworkFrom(asked.value, solved.value));
      followBack(late, back.value);
      const again = await timedLater(() =>
        program === null ? Promise.resolve(null) : solver.solve(program),
      );
      const backMs = asked.ms + solved.ms + back.ms;
      lines.push(
        `  ${count(parts)} parts, ${count(here.assembly.holes.length)} rivets`,
        `    plan          ${ms(plan.ms)}, ${count(plan.value.steps.length)} steps, ${plan.value.turnOvers} turn-overs${growth(last, parts, plan.ms, "planMs")}`,
        `    way back      ${ms(backMs)}: asked ${ms(asked.ms)}, solved ${ms(solved.ms)}, gone through ${ms(back.ms)}${growth(last, parts, backMs, "backMs")}`,
        `                  beside the server ${await heldUp(desk, late)}`,
        `                  ${said(back.value)}; ${count(asked.value.puzzle.set.length)} set rivets can matter, the same again ${ms(again.ms)}`,
      );
      last = { parts, planMs: plan.ms, backMs };
    }
  } finally {
    await desk.close();
  }
  return lines;
}

/** How long it takes beside the server, and for how long at most the server answers nobody else meanwhile. */
async function heldUp(desk: ReworkDesk, late: Standing): Promise<string> {
  let last = performance.now();
  let longestMs = 0;
  const look = (): void => {
    const now = performance.now();
    longestMs = Math.max(longestMs, now - last);
    last = now;
  };
  const beat = setInterval(look, 1);
  const { ms: wholeMs } = await timedLater(() => desk.workOut(late, { only: null, skipped: false }));
  look();
  clearInterval(beat);
  return `${ms(wholeMs)}, which holds it up for ${ms(longestMs)} at most`;
}

/** Sets everything in the plan's order but the rivets of the forgotten parts, each as long as it can be reached. */
function forgetful(here: Standing, plan: Plan): Standing {
  const forgotten = new Set(
    here.assembly.parts.filter((_, i) => i % FORGOTTEN_EVERY === 1).map(({ id }) => id),
  );
  const marks = plan.steps
    .flatMap((step) => (step.kind === "rivets" ? step.holes : []))
    .filter((id) => !forgotten.has(id.split(".")[0] ?? ""))
    .map((id): Mark => ({ kind: "hole", hole: id, state: "set" }));
  return { ...here, work: withMarks(here.work, marks) };
}

/** @throws when a rivet of the plan is out of reach when its turn comes, or one is missing */
function follow({ assembly, reach }: Standing, plan: Plan): void {
  const on = new FreeApproaches(reach);
  const index = new Map(assembly.holes.map((hole) => [hole.id, hole.index]));
  let set = 0;
  for (const step of plan.steps) {
    if (step.kind === "part") on.putOn(step.part);
    if (step.kind !== "rivets") continue;
    for (const id of step.holes) {
      if (on.isWalledIn(index.get(id) ?? -1)) throw new Error(`${id} can't be reached when its turn comes`);
      set += 1;
    }
  }
  if (set !== assembly.holes.length) throw new Error(`${assembly.holes.length - set} rivets are left out`);
}

/** @throws when the way back leaves one of the missing rivets out */
function followBack({ assembly }: Standing, back: Rework): void {
  if (back.status !== "found") return;
  const set = new Set(back.afterwards?.steps.flatMap((step) => (step.kind === "rivets" ? step.holes : [])));
  for (const id of [...back.missing, ...back.drill]) if (!set.has(id)) throw new Error(`${id} is never set`);
  if (back.drill.length > assembly.holes.length) throw new Error("more drilled than there is");
}

function said(back: Rework): string {
  if (back.status !== "found") return back.status;
  const proof = back.proved ? "proved" : "not proved";
  return `${count(back.missing.length)} missing, ${count(back.drill.length)} drilled out, ${proof}`;
}

/** How time grows with parts: the power of the parts that it follows from the last size to this one. */
function growth(
  last: { readonly parts: number; readonly planMs: number; readonly backMs: number } | null,
  parts: number,
  now: number,
  which: "planMs" | "backMs",
): string {
  if (!last) return "";
  const power = Math.log(now / last[which]) / Math.log(parts / last.parts);
  return `; grows as parts^${power.toFixed(2)}`;
}

function timed<T>(act: () => T): { readonly value: T; readonly ms: number } {
  const start = performance.now();
  const value = act();
  return { value, ms: performance.now() - start };
}

async function timedLater<T>(act: () => Promise<T>): Promise<{ readonly value: T; readonly ms: number }> {
  const start = performance.now();
  const value = await act();
  return { value, ms: performance.now() - start };
}

const count = (value: number): string => value.toLocaleString("en-GB");
const ms = (value: number): string =>
  value < 1000 ? `${value.toFixed(value < 10 ? 1 : 0)} ms` : `${(value / 1000).toFixed(2)} s`;
