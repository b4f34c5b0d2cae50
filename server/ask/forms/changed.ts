import type { Notice } from "../../kit/types.js";
import type { ClaimTrace, Rule } from "../../ruling/types.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { alike, entryOf, orderTrace, ruleSources } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, TraceEntry } from "../types.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { attributeLabel } from "../wording/measures.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayBasis, sayClaim, sayRule } from "../wording/rulings.js";
import { grouped, rowOf } from "./ruled.js";
import { idSlot, type Scope, scopeOf } from "./slots.js";

/** One hole at which a notice's rule carries the ruling. */
export interface Change {
  readonly hole: string;
  readonly attribute: string;
  readonly claim: ClaimTrace;
  /** Weaker claims that it beat there; empty when it speaks where nothing stronger than it was said. */
  readonly overtook: readonly ClaimTrace[];
}

/** What the kit maker's notices changed against the manual, and at which holes. */
export const changed: Form = {
  id: "changed",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const asked = idSlot(
      slots,
      "notice",
      job.kit.notices.map(({ id }) => id),
    );
    const notices = job.kit.notices.filter(({ id }) => asked === undefined || id === asked);
    const found = notices.map((notice) => ({
      notice,
      changes: changesBy(job, rulesOf(job, notice), scope.holes),
    }));
    const touched = found.filter(({ changes }) => changes.length > 0);
    const holes = scope.holes.filter((hole) =>
      touched.some(({ changes }) => changes.some((one) => one.hole === hole)),
    );
    const rules = notices.flatMap((notice) => rulesOf(job, notice));
    const trace = traceOf(
      job,
      found.flatMap(({ changes }) => changes),
      rules,
      scope,
    );
    return {
      headline: headlineOf(job, scope, notices, found),
      brief: briefOf(scope, touched, holes),
      holes,
      rows: found.flatMap(({ notice, changes }) => rowsOf(job, notice, changes, scope)),
      trace,
      cautions: cautionsFor(job, holes, ["drill", "dimple", "countersink", "rivet"], trace),
      sources: [
        ...ruleSources(
          job,
          rules.map(({ id }) => id),
        ),
        ...notices
          .filter((notice) => rulesOf(job, notice).length === 0)
          .map(({ id, title, dated }) => ({
            rank: "notice",
            document: `${job.kit.name} notice ${id}`,
            place: title,
            dated,
          })),
      ],
      followUps: touched.slice(0, 2).flatMap(({ changes }) => {
        const list = [...new Set(changes.map(({ hole }) => hole))];
        const attribute = changes[0]?.attribute;
        return [reading(job, "why", { holes: list, ...(attribute ? { attribute } : {}) })];
      }),
    };
  },
};

/** Rules of rank notice that rest on this notice: its id stands in their document or place. */
export function rulesOf(job: Job, { id }: Notice): readonly Rule[] {
  const named = new RegExp(`(^|[^A-Za-z0-9-])${id.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}($|[^A-Za-z0-9-])`);
  return job.rulebook.rules.filter(
    ({ basis }) => basis.rank === "notice" && (named.test(basis.document) || named.test(basis.place)),
  );
}

/** Where rules carry a ruling, computed from the traces: by hole and attribute, with what they overtook. */
function changesBy(job: Job, rules: readonly Rule[], holes: readonly string[]): readonly Change[] {
  const ids = new Set(rules.map(({ id }) => id));
  return holes.flatMap((hole) =>
    Object.values(job.rulings.of(hole).attributes)
      .filter(({ status, ruleIds }) => status === "settled" && ruleIds.some((id) => ids.has(id)))
      .flatMap(({ attribute }) => {
        const { claims } = job.rulings.trace(hole, attribute);
        return claims
          .filter(({ rule, verdict, lostTo }) => ids.has(rule) && verdict === "true" && lostTo.length === 0)
          .map((claim): Change => {
            const beaten = new Set(claim.beat.map(({ rule }) => rule));
            return { hole, attribute, claim, overtook: claims.filter(({ rule }) => beaten.has(rule)) };
          });
      }),
  );
}

function headlineOf(
  job: Job,
  { said, all }: Scope,
  notices: readonly Notice[],
  found: readonly { readonly notice: Notice; readonly changes: readonly Change[] }[],
): string {
  if (notices.length === 0) return "The kit has no notices.";
  const names = namesOf(job);
  const count = (changes: readonly Change[]): number => new Set(changes.map(({ hole }) => hole)).size;
  const deciding = found.filter(({ changes }) => changes.length > 0);
  const told = deciding.map(({ notice, changes }) => {
    // Where nothing else was said, the notice confirms what would be done anyway.
    const confirmed = count(changes) - count(changes.filter(({ overtook }) => overtook.length > 0));
    const same = confirmed > 0 ? `, ${confirmed} of them as without it` : "";
    // Of several the titles stand in the rows.
    const title = deciding.length === 1 ? ` (${notice.title})` : "";
    return `${notice.id}${title} at ${counted(count(changes), "hole")}${same}`;
  });
  const here = all ? "" : ` at ${said}`;
  if (told.length === 0) {
    const which =
      notices.length === 1 ? names.notice(notices[0]?.id ?? "") : `none of the ${notices.length} notices`;
    return sentences(
      `${which} ${notices.length === 1 ? "changes nothing" : "changes anything"} in the rulings${here}`,
    );
  }
  return sentences(
    `${counted(told.length, "notice")} ${plural(told.length, "decides", "decide")} rulings${here}: ${listed(told)}`,
  );
}

/** How many notices and holes, where all of them by number would be too long a first line. */
function briefOf({ said, all }: Scope, touched: readonly unknown[], holes: readonly string[]): string {
  return sentences(
    `${counted(touched.length, "notice")} ${plural(touched.length, "decides", "decide")} rulings at ${counted(holes.length, "hole")}${all ? "" : ` of ${said}`}: each of them is told below`,
  );
}

/** The notice itself, then the holes that it touches with what was overtaken there. */
function rowsOf(job: Job, notice: Notice, changes: readonly Change[], { all }: Scope): readonly AnswerRow[] {
  const names = namesOf(job);
  if (!all && changes.length === 0) return [];
  const rows = grouped(changes, ({ hole, attribute, claim, overtook }) => [
    rowOf(job, hole),
    attribute,
    claim.rule,
    overtook.map(({ rule, verdict }) => [rule, verdict]),
  ]).map((group): AnswerRow => {
    const { attribute, claim, overtook } = group[0] as Change;
    const holes = group.map(({ hole }) => hole);
    const manual = overtook.filter(({ basis }) => basis.rank !== "handbook");
    const told = manual.length > 0 ? manual : overtook;
    const says = sayClaim(attribute, claim.value, names, job.kit.units);
    return {
      holes,
      where: names.everywhere(holes),
      what: sentences(
        `now: ${says}`,
        ...told.map(
          ({ title, basis, value, verdict }) =>
            `${verdict === "unknown" ? "Before, perhaps" : "Before"}: ${sayClaim(attribute, value, names, job.kit.units)}, by ${sayRule(title)} (${sayBasis(basis)})`,
        ),
        told.length === 0 && `nothing else said otherwise about the ${attributeLabel(attribute)} here`,
      ),
      notice: notice.id,
      attribute,
      rule: claim.rule,
      overtook: told.map(({ rule }) => rule),
    };
  });
  const unused = rulesOf(job, notice).length === 0 && "no rule in the data rests on it: read it yourself";
  return [
    {
      holes: [...new Set(changes.map(({ hole }) => hole))],
      where: `${notice.id}, ${notice.dated}`,
      what: sentences(notice.title, notice.changes, `it overtakes: ${notice.overtakes}`, unused),
      notice: notice.id,
      attribute: null,
      rule: null,
      overtook: [],
    },
    ...rows,
  ];
}

function traceOf(
  job: Job,
  changes: readonly Change[],
  rules: readonly Rule[],
  { holes }: Scope,
): readonly TraceEntry[] {
  const ids = new Set(rules.map(({ id }) => id));
  const orders = holes.flatMap((hole) =>
    job.rulings
      .of(hole)
      .orders.filter(({ rule, verdict }) => ids.has(rule) && verdict !== "false")
      .map(({ rule, verdict, strength, before, after }) => ({
        hole,
        rule,
        strength,
        verdict,
        relation: before === undefined ? ("after" as const) : ("before" as const),
        part: before ?? after ?? "",
        partState: "loose" as const,
      })),
  );
  return [
    ...grouped(changes, ({ attribute }) => attribute).flatMap((group) =>
      alike(job, [...new Set(group.map(({ hole }) => hole))], group[0]?.attribute ?? "").map(entryOf),
    ),
    ...orderTrace(job, orders),
  ];
}
