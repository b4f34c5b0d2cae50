import { finder } from "../../kit/find.js";
import { neighboursOf } from "../../kit/neighbours.js";
import type { Hole } from "../../kit/types.js";
import { stackOf } from "../../order/standing.js";
import { Problem } from "../../problem.js";
import type { FormId, Job, Reading, Slots } from "../types.js";
import { listed } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading, sayScope } from "../wording/readings.js";

/** The holes that a question is about, and the same in words. */
export interface Scope {
  /** In the assembly's order. */
  readonly holes: readonly string[];
  /** "rib 4, top flange row". */
  readonly said: string;
  /** Whether the slots name nothing, so that it is the whole assembly. */
  readonly all: boolean;
}

/**
 * Holes named by `hole`, `holes`, `row`, `part` (every hole through it), `family` (through any member) or `step`, near `neighbour`, seen from
 * `side` when there is one.
 * @throws UNKNOWN_ID; SLOT_MISSING when nothing is named and `orAll` is false
 */
export function scopeOf(job: Job, slots: Slots, { orAll = true }: { orAll?: boolean } = {}): Scope {
  const named = namedHoles(job, slots);
  const neighbour = idSlot(
    slots,
    "neighbour",
    neighboursOf(job.assembly).map(({ id }) => id),
  );
  if (!named && !neighbour && !orAll) throw missing("hole", "Name a hole, a row, a part or a family.");
  const all = named ?? job.assembly.holes;
  const near = neighbour === undefined ? all : all.filter((hole) => hole.neighbour?.id === neighbour);
  const seen = seenFrom(job, textSlot(slots, "side"), near);
  const holes = [...new Set(seen)].sort((a, b) => a.index - b.index).map(({ id }) => id);
  return {
    holes,
    said: sayScope(slots, namesOf(job), job.assembly.name),
    all: named === null && neighbour === undefined,
  };
}

function namedHoles(job: Job, slots: Slots): readonly Hole[] | null {
  const find = finder(job.assembly);
  const hole = textSlot(slots, "hole");
  const row = textSlot(slots, "row");
  const part = textSlot(slots, "part");
  const family = textSlot(slots, "family");
  const step = textSlot(slots, "step");
  if (hole) return [find.hole(hole)];
  if (slots.holes?.length === 0) throw noHoles("an empty list");
  if (slots.holes) return slots.holes.map((id) => find.hole(id));
  if (row) return find.holesOfRow(row);
  if (part) return find.holesThrough(part);
  if (family) return familyOf(job, family).members.flatMap((member) => find.holesThrough(member));
  if (step) return find.holesOfStep(stepSlot(job, slots) ?? step);
  return null;
}

/**
 * Parts that a question about getting parts ready means: the part or the family's members named, the parts of a step
 * of the manual (where it names none, those of its rows), the parts that named holes go through; all when nothing is named.
 * @returns  ids, each once, in the assembly's order
 * @throws   UNKNOWN_ID
 */
export function partsAt(job: Job, slots: Slots): readonly string[] {
  const find = finder(job.assembly);
  const part = partSlot(job, slots);
  const family = textSlot(slots, "family");
  const step = stepSlot(job, slots);
  const named = (): readonly string[] => {
    const whole = slots.holes ? wholePartsAt(job, slots.holes) : null;
    if (whole) return whole;
    if (slots.hole || slots.holes || slots.row) return (namedHoles(job, slots) ?? []).flatMap(stackOf);
    if (part) return [part];
    if (family) return familyOf(job, family).members;
    if (step) {
      const { parts, rows } = find.step(step);
      return parts.length > 0 ? parts : rows.map((row) => find.row(row).part);
    }
    return job.assembly.parts.map(({ id }) => id);
  };
  const wanted = new Set(named());
  return job.assembly.parts.map(({ id }) => id).filter((id) => wanted.has(id));
}

/**
 * "Ribs 2 and 3": parts of which a list of holes is every hole and no other, the fewest. Null when it is not.
 * @returns  ids, in the assembly's order
 * @throws UNKNOWN_ID
 */
export function wholePartsAt(
  { assembly }: Pick<Job, "assembly">,
  holes: readonly string[],
): readonly string[] | null {
  const find = finder(assembly);
  const named = new Set(holes.map((id) => find.hole(id).id));
  const left = new Set(named);
  const whole: string[] = [];
  const through = assembly.parts
    .map(({ id }) => ({ id, holes: find.holesThrough(id).map((hole) => hole.id) }))
    .filter((part) => part.holes.length > 0 && part.holes.every((hole) => named.has(hole)))
    .sort((a, b) => b.holes.length - a.holes.length);
  for (const part of through) {
    if (!part.holes.some((hole) => left.has(hole))) continue;
    whole.push(part.id);
    for (const hole of part.holes) left.delete(hole);
  }
  if (left.size > 0 || whole.length === 0) return null;
  return assembly.parts.map(({ id }) => id).filter((id) => whole.includes(id));
}

/** Less than 60 degrees between a hole's outward normal and the view's counts as seen. */
const SEEN_COSINE = 0.5;

function seenFrom(job: Job, side: string | undefined, holes: readonly Hole[]): readonly Hole[] {
  if (!side) return holes;
  const view = job.assembly.views.find(({ id }) => id === side);
  if (!view) {
    throw invalid(
      "side",
      side,
      job.assembly.views.map(({ id }) => id),
    );
  }
  return holes.filter(
    ({ normal }) => normal.reduce((sum, value, i) => sum + value * (view.normal[i] ?? 0), 0) > SEEN_COSINE,
  );
}

/** Forms that can be asked of a whole family, or of what is seen from one side. */
const TAKE_FAMILIES: ReadonlySet<string> = new Set(["treatment", "stay-open"]);

/** Forms that can be asked of a step of the manual. */
const TAKE_STEPS: ReadonlySet<string> = new Set(
  "count tools fastener treatment stay-open progress clearance edge".split(" "),
);

/**
 * A reading of another form about the same place, with more slots of its own.
 * @param holes  the place's holes; they stand in where the form does not take a family or a side
 * @returns      none when there is no place to ask about
 */
export function askOn(
  job: Job,
  form: FormId,
  slots: Slots,
  holes: readonly string[],
  more: Slots = {},
): readonly Reading[] {
  const place = placeFor(form, slots, holes);
  return place ? [reading(job, form, { ...place, ...more })] : [];
}

function placeFor(form: FormId, slots: Slots, holes: readonly string[]): Slots | null {
  const { hole, holes: list, row, part, family, step, neighbour, side } = slots;
  const isWide = TAKE_FAMILIES.has(form);
  const inStead = holes.length > 0 ? { holes } : null;
  const seen = side ? { side } : {};
  if (hole) return { hole };
  if ((side && !isWide) || neighbour) return inStead;
  if (list) return { holes: list, ...seen };
  if (row) return { row, ...seen };
  if (part) return { part, ...seen };
  if (family) return isWide ? { family, ...seen } : inStead;
  if (step) return TAKE_STEPS.has(form) ? { step, ...seen } : inStead;
  return isWide ? seen : inStead;
}

/** A slot's text; an absent or empty slot is undefined. */
export function textSlot(slots: Slots, name: string): string | undefined {
  const value = slots[name];
  return typeof value === "string" && value !== "" ? value : undefined;
}

/** @throws SLOT_MISSING */
export function requiredSlot(slots: Slots, name: string, ask: string): string {
  const value = textSlot(slots, name);
  if (value === undefined) throw missing(name, ask);
  return value;
}

/** A slot that may hold one of a few words. @throws SLOT_INVALID */
export function chosenSlot<T extends string>(
  slots: Slots,
  name: string,
  allowed: readonly T[],
): T | undefined {
  const value = textSlot(slots, name);
  if (value === undefined) return undefined;
  const found = allowed.find((word) => word === value);
  if (found === undefined) throw invalid(name, value, allowed);
  return found;
}

/** @throws UNKNOWN_ID */
export function familyOf(job: Job, id: string): Job["assembly"]["families"][number] {
  const found = job.assembly.families.find((family) => family.id === id);
  if (found) return found;
  throw unknown(
    "family",
    id,
    job.assembly.families.map((family) => family.id),
  );
}

/** @throws UNKNOWN_ID */
export function milestoneSlot(job: Job, slots: Slots): string | undefined {
  return idSlot(
    slots,
    "milestone",
    job.assembly.milestones.map(({ id }) => id),
  );
}

/** @throws UNKNOWN_ID */
export function partSlot(job: Job, slots: Slots): string | undefined {
  return idSlot(
    slots,
    "part",
    job.assembly.parts.map(({ id }) => id),
  );
}

/** @throws UNKNOWN_ID */
export function stepSlot(job: Job, slots: Slots): string | undefined {
  return idSlot(
    slots,
    "step",
    job.assembly.steps.map(({ id }) => id),
  );
}

/** A slot that names one of the kit's things. @throws UNKNOWN_ID */
export function idSlot(slots: Slots, name: string, ids: readonly string[]): string | undefined {
  const value = textSlot(slots, name);
  if (value !== undefined && !ids.includes(value)) throw unknown(name, value, ids);
  return value;
}

function unknown(what: string, id: string, ids: readonly string[]): Problem {
  return new Problem("UNKNOWN_ID", `There is no ${what} "${id}".`, {
    where: { pointer: `/slots/${what}` },
    fix: ids.length > 0 ? `Use ${listed(ids, "or")}.` : "The kit has none.",
  });
}

export function missing(name: string, ask: string): Problem {
  return new Problem("SLOT_MISSING", `The question does not say which ${name}.`, {
    where: { pointer: `/slots/${name}` },
    fix: ask,
  });
}

export function invalid(name: string, value: string, allowed: readonly string[]): Problem {
  return new Problem("SLOT_INVALID", `"${value}" is no ${name}.`, {
    where: { pointer: `/slots/${name}` },
    fix: `Use ${listed(allowed, "or")}.`,
  });
}

export function noHoles(said: string): Problem {
  return new Problem("SLOT_INVALID", `There are no holes at ${said}.`, {
    where: { pointer: "/slots" },
    fix: "Name a hole, a row or a part that has holes.",
  });
}
