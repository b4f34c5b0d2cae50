import {
  isAnythingSkipped,
  type Late,
  lateRivets,
  type Rework,
  type ReworkQuestion,
  reworkFrom,
  reworkQuestion,
} from "./rework.js";
import type { ReworkSolution } from "./rework-types.js";
import type { Standing } from "./types.js";

/** What is asked about the way back; plain data. */
export interface ReworkAsked {
  /** Ids of the holes that it is asked for; null = all. */
  readonly only: readonly string[] | null;
  /**
   * False: the way back to rivets that are walled in. True: the one if what was skipped before parts closed is to be
   * done in order, as `ReworkOptions` says.
   */
  readonly skipped: boolean;
}

/** What was found; plain data. */
export interface ReworkFound {
  /** Null when nothing that was asked for was skipped. */
  readonly back: Rework | null;
  /** With `skipped`: rivets that came too late for an order rule. */
  readonly late: readonly Late[];
}

/** What was asked, as far as it can be worked out before a program is solved. */
export interface ReworkTask {
  /** Null when there is no way back to look for. */
  readonly question: ReworkQuestion | null;
  readonly only: ReadonlySet<string> | null;
  readonly late: readonly Late[];
}

/** The question behind what is asked; other missing rivets are given up where only some are asked for. */
export function reworkTask(standing: Standing, { only, skipped }: ReworkAsked): ReworkTask {
  const wanted = only && new Set(only);
  if (skipped) return skippedTask(standing, wanted);
  return { question: narrowed(standing, reworkQuestion(standing), false, wanted), only: wanted, late: [] };
}

/** A mark that is missing does not tell, and a mentor may let a late rivet go in, so this is never the way back itself. */
function skippedTask(standing: Standing, only: ReadonlySet<string> | null): ReworkTask {
  const isWanted = (hole: string): boolean => !only || only.has(hole);
  const none = { question: null, only, late: [] };
  if (!isAnythingSkipped(standing)) return none;
  const late = lateRivets(standing).filter(({ hole }) => isWanted(hole));
  const whole = reworkQuestion(standing, { skipped: true });
  const forgotten = whole.forgotten.flatMap(({ holes }) => holes).filter(isWanted);
  const waiting = new Set([...forgotten, ...late.map(({ hole }) => hole)]);
  if (waiting.size === 0) return none;
  return { question: narrowed(standing, whole, true, waiting), only: waiting, late };
}

function narrowed(
  standing: Standing,
  whole: ReworkQuestion,
  skipped: boolean,
  only: ReadonlySet<string> | null,
): ReworkQuestion {
  const others = [...whole.missing, ...whole.beyond].filter((hole) => only && !only.has(hole));
  return others.length === 0 ? whole : reworkQuestion(standing, { skipped, lost: new Set(others) });
}

/** @param solution  of the question's program; null: it has none, or nobody solves it */
export function reworkFound(
  { question, only, late }: ReworkTask,
  solution: ReworkSolution | null,
): ReworkFound {
  if (!question) return { back: null, late };
  const back = reworkFrom(question, solution);
  return { back: { ...back, beyond: back.beyond.filter((hole) => !only || only.has(hole)) }, late };
}
