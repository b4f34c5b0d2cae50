/** A priority queue of whole numbers, smallest first. */
export class Heap {
  private readonly items: number[] = [];

  get size(): number {
    return this.items.length;
  }

  push(item: number): void {
    const { items } = this;
    let place = items.push(item) - 1;
    while (place > 0) {
      const parent = (place - 1) >> 1;
      if ((items[parent] ?? 0) <= item) break;
      items[place] = items[parent] ?? 0;
      place = parent;
    }
    items[place] = item;
  }

  /** Smallest item, taken out; undefined when empty. */
  pop(): number | undefined {
    const { items } = this;
    const top = items[0];
    const last = items.pop();
    if (last === undefined || items.length === 0) return top;
    let place = 0;
    for (;;) {
      let child = 2 * place + 1;
      if (child >= items.length) break;
      if (child + 1 < items.length && (items[child + 1] ?? 0) < (items[child] ?? 0)) child += 1;
      if ((items[child] ?? 0) >= last) break;
      items[place] = items[child] ?? 0;
      place = child;
    }
    items[place] = last;
    return top;
  }
}
