import { finder } from "../../kit/find.js";
import { TREATMENTS } from "../../kit/types.js";
import { isLarger } from "../../order/prep.js";
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
    const named = scopeOf(job, slots, { orAll: false });
    const asked = askedOf(job, slots);
    const scope = askedAbout(job, named, asked);
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
      ...headlineOf(job, { named, scope }, asked, lead, reasons),
      holes: scope.holes,
      rows: reasons.map(({ group, why }) => rowOf(job, group, why)),
      trace,
      cautions: cautionsFor(job, scope.holes, [], trace),
      sources: ruleSources(job, rulesIn(trace)),
      followUps: followUps(job, slots, scope, lead),
    };
  },
};

/** Of holes that are not alike, those that are as the question says: the others are another question. */
function askedAbout(job: Job, scope: Scope, { attribute, granted }: Asked): Scope {
  if (attribute === undefined || !granted) return scope;
  const holes = granted.holesSo(scope.holes);
  if (holes.length === 0 || holes.length === scope.holes.length) return scope;
  return { ...scope, holes, said: namesOf(job).where(holes, 2) };
}

interface Asked {
  readonly attribute: string | undefined;
  /** What the question takes for granted. */
  readonly granted?: Granted;
}

interface Granted {
  /** How one hole and several are, and what is said of none: "is dimpled". */
  readonly one: string;
  readonly many: string;
  holesSo(holes: readonly string[]): readonly string[];
  /** Of how many it is not decided. */
  openOf(holes: readonly string[]): number;
}

function askedOf(job: Job, slots: Slots): Asked {
  const treatment = chosenSlot(slots, "treatment", TREATMENTS);
  const head = chosenSlot(slots, "head", ["protruding", "flush"]);
  // Enlarging goes with other treatments: why it is done is why the finished hole is larger.
  if (treatment === "enlarge") {
    const find = finder(job.assembly);
    return granted(job, "finalDiameterMm", "enlarged", (mm, id) =>
      isLarger(Number(mm), find.hole(id).punchedMm),
    );
  }
  if (treatment)
    return granted(job, "treatment", TREATED[treatment] ?? treatment, (value) => value === treatment);
  if (head) return granted(job, "head", head, (value) => value === head);
  const attribute = chosenSlot(slots, "attribute", [...job.rulebook.dictionary.attributes.keys()]);
  if (attribute !== "hold") return { attribute };
  const { granted: held } = granted(job, "hold", "", () => true);
  return { attribute, ...(held ? { granted: { ...held, one: "stays open", many: "stay open" } } : {}) };
}

function granted(
  job: Job,
  attribute: string,
  word: string,
  isSo: (value: unknown, hole: string) => boolean,
): Asked {
  const ruled = (id: string) =>
    job.rulings.of(id).attributes[attribute] ?? { status: "unclaimed", value: null };
  return {
    attribute,
    granted: {
      one: `is ${word}`,
      many: `are ${word}`,
      holesSo: (holes) => holes.filter((id) => ruled(id).status === "settled" && isSo(ruled(id).value, id)),
      openOf: (holes) => holes.filter((id) => isOpen(job, attribute, ruled(id).status)).length,
    },
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
  { named, scope }: { readonly named: Scope; readonly scope: Scope },
  asked: Asked,
  lead: readonly Reason[],
  all: readonly Reason[],
): Pick<FormAnswer, "headline" | "brief"> {
  if (scope.holes.length === 0) return { headline: `${capital(scope.said)} has no holes.` };
  const [first, ...others] = lead;
  if (!first) {
    const nothing = asked.attribute === "hold" ? NO_HOLD : "no rule speaks of it";
    return { headline: sentences(`${scope.said}: ${nothing}`) };
  }
  const where = others.length === 0 ? scope.said : namesOf(job).where(first.group.holes, 2);
  const rest = others.reduce((sum, { group }) => sum + group.holes.length, 0);
  const grounds = all.find(
    ({ group }) =>
      first.why.restsOn.includes(group.attribute) && group.holes.includes(first.group.first.hole),
  );
  const put = asPut(asked, named, scope);
  const more = rest > 0 && `${counted(rest, "more hole")} for other reasons`;
  return {
    headline: sentences(
      put,
      `${where}: ${first.why.short}`,
      grounds && `${attributeLabel(grounds.group.attribute)}: ${grounds.why.short}`,
      more,
    ),
    brief: sentences(
      ...briefly(job, first, others.length === 0, { put, isSome: scope !== named, said: scope.said }),
      more,
    ),
  };
}

/** "42 of the 46 holes are flush, by “…”": the rule's title says the reason. */
function briefly(
  job: Job,
  { group, why: { is, by } }: Reason,
  isOnly: boolean,
  { put, isSome, said }: { readonly put: string; readonly isSome: boolean; readonly said: string },
): readonly string[] {
  if (by !== null && isSome) return [`${put}, ${isOnly ? "" : `${group.holes.length} of them `}by ${by}`];
  const where = isOnly ? said : namesOf(job).briefly(group.holes);
  return [put, `${where}: ${by === null ? is : `${is}, by ${by}`}`];
}

/** A question may take for granted what is so of none or of some of the holes only: then that is said first. */
function asPut({ granted: asked }: Asked, named: Scope, { holes }: Scope): string {
  if (!asked) return "";
  const all = named.holes.length;
  const open = asked.openOf(named.holes);
  const undecided = open === 0 ? "" : ` (${open} undecided)`;
  if (holes.length < all)
    return `${holes.length} of the ${all} holes ${holes.length === 1 ? asked.one : asked.many}${undecided}`;
  if (asked.holesSo(holes).length > 0) return "";
  if (all === 1) return open === 0 ? `${named.said} ${denied(asked.one)}` : "";
  return open === all ? "" : `none of the ${all} holes ${asked.one}${undecided}`;
}

function denied(one: string): string {
  return one.startsWith("is ") ? one.replace("is ", "is not ") : "does not stay open";
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

/** Nothing to hold is no leave to set: it may wall in others. */
const NO_HOLD = "no rule holds it open; whether it may be set now is another question";
