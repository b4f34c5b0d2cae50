import { TREATMENTS } from "../../kit/types.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { type Alike, alike, entryOf, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { capital, counted, sentences } from "../wording/grammar.js";
import { attributeLabel } from "../wording/measures.js";
import { namesOf } from "../wording/names.js";
import { TREATED } from "../wording/readings.js";
import { type Explanation, explain } from "./explain.js";
import { isOpen } from "./open.js";
import { openVerdict, ruledAt } from "./ruled.js";
import { askOn, chosenSlot, type Scope, scopeOf } from "./slots.js";

/** Holes that are alike in an attribute, with the reason why. */
interface Reason {
  readonly group: Alike;
  readonly why: Explanation;
}

/** Why a hole is treated, headed or held as it is: rule, basis, conditions with their values, what it beat. */
export const why: Form = {
  id: "why",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots, { orAll: false });
    const asked = askedOf(job, slots);
    const attributes = withGrounds(
      job,
      scope,
      asked.attribute ? [asked.attribute] : defaultAttributes(job, scope),
    );
    const reasons = attributes.flatMap((attribute) => reasonsFor(job, scope.holes, attribute));
    const lead = reasons.filter(({ group }) => group.attribute === (asked.attribute ?? "treatment"));
    const trace = reasons.map(({ group }) => entryOf(group));
    const rulings = scope.holes.map((id) => ruledAt(job, id));
    const isOpenHere = reasons.some(
      ({ group }) => group.first.status === "undecided" || group.first.status === "conflict",
    );
    return {
      verdict: isOpenHere ? openVerdict(rulings) : undefined,
      headline: headlineOf(job, scope, asked, lead, reasons),
      holes: scope.holes,
      rows: reasons.map(({ group, why }) => rowOf(job, group, why)),
      trace,
      cautions: cautionsFor(job, scope.holes, [], trace),
      sources: ruleSources(job, rulesIn(trace)),
      followUps: followUps(job, slots, scope, lead),
    };
  },
};

interface Asked {
  readonly attribute: string | undefined;
  /** The value that the question takes for granted. */
  readonly value: string | undefined;
}

function askedOf(job: Job, slots: Slots): Asked {
  const treatment = chosenSlot(slots, "treatment", TREATMENTS);
  const head = chosenSlot(slots, "head", ["protruding", "flush"]);
  // Enlarging goes with other treatments: why it is done is why the finished hole is larger.
  if (treatment === "enlarge") return { attribute: "finalDiameterMm", value: undefined };
  if (treatment) return { attribute: "treatment", value: treatment };
  if (head) return { attribute: "head", value: head };
  return {
    attribute: chosenSlot(slots, "attribute", [...job.rulebook.dictionary.attributes.keys()]),
    value: undefined,
  };
}

/** Head and treatment, and the hold where there is one: what a builder means by "why is it so?". */
function defaultAttributes(job: Job, { holes }: Scope): readonly string[] {
  const held = holes.some(
    (id) => (job.rulings.of(id).attributes.hold?.status ?? "unclaimed") !== "unclaimed",
  );
  return held ? ["treatment", "hold"] : ["treatment"];
}

/** The attributes asked about, each after those on which its reasons rest: a treatment after its head. */
function withGrounds(job: Job, { holes }: Scope, attributes: readonly string[]): readonly string[] {
  const all: string[] = [];
  const add = (attribute: string): void => {
    if (all.includes(attribute)) return;
    const grounds = new Set(alike(job, holes, attribute).flatMap((group) => explain(job, group).restsOn));
    for (const ground of grounds) if (ground !== attribute) add(ground);
    if (!all.includes(attribute)) all.push(attribute);
  };
  for (const attribute of attributes) add(attribute);
  return all;
}

function reasonsFor(job: Job, holes: readonly string[], attribute: string): readonly Reason[] {
  return alike(job, holes, attribute)
    .filter(
      ({ first }) =>
        first.status !== "unclaimed" || isOpen(job, attribute, first.status) || holes.length === 1,
    )
    .map((group) => ({ group, why: explain(job, group) }))
    .sort((a, b) => b.group.holes.length - a.group.holes.length);
}

function headlineOf(
  job: Job,
  scope: Scope,
  asked: Asked,
  lead: readonly Reason[],
  all: readonly Reason[],
): string {
  if (scope.holes.length === 0) return `${capital(scope.said)} has no holes.`;
  const [first, ...others] = lead;
  if (!first) {
    const nothing = asked.attribute === "hold" ? "no rule holds it open" : "no rule speaks of it";
    return sentences(`${scope.said}: ${nothing}`);
  }
  const where = others.length === 0 ? scope.said : namesOf(job).where(first.group.holes, 2);
  const rest = others.reduce((sum, { group }) => sum + group.holes.length, 0);
  const grounds = all.find(
    ({ group }) =>
      first.why.restsOn.includes(group.attribute) && group.holes.includes(first.group.first.hole),
  );
  return sentences(
    denial(asked, lead, scope),
    `${where}: ${first.why.short}`,
    grounds && `${attributeLabel(grounds.group.attribute)}: ${grounds.why.short}`,
    rest > 0 && `${counted(rest, "more hole")} for other reasons`,
  );
}

/** A question may take for granted what is not so: then that is said first. */
function denial({ attribute, value }: Asked, lead: readonly Reason[], { said, holes }: Scope): string {
  if (value === undefined || attribute === undefined) return "";
  const so = lead
    .filter(({ group }) => group.first.status === "settled" && group.first.value === value)
    .reduce((sum, { group }) => sum + group.holes.length, 0);
  const word = TREATED[value] ?? value;
  if (so === holes.length) return "";
  if (so === 0)
    return holes.length === 1 ? `${said} is not ${word}` : `none of the ${holes.length} holes is ${word}`;
  return `${so} of the ${holes.length} holes ${so === 1 ? "is" : "are"} ${word}`;
}

function rowOf(job: Job, group: Alike, { full }: Explanation): AnswerRow {
  const { status, value, ruleIds, missing } = group.first;
  return {
    holes: group.holes,
    where: namesOf(job).everywhere(group.holes),
    what: full,
    attribute: group.attribute,
    value,
    status,
    rules: ruleIds,
    missing,
  };
}

/** What else it could have been, and the rest of what is done there. */
function followUps(job: Job, slots: Slots, { holes }: Scope, lead: readonly Reason[]): readonly Reading[] {
  const first = lead[0]?.group.first;
  const asksOn = first?.attribute === "treatment" && first.value !== "dimple";
  return [
    ...askOn(job, "treatment", slots, holes),
    ...(asksOn ? askOn(job, "why-not", slots, holes, { treatment: "dimple" }) : []),
    ...askOn(job, "stay-open", slots, holes),
  ];
}
