import type { Assembly } from "../kit/types.js";
import { closedParts, type Work } from "../kit/work.js";
import type { Reach } from "../reach/types.js";
import { type PartStates, partStates } from "./standing.js";
import type { HoleRulings, Standing } from "./types.js";

/** Everything that one look at a closing rests on. Without rulings only reach counts. */
export interface Look {
  readonly assembly: Assembly;
  readonly reach: Reach;
  readonly work: Work;
  readonly rulings: HoleRulings | null;
  readonly closed: ReadonlySet<string>;
  readonly states: PartStates;
}

export function lookAt({ assembly, reach, work, rulings }: Omit<Look, "closed" | "states">): Look {
  const closed = closedParts(assembly, work);
  return { assembly, reach, work, rulings, closed, states: partStates(assembly, work) };
}

const looks = new WeakMap<Standing, Look>();

/** The look at where the work stands, made once: what is asked of one hole is often asked of a whole row. */
export function lookFrom(standing: Standing): Look {
  const known = looks.get(standing);
  if (known) return known;
  const made = lookAt(standing);
  looks.set(standing, made);
  return made;
}
