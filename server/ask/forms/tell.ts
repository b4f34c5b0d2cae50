import { stateOf } from "../../kit/work.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { rulingTrace } from "../trace.js";
import type { FormAnswer, Job, Slots } from "../types.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayHeldUntil } from "../wording/tell.js";
import { ruledAt, settledText } from "./ruled.js";
import { chosenSlot, milestoneSlot, textSlot } from "./slots.js";
import { tellGate } from "./tell-gate.js";
import { tellHoles } from "./tell-holes.js";

/** A statement of work done: proposes marks and warns; nothing is recorded until it is confirmed. */
export const tell: Form = {
  id: "tell",
  answer(job: Job, slots: Slots): FormAnswer {
    if (textSlot(slots, "gate")) return tellGate(job, slots);
    if (textSlot(slots, "milestone")) return tellMilestone(job, slots);
    return tellHoles(job, slots);
  },
};

function tellMilestone(job: Job, slots: Slots): FormAnswer {
  const milestone = milestoneSlot(job, slots) as string;
  const reached = chosenSlot(slots, "reached", ["yes", "no"]) !== "no";
  const name = namesOf(job).milestone(milestone);
  const was = job.work.milestones.has(milestone);
  const said = `${reached ? "reached" : "not reached"}: ${name}`;
  const held = was === reached ? [] : heldUntil(job, milestone);
  const trace = rulingTrace(job, held, ["hold"]);
  return {
    headline: sentences(
      was === reached ? `nothing to record, it is marked so already: ${said}` : `to record as ${said}`,
    ),
    holes: held,
    rows:
      held.length > 0
        ? [
            {
              holes: held,
              where: namesOf(job).everywhere(held),
              what: sentences(sayHeldUntil(reached)),
              milestone,
              reached,
            },
          ]
        : [],
    trace,
    cautions: cautionsFor(job, held, [], trace),
    sources: [],
    followUps: [reading(job, "close-later", { milestone })],
    ...(was === reached ? {} : { proposal: { marks: [{ kind: "milestone", milestone, reached }] } }),
  };
}

/** Unset holes that are held open until a milestone, whether or not it is reached. */
function heldUntil(job: Job, milestone: string): readonly string[] {
  return job.assembly.holes
    .map(({ id }) => id)
    .filter(
      (id) => stateOf(job.work, id) !== "set" && settledText(ruledAt(job, id).of("hold")) === milestone,
    );
}
