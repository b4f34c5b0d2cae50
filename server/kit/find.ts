import { Problem } from "../problem.js";
import type { Assembly, Hole, Part, Row, Step } from "./types.js";

/** Look-ups by id over one assembly. Every getter throws UNKNOWN_ID for an id that is not there. */
export interface Finder {
  part(id: string): Part;
  row(id: string): Row;
  hole(id: string): Hole;
  hasPart(id: string): boolean;
  hasRow(id: string): boolean;
  hasHole(id: string): boolean;
  holesOfRow(id: string): readonly Hole[];
  /** Holes whose stack has the part, in the assembly's order. */
  holesThrough(part: string): readonly Hole[];
  hasStep(id: string): boolean;
  step(id: string): Step;
  /**
   * Holes of a step of the manual, in the assembly's order: of the rows that it sets; where it names no row, every
   * hole through the parts that come on in it.
   */
  holesOfStep(id: string): readonly Hole[];
}

const finders = new WeakMap<Assembly, Finder>();

/** The assembly's finder, made once. */
export function finder(assembly: Assembly): Finder {
  const known = finders.get(assembly);
  if (known) return known;
  const parts = new Map(assembly.parts.map((part) => [part.id, part]));
  const rows = new Map(assembly.rows.map((row) => [row.id, row]));
  const steps = new Map(assembly.steps.map((step) => [step.id, step]));
  const holes = new Map(assembly.holes.map((hole) => [hole.id, hole]));
  const through = new Map<string, Hole[]>();
  for (const hole of assembly.holes) {
    for (const part of new Set(hole.layers.map((layer) => layer.part))) {
      const list = through.get(part);
      if (list) list.push(hole);
      else through.set(part, [hole]);
    }
  }
  const get = <T>(map: ReadonlyMap<string, T>, what: string, id: string): T => {
    const found = map.get(id);
    if (found === undefined) {
      throw new Problem("UNKNOWN_ID", `${assembly.name} has no ${what} "${id}".`, {
        fix: `Use one of the assembly's ${what} ids.`,
      });
    }
    return found;
  };
  const made: Finder = {
    part: (id) => get(parts, "part", id),
    row: (id) => get(rows, "row", id),
    hole: (id) => get(holes, "hole", id),
    hasPart: (id) => parts.has(id),
    hasRow: (id) => rows.has(id),
    hasHole: (id) => holes.has(id),
    holesOfRow: (id) => get(rows, "row", id).holes.map((hole) => get(holes, "hole", hole)),
    holesThrough: (part) => through.get(get(parts, "part", part).id) ?? [],
    hasStep: (id) => steps.has(id),
    step: (id) => get(steps, "step", id),
    holesOfStep: (id) => {
      const step = get(steps, "step", id);
      const found = new Set(
        step.rows.length > 0
          ? step.rows.flatMap((row) => get(rows, "row", row).holes)
          : step.parts.flatMap((part) => (through.get(part) ?? []).map((hole) => hole.id)),
      );
      return assembly.holes.filter((hole) => found.has(hole.id));
    },
  };
  finders.set(assembly, made);
  return made;
}
