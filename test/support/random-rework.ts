import type { PuzzleRule } from "../../server/order/puzzle.js";
import type { ReworkPuzzle, ReworkRivet, SetRivet } from "../../server/order/rework-types.js";

/**
 * A random question of rework.
 * @param elements  how many rivets, set and missing together
 * @param share     how likely a part stands in the way of an approach
 */
export function randomRework(
  random: () => number,
  elements: number,
  parts: number,
  share = 0.35,
): ReworkPuzzle {
  const pick = (count: number): number => Math.floor(random() * count);
  const ids = Array.from({ length: parts }, (_, i) => `P${i}`);
  const some = (of: number): string[] => ids.filter(() => random() < of);
  const missingCount = 1 + pick(Math.max(1, Math.min(4, elements / 3)));
  const rivet = (id: string): ReworkRivet => {
    const through = [...new Set([ids[pick(parts)] ?? "P0", ids[pick(parts)] ?? "P0"])];
    const clear = (way: readonly string[]): string[] => way.filter((part) => !through.includes(part));
    return {
      id,
      run: `run${pick(3)}`,
      side: ([null, "up", "over"] as const)[pick(3)] ?? null,
      through,
      approaches: Array.from({ length: 1 + pick(2) }, () => clear(some(share))),
    };
  };
  const set = Array.from({ length: elements - missingCount }, (_, i): SetRivet => {
    const one = rivet(`s${i}`);
    const ways = random() < 0.1 ? [] : Array.from({ length: 1 + pick(2) }, () => some(share / 2));
    return {
      ...one,
      weight: 1 + pick(3),
      drillWays: ways.map((way) => way.filter((part) => !one.through.includes(part))),
    };
  });
  const missing = Array.from({ length: missingCount }, (_, i) => rivet(`m${i}`));
  const all = [...set, ...missing];
  const rules = Array.from(
    { length: pick(3) },
    (_, i): PuzzleRule => ({
      id: `rule${i}`,
      rivet: all[pick(all.length)]?.id ?? "m0",
      relation: random() < 0.6 ? "before" : "after",
      part: ids[pick(parts)] ?? "P0",
    }),
  );
  return { set, missing, rules, rank: new Map() };
}

/**
 * Something was closed too early: covers lie over missing rivets, each held by rivets of its own or shared with
 * another cover; some are reached only when a cover above them is off. Most such questions have an answer.
 */
export function randomCovers(random: () => number, elements: number): ReworkPuzzle {
  const pick = (count: number): number => Math.floor(random() * count);
  const covers = Array.from({ length: Math.max(3, Math.round(elements / 4)) }, (_, i) => `cover${i}`);
  const missingCount = Math.max(1, Math.round(elements / 5));
  /** Covers above the given one, each with that chance: nothing lies over itself, so mostly no loops. */
  const above = (i: number, chance: number): string[] => covers.filter((_, j) => j > i && random() < chance);
  const chance = 2 / covers.length;
  const set = Array.from({ length: elements - missingCount }, (_, n): SetRivet => {
    const i = n < covers.length ? n : pick(covers.length);
    const shared = random() < 0.2 ? [covers[pick(covers.length)] ?? ""] : [];
    const through = [...new Set([covers[i] ?? "", ...shared])];
    const clear = (way: readonly string[]): string[] => way.filter((part) => !through.includes(part));
    return {
      id: `s${n}`,
      run: `run${i}`,
      side: random() < 0.5 ? "up" : "over",
      through,
      approaches: Array.from({ length: 1 + pick(2) }, () => clear(above(i, chance))),
      weight: 1 + pick(4),
      drillWays: Array.from({ length: 1 + pick(2) }, () => clear(above(i, chance))),
    };
  });
  const missing = Array.from(
    { length: missingCount },
    (_, n): ReworkRivet => ({
      id: `m${n}`,
      run: "lost",
      side: null,
      through: ["frame"],
      approaches: Array.from({ length: 2 + pick(2) }, () => [
        covers[pick(covers.length)] ?? "",
        ...(random() < 0.5 ? [covers[pick(covers.length)] ?? ""] : []),
      ]),
    }),
  );
  // A gate that was forgotten on a cover before it closed: done while the cover is off, and it goes through nothing.
  if (random() < 0.25) {
    const [gate, cover] = ["forgotten gate", covers[pick(covers.length)] ?? ""];
    missing.push({ id: gate, run: gate, side: null, through: [], approaches: [[cover]] });
  }
  const rules = Array.from(
    { length: pick(3) },
    (_, i): PuzzleRule => ({
      id: `rule${i}`,
      rivet: random() < 0.5 ? `m${pick(missingCount)}` : `s${pick(set.length)}`,
      relation: random() < 0.7 ? "before" : "after",
      part: covers[pick(covers.length)] ?? "",
    }),
  );
  return { set, missing, rules, rank: new Map() };
}
