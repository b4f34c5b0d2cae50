import type { Standing } from "./types.js";

/**
 * Values by where the work stands, kept for as long as it stands there. Two standings are the same if each of their
 * five parts is the same object, whatever else they carry: a job that is made anew for each question has one plan.
 */
export class ByStanding<T> {
  readonly #root: Level<T> = { next: new WeakMap(), value: null };

  get(standing: Standing): T | undefined {
    let level: Level<T> | undefined = this.#root;
    for (const part of partsOf(standing)) level = level?.next.get(part);
    return level?.value?.of;
  }

  set(standing: Standing, value: T): void {
    let level = this.#root;
    for (const part of partsOf(standing)) {
      const next: Level<T> = level.next.get(part) ?? { next: new WeakMap(), value: null };
      level.next.set(part, next);
      level = next;
    }
    level.value = { of: value };
  }
}

interface Level<T> {
  readonly next: WeakMap<object, Level<T>>;
  value: { readonly of: T } | null;
}

function partsOf({ kit, assembly, reach, rulings, work }: Standing): readonly object[] {
  return [kit, assembly, reach, rulings, work];
}
