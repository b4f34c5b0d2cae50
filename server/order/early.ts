import type { Puzzle, PuzzleMove } from "./puzzle.js";

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
  for (const move of moves) {
    if (move.kind === "part") continue;
    const side = rivets.get(move.id)?.side ?? null;
    const from = after.get(move.id) ?? 0;
    const slot = slots.find((candidate, i) => i >= from && (side === null || candidate.side === side));
    slot?.rivets.push({ ...move, side: slot.side });
  }
  return slots.flatMap((slot) => [
    ...(slot.part ? [slot.part] : []),
    ...slot.rivets.sort((a, b) => compare(puzzle, a.id, b.id)),
  ]);
}

function compare({ rank }: Puzzle, a: string, b: string): number {
  const ranksA = rank.get(a) ?? [];
  const ranksB = rank.get(b) ?? [];
  for (let i = 0; i < Math.max(ranksA.length, ranksB.length); i += 1) {
    const difference = (ranksA[i] ?? 0) - (ranksB[i] ?? 0);
    if (difference !== 0) return difference;
  }
  return a < b ? -1 : a > b ? 1 : 0;
}
