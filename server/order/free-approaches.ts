import type { Reach } from "../reach/types.js";

/**
 * How many approaches of each hole are free, kept up to date while parts go on and come off. An approach
 * that its own stack blocks is never free. Cost: each pair of approach and blocker once per change of the
 * blocker, so that whole plans are gone through in time that grows with their size alone.
 */
export class FreeApproaches {
  private readonly holeOf: number[] = [];
  private readonly inTheWay: number[] = [];
  private readonly free: number[];
  private readonly blockedBy = new Map<string, number[]>();
  private readonly isOn = new Set<string>();

  /** @param on  parts that are on from the start */
  constructor({ holes }: Reach, on: Iterable<string> = []) {
    this.free = holes.map(() => 0);
    holes.forEach(({ approaches }, hole) => {
      for (const { ownStack, blockedBy } of approaches) {
        if (ownStack.length > 0) continue;
        const approach = this.holeOf.push(hole) - 1;
        this.inTheWay.push(0);
        this.free[hole] = (this.free[hole] ?? 0) + 1;
        for (const part of new Set(blockedBy.map((blocker) => blocker.part))) {
          const list = this.blockedBy.get(part);
          if (list) list.push(approach);
          else this.blockedBy.set(part, [approach]);
        }
      }
    });
    for (const part of on) this.putOn(part);
  }

  has(part: string): boolean {
    return this.isOn.has(part);
  }

  /** Whether the hole (its index) has no approach left with the parts that are on. */
  isWalledIn(hole: number): boolean {
    return this.free[hole] === 0;
  }

  /** Indexes of holes that have an approach which the part blocks when it is on; each once. */
  concernedBy(part: string): number[] {
    return [...new Set((this.blockedBy.get(part) ?? []).map((approach) => this.holeOf[approach] ?? -1))];
  }

  /** Puts a part on. @returns indexes of the holes that it takes the last approach from */
  putOn(part: string): number[] {
    if (this.isOn.has(part)) return [];
    this.isOn.add(part);
    return this.change(part, 1);
  }

  /** Takes a part off. @returns indexes of the holes that can be reached again */
  takeOff(part: string): number[] {
    return this.isOn.delete(part) ? this.change(part, -1) : [];
  }

  private change(part: string, by: 1 | -1): number[] {
    const turned: number[] = [];
    for (const approach of this.blockedBy.get(part) ?? []) {
      const before = this.inTheWay[approach] ?? 0;
      this.inTheWay[approach] = before + by;
      if (before !== 0 && before + by !== 0) continue;
      const hole = this.holeOf[approach] ?? -1;
      const free = (this.free[hole] ?? 0) - by;
      this.free[hole] = free;
      if (free === (by === 1 ? 0 : 1)) turned.push(hole);
    }
    return turned;
  }
}
