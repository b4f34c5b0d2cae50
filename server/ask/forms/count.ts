import { pickingList } from "../../fastener/count.js";
import { SAME_SIZE_MM } from "../../fastener/input.js";
import { stateOf } from "../../kit/work.js";
import { holdOf } from "../../order/holds.js";
import { gripDoubtOf, misfitsOf } from "../../order/misfit.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots } from "../types.js";
import {
  sayBin,
  sayDoubtfulCount,
  sayHeldBin,
  saySpares,
  sayUnfitCount,
  sayUnsettledCount,
} from "../wording/count.js";
import { sayGripDoubts } from "../wording/fastener.js";
import { capital, counted, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayMisfit } from "../wording/reasons.js";
import { sayWritten } from "../wording/sizes.js";
import { rivetSlot, ruledRivet, sizeSlot } from "./fitted.js";
import { grouped, openVerdict, type Ruled, ruledAt } from "./ruled.js";
import { askOn, chosenSlot, invalid, scopeOf, textSlot } from "./slots.js";

const HEADS = ["protruding", "flush"] as const;

/** How many rivets of each code: what to set, what stays open for now, and what cannot be counted yet. */
export const count: Form = {
  id: "count",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const left = chosenSlot(slots, "left", ["yes", "no"]) === "yes";
    const spares = sparesOf(slots);
    const code = rivetSlot(job, slots)?.code;
    const head = chosenSlot(slots, "head", HEADS);
    const sizeMm = sizeSlot(slots, "size")?.mm;
    const all = scope.holes.map((id) => ruledAt(job, id));
    const inScope = all.filter((ruled) => {
      const rivet = ruledRivet(job, ruled);
      if (rivet === null) return true;
      const isSize = sizeMm === undefined || Math.abs(rivet.diameterMm - sizeMm) <= SAME_SIZE_MM;
      return (
        isSize && (code === undefined || rivet.code === code) && (head === undefined || rivet.head === head)
      );
    });
    const set = inScope.filter(({ hole }) => stateOf(job.work, hole.id) === "set");
    const wanted = left ? inScope.filter((ruled) => !set.includes(ruled)) : inScope;
    const isHeld = ({ hole }: Ruled): boolean =>
      stateOf(job.work, hole.id) !== "set" && holdOf(job.rulings, job.work, hole.id) !== null;
    const open = wanted.filter((ruled) => ruledRivet(job, ruled) === null);
    const held = wanted.filter((ruled) => !open.includes(ruled) && isHeld(ruled));
    const unfit = wanted.filter(
      (ruled) =>
        !set.includes(ruled) &&
        !open.includes(ruled) &&
        !held.includes(ruled) &&
        misfitsOf(job, ruled.hole).length > 0,
    );
    const apart = new Set([...open, ...held, ...unfit]);
    const now = wanted.filter((ruled) => !apart.has(ruled));
    const { bins } = pickingList(codesOf(job, now), spares);
    const doubtful = [...now, ...held].filter((one) => !set.includes(one) && gripDoubtOf(job, one.hole));
    const trace = rulingTrace(job, scope.holes, ["rivet"]);
    const ids = wanted.map(({ hole }) => hole.id);
    const sum = bins.reduce((total, { count }) => total + count, 0);
    const fetch = bins.reduce((total, bin) => total + bin.fetch, 0);
    const size = sizeMm === undefined ? null : sayWritten(textSlot(slots, "size") ?? "");
    const kinds = [size, head, "rivet"].filter((word) => word !== null && word !== undefined).join(" ");
    return {
      verdict: openVerdict(open),
      headline: sentences(
        `${capital(scope.said)}: ${code ? `${sum} of ${code}` : counted(sum, kinds)}${left ? " left to set" : ""}${spares > 0 && sum > 0 ? `, ${fetch} ${saySpares(spares)}` : ""}${
          !code && bins.length > 0 ? `: ${bins.map((bin) => `${bin.fetch} × ${bin.code}`).join(", ")}` : ""
        }`,
        !left &&
          set.length > 0 &&
          `${set.length} of ${all.length === 1 ? "it" : "them"} ${set.length === 1 ? "is" : "are"} set already`,
        held.length > 0 && sayHeldBin(held.length, codesSaid(job, held)),
        unfit.length > 0 && sayUnfitCount(unfit.length, codesSaid(job, unfit)),
        doubtful.length > 0 && sayDoubtfulCount(doubtful.length, codesSaid(job, doubtful)),
        open.length > 0 && sayUnsettledCount(open.length),
      ),
      holes: ids,
      rows: [
        ...bins.map((bin) => ({
          holes: bin.holes,
          where: namesOf(job).rivet(bin.code),
          what: [
            sayBin(bin, spares, namesOf(job).where(bin.holes)),
            ...doubtsSaid(job, unsetOf(job, now, bin.holes), bin.count),
          ].join("; "),
          rivet: bin.code,
          count: bin.count,
          fetch: bin.fetch,
        })),
        ...heldRows(job, held),
        ...unfitRows(job, unfit),
        ...openRows(job, open),
      ],
      trace,
      cautions: cautionsFor(job, [], [], trace),
      sources: ruleSources(job, rulesIn(trace)),
      followUps: [...askOn(job, "fastener", slots, scope.holes), ...askOn(job, "tools", slots, scope.holes)],
    };
  },
};

/** @throws SLOT_INVALID for anything but a number from 0 to 100 */
function sparesOf(slots: Slots): number {
  const text = textSlot(slots, "spares");
  if (text === undefined) return 0;
  const value = /^\d{1,3}(\.\d{1,2})?$/.test(text) ? Number(text) : Number.NaN;
  if (!(value >= 0 && value <= 100)) throw invalid("spares", text, ["a number from 0 to 100"]);
  return value;
}

function codesOf(job: Job, ruled: readonly Ruled[]): ReadonlyMap<string, string | null> {
  return new Map(ruled.map((one) => [one.hole.id, ruledRivet(job, one)?.code ?? null]));
}

function codesSaid(job: Job, ruled: readonly Ruled[]): string {
  return pickingList(codesOf(job, ruled), 0)
    .bins.map(({ code, count }) => `${count} × ${code}`)
    .join(", ");
}

function unsetOf(job: Job, ruled: readonly Ruled[], ids: readonly string[]): readonly Ruled[] {
  return ruled.filter(({ hole }) => ids.includes(hole.id) && stateOf(job.work, hole.id) !== "set");
}

/** That it is not known whether rivets of a line hold their stack; none where it is. */
function doubtsSaid(job: Job, ruled: readonly Ruled[], among: number): readonly string[] {
  const said = sayGripDoubts(
    ruled.flatMap(({ hole }) => gripDoubtOf(job, hole) ?? []),
    among,
  );
  return said === "" ? [] : [said];
}

/** Held holes by milestone: not to be fetched for now. */
function heldRows(job: Job, held: readonly Ruled[]): readonly AnswerRow[] {
  return grouped(held, ({ hole }) => holdOf(job.rulings, job.work, hole.id)?.until ?? null).map((group) => {
    const holes = group.map(({ hole }) => hole.id);
    const until = holdOf(job.rulings, job.work, holes[0] ?? "")?.until ?? null;
    const when =
      until === null ? "whether it stays open is not decided" : `open until ${namesOf(job).milestone(until)}`;
    return {
      holes,
      where: "not for now",
      what: [
        `${codesSaid(job, group)}, ${when}: ${namesOf(job).where(holes)}`,
        ...doubtsSaid(job, group, group.length),
      ].join("; "),
      until,
      count: holes.length,
    };
  });
}

/** Rivets that are ruled and do not go in, by what is wrong: not to be fetched before that is cleared up. */
function unfitRows(job: Job, unfit: readonly Ruled[]): readonly AnswerRow[] {
  const said = unfit.map((ruled) => {
    const [first] = misfitsOf(job, ruled.hole);
    return { ruled, why: first ? sayMisfit(job, first) : "" };
  });
  return grouped(said, ({ why }) => why).map((group) => {
    const holes = group.map(({ ruled }) => ruled.hole.id);
    return {
      holes,
      where: "does not go in",
      what: `${codesSaid(
        job,
        group.map(({ ruled }) => ruled),
      )}: ${namesOf(job).where(holes)}; ${group[0]?.why ?? ""}`,
      count: holes.length,
    };
  });
}

function openRows(job: Job, open: readonly Ruled[]): readonly AnswerRow[] {
  if (open.length === 0) return [];
  const holes = open.map(({ hole }) => hole.id);
  return [
    {
      holes,
      where: "not settled",
      what: `${sayUnsettledCount(open.length)}: ${namesOf(job).where(holes)}`,
      count: open.length,
    },
  ];
}
