/**
 * A process that writes in a shop book and says, line by line, what was acknowledged.
 *
 *   writer.ts burst FILE NAME      bursts of 1 to 5 statements, until it is killed
 *   writer.ts fill FILE            appends until the disk refuses; says the code and what can still be read
 *   writer.ts unprivileged FILE    gives up its rights first, then reads and tries to write
 */
import { writeSync } from "node:fs";
import { Problem } from "../../server/problem.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { setting } from "./statement.js";

const [act, file = "", name = "writer"] = process.argv.slice(2);

// Straight to the descriptor: an acknowledgement must not wait in a buffer that dies with the process.
const say = (value: unknown): void => void writeSync(1, `${JSON.stringify(value)}\n`);

function refusal(write: () => unknown): string {
  try {
    write();
  } catch (error) {
    if (error instanceof Problem) return error.code;
    throw error;
  }
  return "";
}

// Past `ulimit -f` the system sends this signal; caught, the write fails with EFBIG as on a full disk.
process.on("SIGXFSZ", () => undefined);
if (act === "unprivileged" && process.getuid?.() === 0) {
  process.setgroups?.([]);
  process.setgid?.(65534);
  process.setuid?.(65534);
}

const book = sqliteBook(file);
if (act === "burst") {
  for (let burst = 0; ; burst += 1) {
    const size = 1 + (burst % 5);
    const statements = Array.from({ length: size }, (_, i) => setting(`${name}.${burst}.${i + 1}of${size}`));
    const key = `${name}-${burst}`;
    const receipt = book.append(statements, { key, expected: "any" });
    say({ key, size, version: receipt.version, hash: receipt.entries.at(-1)?.hash });
  }
}
if (act === "fill") {
  let code = "";
  for (let n = 0; n < 5000 && code === ""; n += 1) {
    code = refusal(() => book.append([setting(`A.${"x".repeat(2000)}.${n}`)], { key: `${n}`, expected: n }));
  }
  say({ code, version: book.version(), read: book.snapshot().entries.length });
}
if (act === "unprivileged") {
  say({
    writable: book.writable,
    read: book.since(0).map((entry) => entry.key),
    code: refusal(() => book.append([setting("A.top.9")], { key: "new", expected: "any" })),
  });
}
book.close();
