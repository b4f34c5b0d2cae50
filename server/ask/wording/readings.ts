import type { FormId, Reading, Slots } from "../types.js";
import { capital, listed, the } from "./grammar.js";
import { attributeLabel } from "./measures.js";
import { type Named, type Names, namesOf } from "./names.js";
import { DAMAGED } from "./repair.js";
import { sayWritten } from "./sizes.js";

/** How a hole is after a treatment. */
export const TREATED: Readonly<Record<string, string>> = {
  "as punched": "left as punched",
  enlarge: "enlarged",
  dimple: "dimpled",
  countersink: "countersunk",
};

/** How something is after an act. */
export const ACTED: Readonly<Record<string, string>> = {
  close: "closed",
  set: "set",
  pin: "pinned",
  dimple: "dimpled",
  countersink: "countersunk",
  enlarge: "enlarged",
};

/** A reading with what it means in plain words. */
export function reading(job: Named, form: FormId, slots: Slots): Reading {
  return { form, slots, said: sayReading(job, form, slots) };
}

/** What was understood of a question, as the question it is: "What must be set before the servo mount closes?" */
export function sayReading(job: Named, form: FormId, slots: Slots): string {
  const names = namesOf(job);
  const say = READINGS[form];
  if (say) return say(slots, names, job.assembly.name);
  const scope = sayScope(slots, names, job.assembly.name);
  return `${form.replaceAll("-", " ")}: ${scope}`;
}

/** What the slots are about: "rib 4, top flange row, holes 2–6 from the front"; the whole assembly when they name nothing. */
export function sayScope(slots: Slots, names: Names, assembly: string): string {
  const { hole, holes, row, part, family, step, neighbour, side } = slots;
  const about = hole
    ? names.hole(hole)
    : holes && holes.length > 0
      ? names.scope(holes)
      : row
        ? names.theRow(row)
        : part
          ? names.thePart(part)
          : family
            ? the(names.family(family))
            : step
              ? names.step(step)
              : the(assembly);
  const near = typeof neighbour === "string" ? `${about} near ${the(names.neighbour(neighbour))}` : about;
  return side ? `${near} (${names.view(side)})` : near;
}

type Say = (slots: Slots, names: Names, assembly: string) => string;

const READINGS: Readonly<Record<FormId, Say>> = {
  "before-closing": ({ part }, names) => `What must be set before ${names.thePart(part ?? "")} closes?`,
  "may-i": (slots, names, assembly) => {
    const [act, scope] = [text(slots, "act"), sayScope(slots, names, assembly)];
    if (text(slots, "sense") === "against") return `Is it too early to ${act} ${scope}?`;
    return `${text(slots, "sense") === "must" ? "Must" : "May"} I ${act} ${scope} now?`;
  },
  treatment: (slots, names, assembly) => {
    const scope = sayScope(slots, names, assembly);
    const filter = sayFilter(slots);
    if (!filter) return `What is done to ${scope}?`;
    if (slots.hole) return `Is ${scope} ${filter}?`;
    return `Which holes of ${scope} are ${filter}?`;
  },
  fastener: (slots, names, assembly) => {
    const [rivet, size, drill] = ["rivet", "size", "drill"].map((slot) => text(slots, slot));
    const scope = sayScope(slots, names, assembly);
    const one = rivet ? names.rivet(rivet) : size ? `a ${sayWritten(size)} rivet` : "";
    if (one)
      return isAboutAll(slots)
        ? `What is ${one}, and where does it go?`
        : isOpen(slots)
          ? `How does ${one} suit ${scope}?`
          : `Does ${one} go into ${scope}?`;
    if (drill) return `Which rivet is a hole of ${sayWritten(drill)} for?`;
    return `Which rivet goes into ${scope}, and does it hold the stack?`;
  },
  tools: (slots, names, assembly) => {
    const tool = text(slots, "tool") || "drill, die and temporary fastener";
    const [size, drill] = [text(slots, "size"), text(slots, "drill")];
    if (size) return `Which ${tool} for a ${sayWritten(size)} rivet?`;
    if (drill && !isAboutAll(slots))
      return isOpen(slots)
        ? `How does the drill ${sayWritten(drill)} suit ${sayScope(slots, names, assembly)}?`
        : `Is the drill ${sayWritten(drill)} right for ${sayScope(slots, names, assembly)}?`;
    if (drill) return `Which ${tool} for a hole of ${sayWritten(drill)}?`;
    return `Which ${tool} for ${sayScope(slots, names, assembly)}?`;
  },
  clearance: (slots, names, assembly) => {
    const what = slots.rivet
      ? names.rivet(text(slots, "rivet"))
      : slots.head
        ? `a ${slots.head} head`
        : "the head";
    const { neighbour, ...place } = slots;
    const near = typeof neighbour === "string" ? the(names.neighbour(neighbour)) : "what comes near it";
    const at = sayScope(place, names, assembly);
    if (isOpen(slots)) return `How near does ${what} come to ${near} at ${at}?`;
    return `Does ${what} ${text(slots, "sense") === "against" ? "foul" : "clear"} ${near} at ${at}?`;
  },
  edge: (slots, names, assembly) => {
    const size = slots.size ? `a ${sayWritten(text(slots, "size"))} rivet` : "";
    const what = slots.rivet ? names.rivet(text(slots, "rivet")) : size || "the rivet";
    const head = slots.head ? ` with a ${slots.head} head` : "";
    const [whose, at] = [`${what}${head}`, sayScope(slots, names, assembly)];
    if (isOpen(slots)) return `How do edge distance and pitch serve ${whose} at ${at}?`;
    return text(slots, "sense") === "against"
      ? `Is ${whose} too near the edge at ${at}?`
      : `Are edge distance and pitch enough for ${whose} at ${at}?`;
  },
  count: (slots, names, assembly) => {
    const what = slots.rivet
      ? names.rivet(text(slots, "rivet"))
      : slots.head
        ? `${slots.head} rivets`
        : "rivets";
    const left = slots.left === "yes" ? " left to set" : "";
    const spares = slots.spares ? `, with ${text(slots, "spares")} % spares` : "";
    return `How many ${what} for ${sayScope(slots, names, assembly)}${left}${spares}?`;
  },
  repair: (slots, names, assembly) => {
    const damage = text(slots, "damage");
    const size = slots.drill ? `, ${sayWritten(text(slots, "drill"))} across` : "";
    const scope = isAboutAll(slots) ? "a hole" : sayScope(slots, names, assembly);
    return `What now: ${scope} ${isMany(slots) ? "are" : "is"} ${DAMAGED[damage] ?? damage}${size}?`;
  },
  "stay-open": (slots, names, assembly) => {
    const until = slots.milestone ? ` until ${names.milestone(slots.milestone)}` : "";
    if (slots.hole) return `Does ${names.hole(slots.hole)} stay open${until}?`;
    return `Which holes of ${sayScope(slots, names, assembly)} stay open${until}?`;
  },
  "close-later": (slots, names, assembly) => {
    const when = slots.milestone ? `once ${names.milestone(slots.milestone)}` : "later, and when";
    const scope = isAboutAll(slots) ? "" : ` of ${sayScope(slots, names, assembly)}`;
    return slots.milestone ? `What${scope} can be closed ${when}?` : `What${scope} is closed ${when}?`;
  },
  why: (slots, names, assembly) => {
    const scope = sayScope(slots, names, assembly);
    const be = isMany(slots) ? "are" : "is";
    if (slots.attribute === "hold") return `Why ${isMany(slots) ? "do" : "does"} ${scope} stay open?`;
    const filter = sayFilter(slots);
    if (filter) return `Why ${be} ${scope} ${filter}?`;
    const attribute = text(slots, "attribute");
    return attribute
      ? `Why that ${attributeLabel(attribute)} at ${scope}?`
      : `Why ${be} ${scope} treated so?`;
  },
  "why-not": (slots, names, assembly) => {
    const scope = sayScope(slots, names, assembly);
    const be = isMany(slots) ? "are" : "is";
    const act = text(slots, "act");
    if (act) return `Why may ${scope} not be ${ACTED[act] ?? act} now?`;
    if (slots.attribute === "hold") return `Why ${isMany(slots) ? "do" : "does"} ${scope} not stay open?`;
    return `Why ${be} ${scope} not ${sayFilter({ ...slots, not: undefined }) ?? "treated otherwise"}?`;
  },
  "odd-ones": (slots, names) => {
    const attribute = text(slots, "attribute");
    const inWhat = attribute ? ` in ${attributeLabel(attribute)}` : "";
    const other = text(slots, "other");
    if (slots.part && other)
      return `Are ${names.thePart(slots.part)} and ${names.thePart(other)} alike${inWhat}?`;
    if (slots.part) return `Does ${names.thePart(slots.part)} differ from the rest of its family${inWhat}?`;
    return `Which of ${the(names.family(slots.family ?? ""))} differ from the rest${inWhat}?`;
  },
  changed: (slots, names, assembly) => {
    const notice = text(slots, "notice");
    const what = notice ? `What did ${names.notice(notice)} change` : "What did the notices change";
    return isAboutAll(slots) ? `${what}?` : `${what} at ${sayScope(slots, names, assembly)}?`;
  },
  plan: (slots, names, assembly) => {
    const { hole, holes, row, family, part, step } = slots;
    const [gate, act] = [text(slots, "gate"), text(slots, "act")];
    const scope = sayScope(slots, names, assembly);
    if (gate) return `When in the order of work comes “${names.gate(gate)}” on ${scope}?`;
    if (act) return `When in the order of work are the rivets through ${scope} set?`;
    if (hole || holes || row)
      return `When in the order of work ${isMany(slots) ? "are" : "is"} ${scope} set?`;
    if (family) return `When in the order of work do ${scope} come on?`;
    return step
      ? `What is the order of work until ${names.step(step)} is done?`
      : part
        ? `What is the order of work until ${names.thePart(part)} is on?`
        : `What is the whole order of work on ${the(assembly)} from here?`;
  },
  next: ({ part }, names) => (part ? `What comes next on ${names.thePart(part)}?` : "What comes next?"),
  "turn-over": (_slots, _names, assembly) => `When is ${the(assembly)} turned over, and how often?`,
  progress: (slots, names, assembly) => {
    const scope = sayScope(slots, names, assembly);
    const gate = text(slots, "gate");
    return gate
      ? `Where is “${names.gate(gate)}” done and where is it left, of ${scope}?`
      : `What is done and what is left of ${scope}?`;
  },
  rework: (slots, names, assembly) => {
    if (slots.first === "yes") return `What if ${names.thePart(slots.part ?? "")} were hung first?`;
    const early = text(slots, "early");
    if (early) return `${capital(names.thePart(early))} was closed too early: what is the way back?`;
    return isAboutAll(slots)
      ? "What has to be drilled out so that every missing rivet can be set?"
      : `What has to be drilled out so that ${sayScope(slots, names, assembly)} can be set?`;
  },
  notes: (slots) => `Notes on ${text(slots, "topic")}`,
  tell: (slots, names, assembly) => {
    const gate = text(slots, "gate");
    if (gate) {
      const done = slots.done === "no" ? "not done" : "done";
      return `Mark “${names.gate(gate)}” on ${sayScope(slots, names, assembly)} as ${done}`;
    }
    if (slots.milestone) {
      const reached = slots.reached === "no" ? "not reached" : "reached";
      return `Mark as ${reached}: ${names.milestone(slots.milestone)}`;
    }
    return `Mark ${sayScope(slots, names, assembly)} as ${text(slots, "state")}`;
  },
};

function text(slots: Slots, name: string): string {
  const value = slots[name];
  return typeof value === "string" ? value : "";
}

/** Whether neither yes nor no would answer it plainly. */
function isOpen(slots: Slots): boolean {
  return text(slots, "sense") === "open";
}

/** The slots that narrow a question down; null when none does. */
function sayFilter({ treatment, orTreatment, head, not }: Slots): string | null {
  const treatments = [treatment, orTreatment].flatMap((one) => (typeof one === "string" ? [one] : []));
  return treatments.length === 0 && head === undefined ? null : sayWanted(treatments, head, not === "yes");
}

/** "not dimpled", "flush", "dimpled and flush", "dimpled or countersunk", "neither dimpled nor countersunk". */
export function sayWanted(
  treatments: readonly (string | undefined)[],
  head: string | undefined,
  not: boolean,
): string {
  const treated = treatments.flatMap((one) => (one === undefined ? [] : [TREATED[one] ?? one]));
  const [first, second] = treated;
  if (not && first !== undefined && second !== undefined && head === undefined)
    return `neither ${first} nor ${second}`;
  const wanted = [listed(treated, "or"), head ?? ""].filter((word) => word !== "");
  return `${not ? "not " : ""}${listed(wanted)}`;
}

function isAboutAll({ hole, holes, row, part, family, step, neighbour, side }: Slots): boolean {
  return !hole && !holes && !row && !part && !family && !step && !neighbour && !side;
}

function isMany({ hole, holes, family }: Slots): boolean {
  return !hole && ((holes?.length ?? 0) > 1 || family !== undefined);
}
