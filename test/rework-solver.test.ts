import { afterEach, describe, expect, it } from "vitest";
import { Problem } from "../server/problem.js";
import { type ReworkSolver, reworkSolver } from "../server/rework-solver.js";

let solver: ReworkSolver | null = null;
afterEach(async () => {
  await solver?.close();
  solver = null;
});

/** Open as few as can be so that each pair has one open: quickly answered when small, for ages when large. */
const cover = (size: number, seed = 1): string => `
  part(1..${size}).
  pair(X,Y) :- part(X), part(Y), X < Y, (X*Y*${seed + 6} + X*X + 3*Y) \\ 7 = 0.
  { open(X) } :- part(X).
  :- pair(X,Y), not open(X), not open(Y).
  #minimize { (X \\ 9) + 5,X : open(X) }.
  #show open/1.
`;

const code = (error: unknown): string => (error instanceof Problem ? error.code : String(error));

describe("programs solved beside the server", () => {
  it("gives the answer of least cost, as proved", async () => {
    solver = reworkSolver();
    const program =
      "{ open(1..3) }. :- not open(2), not open(3). #minimize { 3,X : open(X), X=3; 2,X : open(X), X<3 }. #show open/1.";
    expect(await solver.solve(program)).toEqual({ open: [2], proved: true });
  });

  it("says that there is none, as proved", async () => {
    solver = reworkSolver();
    expect(await solver.solve("{ open(1) }. :- open(1). :- not open(1).")).toEqual({
      open: null,
      proved: true,
    });
  });

  it("gives the best answer so far when the time ends first, as not proved and not remembered, and answers the next one after it", async () => {
    solver = reworkSolver({ timeLimitMs: 2_500 });
    const { open, proved } = await solver.solve(cover(400));
    expect(proved).toBe(false);
    expect(open?.length).toBeGreaterThan(100);
    expect(solver.known(cover(400))).toBeNull();
    expect(await solver.solve(cover(12))).toMatchObject({ proved: true });
  });

  it("leaves the server free meanwhile", async () => {
    solver = reworkSolver({ timeLimitMs: 1_500 });
    await solver.solve(cover(10));
    let beats = 0;
    const beat = setInterval(() => {
      beats += 1;
    }, 20);
    await solver.solve(cover(400));
    clearInterval(beat);
    // A search in this thread would have let none through.
    expect(beats).toBeGreaterThan(10);
  });

  it("answers an equal program from memory, and asks once for equal programs at the same time", async () => {
    solver = reworkSolver();
    const program = cover(40);
    expect(solver.known(program)).toBeNull();
    const [one, other] = await Promise.all([solver.solve(program), solver.solve(program)]);
    expect(other).toBe(one);
    expect(solver.known(program)).toBe(one);
    expect(await solver.solve(program)).toBe(one);
  });

  it("forgets the answers found longest ago", async () => {
    solver = reworkSolver({ mostRemembered: 2 });
    for (const size of [5, 6, 7]) await solver.solve(cover(size));
    expect([5, 6, 7].map((size) => solver?.known(cover(size)) !== null)).toEqual([false, true, true]);
  });

  it("refuses more than may wait", async () => {
    solver = reworkSolver({ timeLimitMs: 1_000, mostWaiting: 1 });
    const running = solver.solve(cover(400, 1));
    const waiting = solver.solve(cover(400, 2));
    expect(await solver.solve(cover(400, 3)).catch(code)).toBe("SOLVER_BUSY");
    await Promise.all([running, waiting]);
  });

  it("a program that is none ends without an answer, and not for certain; that is not remembered", async () => {
    solver = reworkSolver();
    expect(await solver.solve("open(1")).toEqual({ open: null, proved: false });
    expect(solver.known("open(1")).toBeNull();
    expect(await solver.solve(cover(10))).toMatchObject({ proved: true });
  });

  it("ends what runs and waits when it closes, and takes nothing after that", async () => {
    solver = reworkSolver({ timeLimitMs: 60_000 });
    const running = solver.solve(cover(400, 1));
    const waiting = solver.solve(cover(400, 2));
    await solver.close();
    expect((await running).proved).toBe(false);
    expect(await waiting).toEqual({ open: null, proved: false });
    expect(await solver.solve(cover(5)).catch(code)).toBe("SOLVER_CLOSED");
  });
});
