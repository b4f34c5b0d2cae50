import { type Mark, NO_WORK, type Work, withMarks } from "./kit/work.js";
import { NO_SHOP_RULES, rulesAfter, type ShopRules } from "./shop/life.js";
import type { Entry, ShopBook } from "./store/contract.js";

/** What the shop book adds up to at one of its versions. */
export interface Ledger {
  readonly version: number;
  /** Where the work on an assembly stands; the same object as long as nothing was marked there. */
  work(kit: string, assembly: string): Work;
  /** A kit's shop rules; the same object as long as nothing happened to them. */
  rules(kit: string): ShopRules;
}

class Sum implements Ledger {
  constructor(
    readonly version: number,
    readonly works: ReadonlyMap<string, Work>,
    readonly ofKits: ReadonlyMap<string, ShopRules>,
  ) {}

  work(kit: string, assembly: string): Work {
    return this.works.get(keyOf(kit, assembly)) ?? NO_WORK;
  }

  rules(kit: string): ShopRules {
    return this.ofKits.get(kit) ?? NO_SHOP_RULES;
  }
}

const EMPTY = new Sum(0, new Map(), new Map());

/** Follows the shop book; reads only what was added since it last looked. */
export class LedgerKeeper {
  readonly #book: Pick<ShopBook, "since">;
  #now = EMPTY;

  constructor(book: Pick<ShopBook, "since">) {
    this.#book = book;
  }

  /** As the book stands now. */
  now(): Ledger {
    this.#now = after(this.#now, this.#book.since(this.#now.version));
    return this.#now;
  }

  /** As it stood at a version; the whole book is read again unless that is where we last looked. */
  at(version: number): Ledger {
    if (this.#now.version === version) return this.#now;
    return after(
      EMPTY,
      this.#book.since(0).filter(({ seq }) => seq <= version),
    );
  }
}

function after(sum: Sum, entries: readonly Entry[]): Sum {
  const last = entries.at(-1);
  if (!last) return sum;
  const marks = new Map<
    string,
    { readonly kit: string; readonly assembly: string; readonly marks: Mark[] }
  >();
  const kits = new Set<string>();
  for (const entry of entries) {
    const { kit } = entry;
    if (entry.kind === "rule-revision" || entry.kind === "rule-step") kits.add(kit);
    if (entry.kind !== "marks") continue;
    const { assembly, body } = entry;
    const key = keyOf(kit, assembly);
    const place = marks.get(key) ?? { kit, assembly, marks: [] };
    place.marks.push(...body.marks);
    marks.set(key, place);
  }
  const works = new Map(sum.works);
  for (const [key, place] of marks) {
    works.set(key, withMarks(sum.work(place.kit, place.assembly), place.marks));
  }
  const ofKits = new Map(sum.ofKits);
  for (const kit of kits) ofKits.set(kit, rulesAfter(sum.rules(kit), entries, kit));
  return new Sum(last.seq, works, ofKits);
}

function keyOf(kit: string, assembly: string): string {
  return JSON.stringify([kit, assembly]);
}
