import type { Job } from "../types.js";
import { sayRule } from "./rulings.js";

/** What is to be known of the ground that an answer stands on, before anything else. */
export function groundCautions({ tried, leftOut = [], broken }: Job): readonly string[] {
  return [
    ...(broken ? [`${broken} What it says was done may not be what was done: look at the work itself.`] : []),
    ...(tried ? [`Tried with ${sayRule(tried.title)}, which is not in force.`] : []),
    ...leftOut.map(
      ({ title, what }) =>
        `The shop rule ${sayRule(title)} is in force but cannot be used, and this answer does not know it: ${what}`,
    ),
  ];
}
