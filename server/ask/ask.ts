import { finder } from "../kit/find.js";
import { neighboursOf } from "../kit/neighbours.js";
import { readLength, writtenText } from "../kit/units.js";
import type { Work } from "../kit/work.js";
import { Problem } from "../problem.js";
import { type Carried, carriedOver } from "./carried.js";
import { allCautions } from "./departed.js";
import { withFirstLine } from "./first-line.js";
import { type Form, type FormSpec, type SlotSpec, type SlotType, takes } from "./form.js";
import { FORMS } from "./forms/index.js";
import { lexicon } from "./lexicon.js";
import { sayDoubt } from "./reading/asking.js";
import { completions, lackingSlots } from "./reading/choices.js";
import type { Asked } from "./reading/clipped.js";
import type { Match } from "./reading/match.js";
import { type NameIndex, nameIndex } from "./reading/names.js";
import { type Bench, type Outcome, read } from "./reading/read.js";
import { inNotes } from "./reading/topics.js";
import { PLACE_SLOTS } from "./reading/where.js";
import { type SlotConflict, slotConflict } from "./slot-conflict.js";
import { withFigures } from "./trace.js";
import type { Answer, FormAnswer, Job, Reading, Slots } from "./types.js";
import { reading } from "./wording/readings.js";

/** A question in words, or a form with its slots. `context` is the reading that came before. */
export type AskRequest =
  | { readonly question: string; readonly context?: Pick<Reading, "form" | "slots"> }
  | { readonly form: string; readonly slots: Slots };

/** Most notes that are offered beside a question that is not answered. */
const MOST_NOTES = 3;

/**
 * The answer to a request; what is not read whole is asked back, never guessed.
 * @param specs  the question forms (`loadForms`)
 * @throws UNKNOWN_FORM, UNKNOWN_ID, SLOT_UNKNOWN, SLOT_INVALID, SLOTS_CONFLICT for structured requests and contexts that do not fit
 */
export function ask(job: Job, request: AskRequest, specs: readonly FormSpec[]): Answer {
  if ("question" in request) return askInWords(job, request.question, request.context ?? null, specs);
  const spec = specOf(request.form, specs);
  checkSlots(job, spec, request.slots);
  const asked: Asked = { form: spec.id, slots: request.slots };
  const [missing] = lackingSlots(spec, request.slots);
  if (missing !== undefined) return askForSlot(job, spec, asked, missing);
  try {
    return answer(job, asked, specs, []);
  } catch (error) {
    // What a slot calls for beside itself, only the form knows: "why not" about a hold needs nothing more.
    const lacking =
      error instanceof Problem && error.code === "SLOT_MISSING" ? slotAt(error, spec) : undefined;
    if (lacking === undefined) throw error;
    return askForSlot(job, spec, asked, lacking);
  }
}

/** The form's slot that a problem points at. */
function slotAt({ where }: Problem, { slots }: FormSpec): string | undefined {
  return slots.find(({ name }) => where?.pointer === `/slots/${name}`)?.name;
}

/** What was read of a question, without answering it: for checking the reader. */
function readQuestion(
  job: Pick<Job, "kit" | "assembly" | "work" | "notes">,
  question: string,
  context: Asked | null,
  specs: readonly FormSpec[],
): Outcome {
  const bench: Bench = {
    kit: job.kit,
    assembly: job.assembly,
    work: job.work,
    forms: specs,
    inNotes: (words) => inNotes(job.notes, words),
  };
  return read(question, bench, context);
}

function askInWords(job: Job, question: string, context: Asked | null, specs: readonly FormSpec[]): Answer {
  if (context) {
    const spec = specOf(context.form, specs, "/context/form");
    checkSlots(job, spec, context.slots, "/context/slots");
  }
  const outcome = readQuestion(job, question, context, specs);
  if (outcome.kind === "read") {
    const whole = answer(job, outcome.asked, specs, outcome.corrected);
    const said = outcome.which ? withoutYesOrNo(whole) : whole;
    const carried = context && carriedIn(job, question, context, outcome.asked, specs);
    const { unused } = outcome;
    return {
      ...said,
      ...(carried ? { carried } : {}),
      ...(unused.length > 0 ? { notUnderstood: unused } : {}),
    };
  }
  const { doubt, partly, unread, corrected } = outcome;
  const choices = outcome.choices.map(({ form, slots }) => reading(job, form, slots));
  const notes = doubt.code === "elsewhere" || choices.length === 0 ? nearestNotes(job, question, specs) : [];
  const offered = doubt.code === "elsewhere" ? notes : [...choices, ...notes];
  const isAskBack = doubt.code !== "elsewhere" && (choices.length > 0 || ASKS.has(doubt.code));
  return {
    ...NOTHING_SAID,
    outcome: isAskBack ? "ask-back" : "not-understood",
    reading: partly && partReading(partly, specs),
    headline: sayDoubt(doubt, unread, choices.length),
    choices: offered,
    ...(unread.length > 0 ? { notUnderstood: unread } : {}),
    ...(corrected.length > 0 ? { corrected } : {}),
    version: job.version,
  };
}

/** "How much room is left?" is answered by the measure: the form's yes or no is of a question that was not put. */
function withoutYesOrNo({ verdict, ...rest }: Answer): Answer {
  const isPlain = verdict === "yes" || verdict === "no";
  const isSaid = /^(Yes|No)\b/.test(rest.headline);
  return isPlain && !isSaid ? rest : { ...rest, ...(verdict ? { verdict } : {}) };
}

/** What a reading took from the one before: found by reading the same words without it. */
function carriedIn(
  job: Job,
  question: string,
  before: Asked,
  asked: Asked,
  specs: readonly FormSpec[],
): Carried | null {
  const alone = readQuestion(job, question, null, specs);
  return carriedOver(job.assembly, before, asked, alone.kind === "read" ? alone.asked : null);
}

/** Doubts that a short reply settles, so they are asked back even without choices. */
const ASKS: ReadonlySet<string> = new Set([
  "missing",
  "which-place",
  "unknown-name",
  "nothing-before",
  "name-only",
]);

const NOTHING_SAID: Omit<FormAnswer, "headline"> = {
  holes: [],
  rows: [],
  trace: [],
  cautions: [],
  sources: [],
  followUps: [],
};

function nearestNotes(job: Job, question: string, specs: readonly FormSpec[]): Reading[] {
  const spec = specs.find(({ slots }) => slots.some(({ type, required }) => type === "topic" && required));
  const slot = spec?.slots.find(({ type }) => type === "topic");
  if (!spec || !slot) return [];
  return job.notes
    .search(question.slice(0, 500), MOST_NOTES)
    .map(({ note }) => reading(job, spec.id, { [slot.name]: note.title }));
}

/** What is certain so far of a question that lacks something; it can be the context of the reply. */
function partReading({ form, slots }: Asked, specs: readonly FormSpec[]): Reading {
  return { form, slots, said: `${specOf(form, specs).purpose}: not all of it is known yet` };
}

function answer(
  job: Job,
  { form, slots }: Asked,
  specs: readonly FormSpec[],
  corrected: NonNullable<Answer["corrected"]>,
): Answer {
  const side = answeringSide(form);
  const said = withFirstLine(side.answer(job, slots));
  const known = new Set(specs.map(({ id }) => id));
  return {
    ...said,
    cautions: allCautions(job, said.cautions, { form, slots, answer: said }),
    trace: withFigures(job, said.trace),
    followUps: said.followUps.filter((next) => known.has(next.form)),
    outcome: said.proposal ? "proposal" : "answered",
    reading: reading(job, form, slots),
    ...(corrected.length > 0 ? { corrected } : {}),
    version: job.version,
  };
}

function answeringSide(id: string): Form {
  const form = FORMS.get(id);
  if (form) return form;
  throw new Problem("UNKNOWN_FORM", `Nothing answers the form "${id}".`, {
    where: { pointer: "/form" },
    fix: `Use ${[...FORMS.keys()].join(", ")}.`,
  });
}

/** @throws UNKNOWN_FORM */
export function specOf(id: string, specs: readonly FormSpec[], pointer = "/form"): FormSpec {
  const spec = specs.find((one) => one.id === id);
  if (spec) return spec;
  throw new Problem("UNKNOWN_FORM", `There is no form "${id}".`, {
    where: { pointer },
    fix: `Use ${specs.map((one) => one.id).join(", ")}.`,
  });
}

function askForSlot(job: Job, spec: FormSpec, asked: Asked, missing: string): Answer {
  const names = nameIndex(job.kit, job.assembly);
  const match = {
    form: spec,
    slots: asked.slots,
    missing: [missing],
    open: null,
    pointing: false,
    passed: 0,
    left: [],
  };
  const choices = choicesFor(match, missing, names, job.work).map(({ form, slots }) =>
    reading(job, form, slots),
  );
  return {
    ...NOTHING_SAID,
    outcome: "ask-back",
    reading: partReading(asked, [spec]),
    headline: spec.slots.find(({ name }) => name === missing)?.ask ?? spec.purpose,
    choices,
    version: job.version,
  };
}

/**
 * What may fill a slot. A part takes the room of the row or the hole beside it ("close hole 4": a part is closed, and no
 * hole): those that the hole goes through, and any part where they are all closed.
 */
function choicesFor(match: Match, missing: string, names: NameIndex, work: Work): readonly Asked[] {
  const beside = completions(match, names, work);
  if (missing !== "part") return beside;
  const bare = Object.fromEntries(
    Object.entries(match.slots).filter(([name]) => !PLACE_SLOTS.includes(name)),
  );
  return beside.length > 0
    ? beside.map(({ form, slots }) => ({ form, slots: { ...bare, part: slots.part } }))
    : completions({ ...match, slots: bare }, names, work);
}

/**
 * Whether a form takes these slots.
 * @throws SLOT_UNKNOWN, SLOT_INVALID, UNKNOWN_ID naming the slot; SLOTS_CONFLICT naming one of them
 */
export function checkSlots(job: Job, spec: FormSpec, slots: Slots, pointer = "/slots"): void {
  for (const [name, value] of Object.entries(slots)) {
    if (value === undefined) continue;
    const where = { pointer: `${pointer}/${name}` };
    const slot = spec.slots.find((one) => one.name === name);
    if (!slot) {
      throw new Problem("SLOT_UNKNOWN", `Form ${spec.id} has no slot "${name}".`, {
        where,
        fix: `Use ${spec.slots.map((one) => one.name).join(", ") || "no slots"}.`,
      });
    }
    const values = typeof value === "string" ? [value] : value;
    if ((slot.type === "holes") !== (typeof value !== "string") || values.length === 0) {
      throw new Problem(
        "SLOT_INVALID",
        `Slot ${name} holds ${slot.type === "holes" ? "a list of hole ids" : "one text"}.`,
        {
          where,
          fix: slot.type === "holes" ? "Send a list with at least one id." : "Send one text.",
        },
      );
    }
    const allowed = allowedIn(job, slot);
    const bad = allowed && values.find((one) => !allowed.has(one));
    if (bad !== undefined && bad !== null) throw notAllowed(slot, bad, allowed ?? null, where);
  }
  const conflict = slotConflict(spec, slots, job.assembly);
  if (conflict) throw notTogether(conflict, slots, pointer);
}

function notTogether({ slot, code, with: others }: SlotConflict, slots: Slots, pointer: string): Problem {
  const where = { pointer: `${pointer}/${slot}` };
  const said = (name: string): string => `${name} "${[slots[name] ?? []].flat().slice(0, 3).join(", ")}"`;
  const [other = ""] = others;
  switch (code) {
    case "other place":
      return new Problem("SLOTS_CONFLICT", `The ${said(other)} is not within the ${said(slot)}.`, {
        where,
        fix: `Leave ${other} or ${slot} out, or name a ${other} that lies there.`,
      });
    case "one of":
      return new Problem("SLOTS_CONFLICT", `Slots ${other} and ${slot} say two things at once.`, {
        where,
        fix: `Leave ${other} or ${slot} out; ask or tell the other one by itself.`,
      });
    case "itself":
      return new Problem("SLOTS_CONFLICT", `Slots ${other} and ${slot} name the same part.`, {
        where,
        fix: `Name another part in ${slot}, or leave it out.`,
      });
    case "alone":
      return new Problem("SLOTS_CONFLICT", `Slot ${slot} says nothing without ${others.join(" or ")}.`, {
        where,
        fix: `Fill ${others.join(" or ")} too, or leave ${slot} out.`,
      });
  }
}

const IDS: ReadonlySet<string> = new Set(
  "part row hole holes family step neighbour milestone notice gate side".split(" "),
);

function notAllowed(
  slot: SlotSpec,
  value: string,
  allowed: Allowed | null,
  where: { pointer: string },
): Problem {
  const some =
    MEASURES[slot.type] ?? (allowed?.few ? `Use ${allowed.few.join(", ")}.` : "Look it up on the hole map.");
  return IDS.has(slot.type)
    ? new Problem("UNKNOWN_ID", `There is no ${slot.type} "${value}".`, { where, fix: some })
    : new Problem("SLOT_INVALID", `"${value}" is no ${slot.name}.`, { where, fix: some });
}

interface Allowed {
  has(value: string): boolean;
  /** All of them, when they are few enough to name. */
  readonly few: readonly string[] | null;
}

function allowedIn(job: Job, slot: SlotSpec): Allowed | null {
  const { type } = slot;
  const { kit, assembly } = job;
  const find = finder(assembly);
  const among = (list: readonly { readonly id: string }[]): Allowed => few(list.map(({ id }) => id));
  switch (type) {
    case "part":
      return {
        has: find.hasPart,
        few: assembly.parts.length <= 30 ? assembly.parts.map(({ id }) => id) : null,
      };
    case "row":
      return { has: find.hasRow, few: null };
    case "hole":
    case "holes":
      return { has: find.hasHole, few: null };
    case "family":
      return among(assembly.families);
    case "neighbour":
      return among(neighboursOf(assembly));
    case "step":
      return among(assembly.steps);
    case "milestone":
      return among(assembly.milestones);
    case "notice":
      return among(kit.notices);
    case "gate":
      return among(kit.prepGates);
    case "side":
      return among(assembly.views);
    case "flag":
      return few(["yes", "no"]);
    case "topic":
      return null;
    case "rivet":
      return few(kit.rivets.map(({ code }) => code));
    case "size":
      return { has: (text) => isWritten(text) && readLength(text)?.drill === null, few: null };
    case "drill":
      return { has: isWritten, few: null };
    case "percent":
      return { has: (text) => /^\d{1,3}(\.\d{1,2})?$/.test(text) && Number(text) <= 100, few: null };
    default:
      return few([
        ...new Set(
          [...lexicon().concepts.values()]
            .map(({ slots }) => slots[type])
            .filter((value) => value !== undefined)
            .filter((value) => takes(slot, value)),
        ),
      ]);
  }
}

/** A size above zero, written as slots hold it. */
function isWritten(text: string): boolean {
  const written = readLength(text);
  return written !== null && written.mm > 0 && writtenText(written) === text;
}

/** What to send instead of a measure that cannot be read. */
const MEASURES: Partial<Record<SlotType, string>> = {
  size: "Send a size with its unit, such as 3.2 mm or 1/8 in.",
  drill: "Send a size with its unit or a drill, such as 3.2 mm, 1/8 in, No. 30 or letter F.",
  percent: "Send a number from 0 to 100.",
};

function few(list: readonly string[]): Allowed {
  return { has: (value) => list.includes(value), few: list };
}
