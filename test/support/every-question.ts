import type { FormSpec } from "../../server/ask/form.js";
import { valuesOf } from "../../server/ask/reading/choices.js";
import { nameIndex } from "../../server/ask/reading/names.js";
import { slotConflict } from "../../server/ask/slot-conflict.js";
import type { Job, Slots } from "../../server/ask/types.js";

/** Values that a slot of no kit's things may hold, for questions that are put together. */
const TYPED: Readonly<Record<string, readonly string[]>> = {
  flag: ["yes", "no"],
  size: ["4 mm", "1/8 in"],
  drill: ["No. 30", "4.3 mm"],
  percent: ["10"],
  topic: ["dimpling"],
};

/**
 * Questions of a form on a job, put together slot by slot: every place alone and with each value of each other slot, and
 * those values alone. Places are the assembly's holes (one of each row), rows, parts, families and steps.
 */
export function everyQuestion(job: Job, spec: FormSpec): readonly Slots[] {
  const names = nameIndex(job.kit, job.assembly);
  const has = new Set(spec.slots.map(({ name }) => name));
  const places = placesOf(job).filter((place) => Object.keys(place).every((slot) => has.has(slot)));
  const more = spec.slots
    .filter(({ name }) => !PLACES.has(name))
    .flatMap((slot): Slots[] =>
      (TYPED[slot.type] ?? valuesOf(slot, names)).map((value) => ({ [slot.name]: value })),
    );
  const pairs = more.flatMap((one) =>
    Object.entries(spec.needs ?? {}).flatMap(([slot, others]) =>
      others.some((other) => one[other] !== undefined) ? [{ ...one, [slot]: "yes" }] : [],
    ),
  );
  return [{}, ...places]
    .flatMap((place) => [{}, ...more, ...pairs].map((one): Slots => ({ ...place, ...one })))
    .filter((slots) => slotConflict(spec, slots, job.assembly) === null);
}

const PLACES: ReadonlySet<string> = new Set(["hole", "holes", "row", "part", "family", "step"]);

function placesOf({ assembly }: Job): readonly Slots[] {
  const { rows, parts, families, steps } = assembly;
  return [
    ...rows.flatMap(({ id, holes }): Slots[] => [
      { row: id },
      { hole: holes.at(-1) ?? "" },
      { holes: holes.slice(0, 2) },
    ]),
    ...parts.map(({ id }) => ({ part: id })),
    ...families.map(({ id }) => ({ family: id })),
    ...steps.map(({ id }) => ({ step: id })),
  ];
}
