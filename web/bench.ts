import type { Mark } from "../server/kit/work.js";
import { fetchAssembly, fetchRulings, fetchWork, newKey, postMarks, Refusal } from "./api.js";
import { sayMarks, stands } from "./marks.js";
import { Names } from "./names.js";
import { Watched } from "./watched.js";
import type { AssemblyShown, Recorded, RulingShown, WorkShown } from "./wire.js";

/** What lies on the bench: one assembly, what is ruled for its holes, and how far the work is. */
export interface OnBench {
  readonly assembly: AssemblyShown;
  readonly names: Names;
  readonly rulings: ReadonlyMap<string, RulingShown>;
  readonly work: WorkShown;
}

/** What a rule that is not in force yet would do, as far as the map can show it. */
export interface RuleSeen {
  readonly title: string;
  /** Holes at which it holds … */
  readonly holds: ReadonlySet<string>;
  /** … and those at which a missing fact leaves it open. */
  readonly open: ReadonlySet<string>;
  /** What would be otherwise at a hole, in words: "head protruding → flush". */
  readonly changes: ReadonlyMap<string, readonly string[]>;
  /** Holes whose work is done and would be wrong. */
  readonly wrong: ReadonlySet<string>;
}

/** One act of marking. Sending it again under the same key never records it twice. */
export interface Act {
  readonly marks: readonly Mark[];
  readonly key: string;
  /** Who did it; null = nobody said. */
  readonly by: string | null;
}

/** An act of this page that can be taken back. */
interface Done {
  readonly marks: readonly Mark[];
  readonly undo: readonly Mark[];
  /** Of the act of taking it back. */
  readonly undoKey: string;
}

/** Thrown when somebody else wrote into the shop book since this page last looked. Nothing was recorded. */
export class Overtaken extends Error {
  override readonly name = "Overtaken";
}

/** Thrown when what is to be undone was marked again since. Nothing was recorded. */
export class MarkedAgain extends Error {
  override readonly name = "MarkedAgain";
}

export class Bench {
  readonly on = new Watched<OnBench | null>(null);
  /** Holes picked by hand, in the order of picking. */
  readonly selected = new Watched<readonly string[]>([]);
  /** Part pointed at on the map; null while holes are picked, or nothing is. */
  readonly part = new Watched<string | null>(null);
  /** Holes that the answer in view is about, in its order. */
  readonly asked = new Watched<readonly string[]>([]);
  /** The rule that is being written or reviewed; null = none. */
  readonly ruleSeen = new Watched<RuleSeen | null>(null);
  /** What `undo` would take back, in words; null = nothing. */
  readonly undoable = new Watched<string | null>(null);
  #done: readonly Done[] = [];
  #opening: symbol | null = null;

  /** Puts another assembly on the bench. @returns false when yet another was asked for meanwhile */
  async open(kit: string, id: string): Promise<boolean> {
    const opening = Symbol(id);
    this.#opening = opening;
    const [assembly, rulings, work] = await Promise.all([
      fetchAssembly(kit, id),
      fetchRulings(kit, id),
      fetchWork(kit, id),
    ]);
    if (this.#opening !== opening) return false;
    this.selected.value = [];
    this.part.value = null;
    this.asked.value = [];
    this.ruleSeen.value = null;
    this.#remember([]);
    this.on.value = { assembly, names: new Names(assembly), rulings: byHole(rulings), work };
    return true;
  }

  /** Looks again at marks and rulings; the newest look wins. */
  async refresh(): Promise<void> {
    const before = this.on.value;
    if (!before) return;
    const { kit, id } = before.assembly;
    const [rulings, work] = await Promise.all([fetchRulings(kit.id, id), fetchWork(kit.id, id)]);
    const now = this.on.value;
    if (now?.assembly !== before.assembly || work.version < now.work.version) return;
    this.on.value = { ...now, rulings: byHole(rulings), work };
  }

  /**
   * @returns what speaks against the marks; they are recorded all the same
   * @throws Overtaken or Refusal, and nothing was recorded; or Unreachable, and nobody knows
   */
  async record(act: Act): Promise<readonly string[]> {
    const { undo, warnings } = await this.#send(act);
    this.#remember([...this.#done, { marks: act.marks, undo, undoKey: newKey() }]);
    return warnings;
  }

  /** Takes back the last act of this page. @throws MarkedAgain, Overtaken, Refusal or Unreachable */
  async undo(by: string | null): Promise<string> {
    const last = this.#done.at(-1);
    if (!last) return "";
    const { work } = this.#opened();
    const isUndone = last.undo.every((mark) => stands(work, mark));
    if (!isUndone && !last.marks.every((mark) => stands(work, mark))) {
      this.#remember(this.#done.slice(0, -1));
      throw new MarkedAgain("These were marked again since.");
    }
    if (!isUndone) await this.#send({ marks: last.undo, key: last.undoKey, by });
    this.#remember(this.#done.slice(0, -1));
    return sayMarks(last.marks);
  }

  select(holes: readonly string[]): void {
    if (this.part.value !== null) this.part.value = null;
    this.selected.value = [...new Set(holes)];
  }

  /** Points at a part; holes that were picked are let go. */
  point(part: string): void {
    if (this.selected.value.length > 0) this.selected.value = [];
    this.part.value = part;
  }

  toggle(hole: string): void {
    const now = this.selected.value;
    this.select(now.includes(hole) ? now.filter((one) => one !== hole) : [...now, hole]);
  }

  async #send({ marks, key, by }: Act): Promise<Recorded> {
    const { assembly, work } = this.#opened();
    try {
      const recorded = await postMarks(assembly.kit.id, assembly.id, marks, {
        key,
        version: work.version,
        by,
      });
      // The marks are in the book; a look that fails now is made up for by the next event.
      await this.refresh().catch(() => undefined);
      return recorded;
    } catch (error) {
      if (!(error instanceof Refusal && error.status === 412)) throw error;
      await this.refresh();
      throw new Overtaken("Somebody else marked something meanwhile.");
    }
  }

  #remember(done: readonly Done[]): void {
    this.#done = done;
    const last = done.at(-1);
    this.undoable.value = last ? sayMarks(last.marks) : null;
  }

  #opened(): OnBench {
    if (!this.on.value) throw new Error("No assembly is open.");
    return this.on.value;
  }
}

function byHole(rulings: readonly RulingShown[]): ReadonlyMap<string, RulingShown> {
  return new Map(rulings.map((ruling) => [ruling.hole, ruling]));
}
