import { Problem } from "../problem.js";
import { additions } from "./adopt.js";
import type { AppendRequest, Entry, Receipt, ShopBook, Snapshot, Statement } from "./contract.js";
import { decide, type Subject } from "./decide.js";

/** A shop book that lasts as long as the process: for tests, and for a look without a data folder. */
export function memoryBook({ now = () => new Date() }: { now?: () => Date } = {}): ShopBook {
  const entries: Entry[] = [];
  let open = true;

  const opened = (): void => {
    if (!open) throw closedBook();
  };

  const last = ({ kinds, kit, assembly }: Subject): number =>
    entries.findLast(
      (entry) =>
        kinds.includes(entry.kind) && entry.kit === kit && (assembly === null || entry.assembly === assembly),
    )?.seq ?? 0;

  return {
    writable: true,
    trouble: null,
    append(statements: readonly Statement[], request: AppendRequest): Receipt {
      opened();
      const head = { version: entries.length, hash: entries.at(-1)?.hash ?? null };
      const earlier = entries.filter((entry) => entry.key === request.key);
      const receipt = decide(head, earlier, last, statements, request, now().toISOString());
      if (!receipt.repeated) entries.push(...receipt.entries.map((entry) => structuredClone(entry)));
      return receipt;
    },
    adopt(others: readonly Entry[]): number {
      opened();
      const added = additions(entries, others);
      entries.push(...structuredClone(added));
      return added.length;
    },
    since(version: number): readonly Entry[] {
      opened();
      return structuredClone(entries.slice(Math.max(0, version)));
    },
    snapshot(): Snapshot {
      opened();
      return { version: entries.length, entries: structuredClone(entries) };
    },
    version(): number {
      opened();
      return entries.length;
    },
    close(): void {
      open = false;
    },
  };
}

/** What every call after `close` throws. */
export function closedBook(): Problem {
  return new Problem("SHOPBOOK_CLOSED", "The shop book is closed.", { fix: "Start the program again." });
}
