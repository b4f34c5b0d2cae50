import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { memoryBook } from "../../server/store/memory.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { watchBook } from "../../server/store/watch.js";
import { tempFolder } from "./books.js";
import { setting } from "./statement.js";

describe("watching a shop book", () => {
  beforeEach(() => void vi.useFakeTimers());
  afterEach(() => void vi.useRealTimers());

  it("tells every listener each new version once, within the turn", () => {
    const book = memoryBook();
    const watch = watchBook(book, 250);
    const [one, two] = [vi.fn(), vi.fn()];
    watch.subscribe(one);
    watch.subscribe(two);

    book.append([setting("A.top.1")], { key: "k1", expected: 0 });
    expect(one).not.toHaveBeenCalled();
    vi.advanceTimersByTime(250);
    vi.advanceTimersByTime(1000);

    expect(one.mock.calls).toEqual([[1]]);
    expect(two.mock.calls).toEqual([[1]]);
  });

  it("looks at once when the writer says so", () => {
    const book = memoryBook();
    const watch = watchBook(book);
    const listener = vi.fn();
    watch.subscribe(listener);
    book.append([setting("A.top.1")], { key: "k1", expected: 0 });
    watch.look();
    watch.look();
    expect(listener.mock.calls).toEqual([[1]]);
  });

  it("sees what another process wrote", () => {
    const file = join(tempFolder(), "book.sqlite");
    const [mine, theirs] = [sqliteBook(file), sqliteBook(file)];
    const listener = vi.fn();
    watchBook(mine, 250).subscribe(listener);
    theirs.append([setting("A.top.1")], { key: "k1", expected: 0 });
    vi.advanceTimersByTime(250);
    expect(listener.mock.calls).toEqual([[1]]);
    mine.close();
    theirs.close();
  });

  it("does nothing while nobody listens, and misses nothing for the next listener", () => {
    const book = memoryBook();
    const watch = watchBook(book);
    const first = vi.fn();
    watch.subscribe(first)();
    expect(vi.getTimerCount()).toBe(0);
    book.append([setting("A.top.1")], { key: "k1", expected: 0 });

    const second = vi.fn();
    watch.subscribe(second);
    book.append([setting("A.top.2")], { key: "k2", expected: 1 });
    vi.advanceTimersByTime(250);
    expect(first).not.toHaveBeenCalled();
    expect(second.mock.calls).toEqual([[2]]);
  });

  it("survives a book that cannot be read for a while, and stops when told to", () => {
    const book = memoryBook();
    const watch = watchBook(book);
    const listener = vi.fn();
    watch.subscribe(listener);
    book.close();
    expect(() => vi.advanceTimersByTime(1000)).not.toThrow();
    watch.close();
    expect(vi.getTimerCount()).toBe(0);
    expect(listener).not.toHaveBeenCalled();
  });
});
