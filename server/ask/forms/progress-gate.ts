import { type GateOnPart, gateOn } from "../../order/prep.js";
import { inOrder } from "../../order/standing.js";
import { cautionsFor } from "../cautions.js";
import { narrowed } from "../gates.js";
import { drawingSource, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots, TraceEntry } from "../types.js";
import {
  sayGateState,
  sayGateTally,
  sayStillTreated,
  sayUndecidedHoles,
  sayUndecidedShort,
  treatedBy,
} from "../wording/gates.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayNotCalled } from "../wording/when.js";
import { grouped } from "./ruled.js";
import { partsAt, scopeOf, wholePartsAt } from "./slots.js";

/**
 * On which parts a gate is marked as done, on which it is left, and the holes that still wait for a treatment; holes of
 * which it is not decided whether they call for it are said apart, whatever their part is marked as.
 * @throws UNKNOWN_ID
 */
export function gateProgress(job: Job, slots: Slots, gate: string): FormAnswer {
  const place = scopeOf(job, slots);
  const whole = slots.holes ? wholePartsAt(job, slots.holes) : null;
  const named = (slots.hole || slots.holes || slots.row) && !whole ? new Set(place.holes) : null;
  const said = whole ? namesOf(job).parts(whole) : place.said;
  const ofPlace = (holes: readonly string[]): readonly string[] =>
    named ? holes.filter((hole) => named.has(hole)) : holes;
  const states = narrowed(job, gateOn(job, partsAt(job, slots), gate)).map((state) => ({
    ...state,
    holes: ofPlace(state.holes),
    undecided: ofPlace(state.undecided),
  }));
  // Of named holes, a part counts for those that the treatment is for.
  const isTreatment = treatedBy(gate) !== null;
  const called = states.filter(({ status, holes, undecided }) =>
    named && isTreatment ? holes.length + undecided.length > 0 : status !== "not called for",
  );
  const still = inOrder(
    job.assembly,
    new Set(called.flatMap(({ status, holes }) => (status === "open" ? holes : []))),
  );
  const undecided = inOrder(job.assembly, new Set(states.flatMap((state) => state.undecided)));
  const trace = traceOf(job, called, still, undecided);
  const open = called.filter(({ status }) => status === "open" || status === "perhaps");
  const unsure = !place.all && isUnsure(called);
  const tally = {
    done: partsOf(called, "done"),
    open: partsOf(called, "open"),
    perhaps: partsOf(called, "perhaps"),
  };
  return {
    ...(unsure ? { verdict: "undecided" as const } : {}),
    brief: sentences(sayGateTally(job, gate, named ? namesOf(job).briefly(place.holes) : said, tally, 0)),
    headline:
      named && isTreatment && called.length === 0
        ? sentences(`${place.said}: ${sayNotCalled(job, gate, place.holes, place.holes.length)}`)
        : sentences(
            sayGateTally(job, gate, said, tally),
            isTreatment && still.length > 0 && sayStillTreated(gate, still.length),
            undecided.length > 0 && sayUndecidedShort(job, gate, undecided),
          ),
    holes: inOrder(job.assembly, new Set([...still, ...undecided])),
    rows: [...partRows(job, gate, called), ...undecidedRows(job, gate, undecided)],
    trace,
    cautions: cautionsFor(job, [], [], trace),
    sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
    followUps: followUps(job, gate, open, undecided),
  };
}

/**
 * Whether it is not decided that the gate is called for. There is no yes and no no: "is it primed" and "does it still need
 * priming" are the same question the other way round, and the first line says which is so.
 */
function isUnsure(called: readonly GateOnPart[]): boolean {
  return (
    !called.some(({ status }) => status === "open") &&
    called.some(({ status, undecided }) => status === "perhaps" || undecided.length > 0)
  );
}

function partsOf(called: readonly GateOnPart[], wanted: GateOnPart["status"]): readonly string[] {
  return called.filter(({ status }) => status === wanted).map(({ part }) => part);
}

const ORDER = ["open", "perhaps", "done"];

/** What is left comes first, part by part; parts on which it is done, in one line. */
function partRows(job: Job, gate: string, called: readonly GateOnPart[]): readonly AnswerRow[] {
  const names = namesOf(job);
  const said = called.map((state) => ({
    state,
    text: sentences(sayGateState(gate, state)),
    alone: state.holes.length > 0 && state.status !== "done" ? state.part : "",
  }));
  return [...grouped(said, ({ state, text, alone }) => [state.status, text, alone])]
    .map((group) => {
      const parts = group.map(({ state }) => state.part);
      const [first] = group;
      return {
        holes: first?.state.status === "done" ? [] : (first?.state.holes ?? []),
        where: parts.length === 1 ? names.part(parts[0] ?? "") : names.parts(parts),
        what: first?.text ?? "",
        kind: first?.state.status ?? "",
        gate,
        parts,
        closed: first?.state.closed ?? false,
      };
    })
    .sort((a, b) => ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind));
}

function undecidedRows(job: Job, gate: string, holes: readonly string[]): readonly AnswerRow[] {
  return holes.length === 0
    ? []
    : [
        {
          holes,
          where: namesOf(job).everywhere(holes),
          what: sentences(sayUndecidedHoles(job, gate, holes)),
          kind: "undecided",
          gate,
        },
      ];
}

function traceOf(
  job: Job,
  called: readonly GateOnPart[],
  still: readonly string[],
  undecided: readonly string[],
): readonly TraceEntry[] {
  return [
    ...called.map(({ part, gate, status }) => ({
      kind: "prep" as const,
      part,
      gate,
      done: status === "done",
    })),
    ...rulingTrace(job, inOrder(job.assembly, new Set([...still, ...undecided])), [
      "treatment",
      "finalDiameterMm",
    ]),
  ];
}

function followUps(
  job: Job,
  gate: string,
  open: readonly GateOnPart[],
  undecided: readonly string[],
): readonly Reading[] {
  const [first] = open;
  return [
    ...(first
      ? [
          reading(job, "tell", { part: first.part, gate, done: "yes" }),
          reading(job, "plan", { part: first.part, gate }),
        ]
      : []),
    ...(undecided.length > 0 ? [reading(job, "why", { holes: undecided })] : []),
    reading(job, "progress", {}),
  ];
}
