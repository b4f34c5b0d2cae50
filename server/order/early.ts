import type { BenchSide, Puzzle, PuzzleMove } from "./puzzle.js";
import { compareByRank } from "./rank.js";

/**
 * The same order with every rivet set as early as it can be. Parts and turn-overs keep their places: only
 * parts stand in anybody's way, so a rivet that moves forward to where its parts have just come on blocks
 * nobody, and its own approach was free there as it was later. Between two parts rivets go by rank.
 */
export function early(puzzle: Puzzle, moves: readonly PuzzleMove[]): PuzzleMove[] {
  const rivets = new Map(puzzle.rivets.map((rivet) => [rivet.id, rivet]));
  // A slot is what is done between one part or turn-over and the next.
  const slots: {
    readonly part: PuzzleMove | null;
    readonly side: PuzzleMove["side"];
    rivets: PuzzleMove[];
  }[] = [];
  const slotOfPart = new Map<string, number>();
  for (const move of moves) {
    const turned = slots.length === 0 || slots.at(-1)?.side !== move.side;
    if (move.kind === "part") {
      slotOfPart.set(move.id, slots.length);
      slots.push({ part: move, side: move.side, rivets: [] });
    } else if (turned) slots.push({ part: null, side: move.side, rivets: [] });
  }
  const after = new Map<string, number>();
  const waitFor = (rivet: string, part: string): void => {
    after.set(rivet, Math.max(after.get(rivet) ?? 0, slotOfPart.get(part) ?? 0));
  };
  for (const rivet of puzzle.rivets) for (const part of rivet.through) waitFor(rivet.id, part);
  for (const rule of puzzle.rules) if (rule.relation === "after") waitFor(rule.rivet, rule.part);
  const nextWith = nextSlots(slots);
  for (const move of moves) {
    if (move.kind === "part") continue;
    const side = rivets.get(move.id)?.side ?? null;
    const from = after.get(move.id) ?? 0;
    const slot = slots[side === null ? from : (nextWith[side][from] ?? -1)];
    slot?.rivets.push({ ...move, side: slot.side });
  }
  return slots.flatMap((slot) => [
    ...(slot.part ? [slot.part] : []),
    ...slot.rivets.sort((a, b) => compareByRank(puzzle.rank, a.id, b.id)),
  ]);
}

/** By side and slot: the first slot from there on with that side up; -1 when there is none. */
function nextSlots(slots: readonly { readonly side: BenchSide }[]): Record<BenchSide, number[]> {
  const next: Record<BenchSide, number[]> = { up: [], over: [] };
  for (const side of ["up", "over"] as const) {
    let found = -1;
    for (let i = slots.length - 1; i >= 0; i -= 1) {
      if (slots[i]?.side === side) found = i;
      next[side][i] = found;
    }
  }
  return next;
}
