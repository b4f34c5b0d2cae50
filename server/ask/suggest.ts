import { finder } from "../kit/find.js";
import { closedParts, stateOf } from "../kit/work.js";
import { holdOf } from "../order/holds.js";
import { needsEnlarging } from "../order/prep.js";
import { reachAt } from "../order/standing.js";
import { isWalledIn } from "../reach/walled-in.js";
import { checkSlots } from "./ask.js";
import type { FormSpec } from "./form.js";
import { lackingSlots } from "./reading/choices.js";
import type { Job, Reading, Slots } from "./types.js";
import { reading } from "./wording/readings.js";
import { sayShort } from "./wording/suggestions.js";

/** A question that is offered, and the same in few words for where the place is in view. */
export interface Suggestion extends Reading {
  readonly short: string;
}

type Wish = readonly [form: string, slots: Slots];

/** Most questions that are offered at once. */
const MOST = 10;

/**
 * Questions that make sense now: about the holes, the row or the part that is pointed at, or to begin with.
 * @param about  one of `hole`, `holes`, `row`, `part`; nothing: the whole assembly
 * @throws SLOT_UNKNOWN, SLOT_INVALID, UNKNOWN_ID
 */
export function questionsAbout(job: Job, about: Slots, specs: readonly FormSpec[]): readonly Suggestion[] {
  checkSlots(job, ABOUT, about);
  const { hole, holes, row, part } = about;
  const find = finder(job.assembly);
  const ids = hole ? [hole] : (holes ?? (row ? find.row(row).holes : []));
  const wishes = ids.length > 0 ? aboutHoles(job, about, ids) : part ? aboutPart(job, part) : toBegin(job);
  const known = new Map(specs.map((spec) => [spec.id, spec]));
  const seen = new Set<string>();
  return wishes
    .flatMap(([form, slots]) => {
      const spec = known.get(form);
      const fits = spec && Object.keys(slots).every((name) => spec.slots.some((slot) => slot.name === name));
      return spec && fits && lackingSlots(spec, slots).length === 0 ? [reading(job, form, slots)] : [];
    })
    .filter(({ said }) => (seen.has(said) ? false : seen.add(said)))
    .slice(0, MOST)
    .map((one) => ({ ...one, short: sayShort(one, Object.keys(about).length > 0) }));
}

/** What can be pointed at. */
const ABOUT: FormSpec = {
  id: "about",
  purpose: "What is pointed at",
  slots: (["hole", "holes", "row", "part"] as const).map((name) => ({
    name,
    type: name,
    required: false,
    ask: "Which part, row or hole do you mean?",
  })),
  oneOf: [],
  phrasings: [],
  followUps: [],
};

function aboutHoles(job: Job, about: Slots, ids: readonly string[]): readonly Wish[] {
  const { assembly, reach, rulings, work } = job;
  const find = finder(assembly);
  const holes = ids.map((id) => find.hole(id));
  const unset = holes.filter(({ id }) => stateOf(work, id) !== "set");
  const closed = closedParts(assembly, work);
  const isLost = unset.some((hole) => isWalledIn(reachAt(reach, hole), closed));
  const isHeld = holes.some(({ id }) => holdOf(rulings, work, id) !== null);
  const treatments = new Set(unset.map(({ id }) => rulings.of(id).attributes.treatment?.value));
  const acts = [
    ...(unset.length > 0 ? ["set"] : []),
    ...(unset.some((hole) => needsEnlarging(rulings.of(hole.id), hole) === "true") ? ["enlarge"] : []),
    ...["dimple", "countersink"].filter((act) => treatments.has(act)),
    ...(unset.some(({ id }) => stateOf(work, id) === "unset") ? ["pin"] : []),
  ];
  const isOpen = holes.some(({ id }) => rulings.of(id).verdict !== "settled");
  return [
    ["treatment", about],
    ...(isLost ? [["rework", about] as Wish] : []),
    ...acts.slice(0, 1).map((act): Wish => ["may-i", { ...about, act }]),
    ...(isHeld ? [["stay-open", about] as Wish] : []),
    ["why", about],
    ["fastener", about],
    ["tools", about],
    ...(holes.some(({ neighbour }) => neighbour !== null) ? [["clearance", about] as Wish] : []),
    ...acts.slice(1).map((act): Wish => ["may-i", { ...about, act }]),
    ...(isOpen ? [["edge", about] as Wish] : []),
    ...(job.kit.notices.length > 0 ? [["changed", about] as Wish] : []),
    ...(isHeld ? [] : [["stay-open", about] as Wish]),
    ["edge", about],
    ...(holes.length > 1 ? [["count", about] as Wish] : []),
  ];
}

function aboutPart(job: Job, part: string): readonly Wish[] {
  const isClosed = closedParts(job.assembly, job.work).has(part);
  const family = job.assembly.parts.find(({ id }) => id === part)?.family;
  const hasHoles = finder(job.assembly).holesThrough(part).length > 0;
  return [
    ...(isClosed || !hasHoles
      ? []
      : ([
          ["before-closing", { part }],
          ["may-i", { part, act: "close" }],
        ] as const)),
    ["treatment", { part }],
    ["progress", { part }],
    ...(isClosed ? [] : [["plan", { part }] as Wish]),
    ["stay-open", { part }],
    ["count", { part }],
    ...(family ? [["odd-ones", { family }] as Wish] : []),
    ...(isClosed || !hasHoles ? [] : [["rework", { part, first: "yes" }] as Wish]),
  ];
}

/** To begin with, as the work stands. */
function toBegin({ kit, assembly, reach, rulings, work }: Job): readonly Wish[] {
  const closed = closedParts(assembly, work);
  const closing = assembly.closings.find((part) => !closed.has(part));
  const unset = assembly.holes.filter(({ id }) => stateOf(work, id) !== "set");
  const isLost = unset.some((hole) => {
    const holeReach = reachAt(reach, hole);
    return isWalledIn(holeReach, closed) && !isWalledIn(holeReach, new Set());
  });
  const isBegun = work.holes.size > 0 || work.prep.size > 0 || work.milestones.size > 0;
  const isHeld = unset.some(({ id }) => holdOf(rulings, work, id) !== null);
  const [family] = assembly.families;
  return [
    ...(isLost ? [["rework", {}] as Wish] : []),
    ["next", {}],
    ...(closing ? [["before-closing", { part: closing }] as Wish] : []),
    ...(isBegun ? [["progress", {}] as Wish] : []),
    ...(isHeld ? [["stay-open", {}] as Wish] : []),
    ...(assembly.milestones.some(({ id }) => !work.milestones.has(id)) ? [["close-later", {}] as Wish] : []),
    ...(family ? [["odd-ones", { family: family.id }] as Wish] : []),
    ["treatment", { treatment: "dimple", not: "yes" }],
    ...(kit.notices.length > 0 ? [["changed", {}] as Wish] : []),
    ["plan", {}],
    ["turn-over", {}],
  ];
}
