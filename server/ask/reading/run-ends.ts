import { finder } from "../../kit/find.js";
import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import type { NameIndex } from "./names.js";
import type { Token } from "./tokens.js";

/**
 * "May I set rib 3's top row up to hole 4?", "… set from hole 4": the hole is where a run of its row ends or begins. What was
 * read of that hole alone is offered for the run. Nothing where the hole is not named so.
 */
export function runsEndingAt(tokens: readonly Token[], asked: Asked, names: NameIndex): readonly Asked[] {
  const { hole, ...rest } = asked.slots;
  // "The distance from hole 3 to the edge".
  if (hole === undefined || asked.form === "edge" || asked.form === "clearance") return [];
  const find = finder(names.assembly);
  const holes = find.row(find.hole(hole).rowId).holes;
  const at = holes.indexOf(hole);
  const said = tokens.map(({ word }) => word);
  const number = hole.split(".").at(-1) ?? "";
  const named = said.findIndex((word, n) => isNumber(word, number) && LEADS.test(before(said, n)));
  const lead = named < 0 ? undefined : LEADS.exec(before(said, named))?.[1];
  if (lead === undefined) return [];
  const run = BEGINS.test(lead) ? holes.slice(at) : holes.slice(0, at + 1);
  return run.length < 2 ? [] : [{ ...asked, slots: { ...rest, holes: run } }];
}

function isNumber(word: string, number: string): boolean {
  return word === number || String(lexicon().number(word) ?? "") === number;
}

/** The words before a number, without the noun that it stands beside. */
function before(said: readonly string[], at: number): string {
  const words = said
    .slice(Math.max(0, at - 5), at)
    .filter((word) => !/^(hole|holes|rivet|number|no|the|and|including)$/.test(word));
  return ` ${words.join(" ")}`;
}

const LEADS =
  / (up to|as far as|until|till|through|from|(?:starting|beginning|start|begin) (?:at|with|from)|past|beyond)$/;
const BEGINS = /^(from|start|begin|past|beyond)/;
