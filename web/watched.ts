/** A value that tells its watchers when it is replaced. */
export class Watched<T> {
  #value: T;
  readonly #watchers = new Set<(value: T) => void>();

  constructor(value: T) {
    this.#value = value;
  }

  get value(): T {
    return this.#value;
  }

  set value(value: T) {
    this.#value = value;
    for (const watcher of this.#watchers) watcher(value);
  }

  /** Calls the watcher now and at every change. */
  watch(watcher: (value: T) => void): void {
    this.#watchers.add(watcher);
    watcher(this.#value);
  }
}
