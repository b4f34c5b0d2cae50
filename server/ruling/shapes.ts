import { type Boxes, boxesOf } from "./boxes.js";
import type { Domains } from "./domain.js";
import type { Rule } from "./types.js";

/** A rule's conditions as boxes; null where there would be too many. */
export type Shapes = (rule: Rule) => Boxes | null;

const known = new WeakMap<Domains, Shapes>();

/** The shapes of rules over these values, each worked out once. */
export function shapesOf(domains: Domains): Shapes {
  const made = known.get(domains);
  if (made) return made;
  const boxes = new WeakMap<Rule, { readonly shape: Boxes | null }>();
  const shapes: Shapes = (rule) => {
    let entry = boxes.get(rule);
    if (!entry) {
      entry = { shape: boxesOf(rule.conditions, domains) };
      boxes.set(rule, entry);
    }
    return entry.shape;
  };
  known.set(domains, shapes);
  return shapes;
}
