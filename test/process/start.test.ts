import { spawn, spawnSync } from "node:child_process";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  realpathSync,
  rmSync,
  symlinkSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { compiledCopy } from "../../server/compiled.js";
import { PROJECT } from "../../server/files.js";
import { startServer, tempFolder } from "./program.js";

/** A program of two sources and a piece of data, which starts as ours does and says what it is made of. */
class SmallProgram {
  readonly folder: string;

  constructor(name = "program") {
    this.folder = join(realpathSync(tempFolder()), name);
    for (const name of ["server", "kb", "node_modules"])
      mkdirSync(join(this.folder, name), { recursive: true });
    for (const name of ["start.js", "compiled.js", "thread.ts", "thread-start.js"]) {
      copyFileSync(join(PROJECT, "server", name), join(this.folder, "server", name));
    }
    for (const name of ["esbuild", "tsx"]) {
      symlinkSync(join(PROJECT, "node_modules", name), join(this.folder, "node_modules", name));
    }
    this.write("package.json", '{ "type": "module", "dependencies": {} }');
    this.write("node_modules/.package-lock.json", "{}");
    this.write("kb/data.json", '{ "said": "a fact" }');
    this.write("server/word.ts", 'export const word: string = "first";');
    for (const name of ["rework-worker", "rework-desk-worker"]) this.write(`server/${name}.ts`, "export {};");
    this.write(
      "server/main.ts",
      `import data from "../kb/data.json" with { type: "json" };
       import { word } from "./word.js";
       console.log([word, data.said, import.meta.url, process.argv.slice(2).join(" ")].join("\\n"));`,
    );
  }

  write(path: string, text: string): void {
    writeFileSync(join(this.folder, path), text);
  }

  /** What it prints when it is started: the word, the fact, its own address, its arguments. */
  start(...args: readonly string[]): { readonly said: readonly string[]; readonly err: string } {
    const { stdout, stderr } = spawnSync(process.execPath, [join("server", "start.js"), ...args], {
      cwd: this.folder,
      encoding: "utf8",
    });
    return { said: stdout.trimEnd().split("\n"), err: stderr };
  }

  /** Prints the word as a thread of its own knows it, once a source has changed after the start. */
  tellFromThread(): void {
    this.write(
      "server/main.ts",
      `import { writeFileSync } from "node:fs";
       import { startThread } from "./thread.js";
       import { word } from "./word.js";
       writeFileSync(new URL("./word.ts", import.meta.url), 'export const word: string = "other";');
       startThread("rework-worker").on("message", (known) => console.log([word, known].join("\\n")));`,
    );
    this.write(
      "server/rework-worker.ts",
      `import { parentPort } from "node:worker_threads";
       import { word } from "./word.js";
       parentPort?.postMessage(word);`,
    );
  }

  /** Names of the compiled copies that are kept. */
  copies(): readonly string[] {
    const cache = join(this.folder, "node_modules", ".cache", "tailroom");
    return existsSync(cache) ? readdirSync(cache) : [];
  }
}

describe("npm start", () => {
  it("serves, and answers a question that hangs on the solver's thread", async () => {
    const { address, child, ended } = await startServer(["--data", tempFolder()], "start.js");
    expect((await fetch(`${address}health`)).status).toBe(200);
    const response = await fetch(`${address}api/ask`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({
        kit: "sedge-two",
        assembly: "tailplane",
        question: "What if I hang the servo mount first?",
      }),
    });
    expect(await response.json()).toMatchObject({
      headline: expect.stringContaining("drilling out 6 rivets; fewer will not do"),
    });
    child.kill("SIGTERM");
    expect(await ended).toBe(0);
  });

  it("has a compiled copy to start from", async () => {
    const entries = ["main.mjs", "rework-worker.mjs", "rework-desk-worker.mjs"];
    expect(readdirSync(await compiledCopy())).toEqual(expect.arrayContaining(entries));
  });

  it("compiles once, and the copy is to its sources in nothing but speed", () => {
    const program = new SmallProgram();
    const first = program.start("--port", "7");
    expect(first.said.slice(0, 2)).toEqual(["first", "a fact"]);
    expect(first.said[2]).toMatch(/\/server\/main\.ts$/);
    expect(first.said[3]).toBe("--port 7");
    const copies = program.copies();
    expect(copies).toHaveLength(1);
    expect(program.start("--port", "7")).toEqual(first);
    expect(program.copies()).toEqual(copies);
  });

  it("never starts from a source that has changed since, nor from data that has", () => {
    const program = new SmallProgram();
    const word = (): string | undefined => program.start().said[0];
    expect(word()).toBe("first");
    program.write("server/word.ts", 'export const word: string = "other";');
    expect(word()).toBe("other");
    program.write("server/word.ts", 'export const word: string = "first";');
    expect(word()).toBe("first");
    program.write("kb/data.json", '{ "said": "another fact" }');
    expect(program.start().said[1]).toBe("another fact");
    expect(program.copies()).toHaveLength(2);
    program.write("node_modules/.package-lock.json", '{ "packages": {} }');
    expect(word()).toBe("first");
    expect(program.copies()).toHaveLength(3);
  });

  it("keeps a few copies of earlier sources, not all of them", () => {
    const program = new SmallProgram();
    for (let i = 0; i < 10; i += 1) {
      program.write("server/word.ts", `export const word: string = "word ${i}";`);
      expect(program.start().said[0]).toBe(`word ${i}`);
    }
    expect(program.copies()).toHaveLength(8);
  });

  it("starts from the sources where no copy can be kept", () => {
    const program = new SmallProgram();
    program.write("node_modules/.cache", "a file where the folder would be");
    const { said, err } = program.start("--port", "7");
    expect(err).toBe("");
    expect(said[0]).toBe("first");
    expect(said[2]).toMatch(/\/server\/main\.ts/);
    expect(said[3]).toBe("--port 7");
  });

  it.each(["a bench", "Ålbæk 100% #2 (neu)", "飛行機"])("starts from a folder called “%s”", (name) => {
    const program = new SmallProgram(name);
    const first = program.start();
    expect(first.err).toBe("");
    expect(first.said.slice(0, 2)).toEqual(["first", "a fact"]);
    expect(program.copies()).toHaveLength(1);
    expect(program.start()).toEqual(first);
  });

  it("a copy of which something is gone is made anew", () => {
    const program = new SmallProgram();
    program.start();
    const copy = join(program.folder, "node_modules", ".cache", "tailroom", program.copies()[0] ?? "");
    const whole = readdirSync(copy).sort();
    expect(whole).toContain("main.mjs");
    for (const name of whole.filter((file) => !file.endsWith(".map"))) {
      for (const spoil of [rmSync, truncateSync]) {
        spoil(join(copy, name));
        expect(program.start().said[0], `${name}, ${spoil.name}`).toBe("first");
        expect(readdirSync(copy).sort()).toEqual(whole);
      }
    }
  });

  it("starts from a copy where nothing may be written", () => {
    const program = new SmallProgram();
    const { said } = program.start();
    const readOnly = ["--no-warnings", "--experimental-permission", "--allow-fs-read=*"];
    const { stdout, stderr } = spawnSync(process.execPath, [...readOnly, "server/start.js"], {
      cwd: program.folder,
      encoding: "utf8",
    });
    expect(stderr).toBe("");
    expect(stdout.trimEnd().split("\n")).toEqual(said.filter((line) => line !== ""));
  });

  it("several at once, with no copy yet, all start, and one copy is left", async () => {
    const program = new SmallProgram();
    const starts = Array.from({ length: 3 }, async () => {
      const child = spawn(process.execPath, ["server/start.js"], { cwd: program.folder });
      let out = "";
      child.stdout.setEncoding("utf8").on("data", (text: string) => {
        out += text;
      });
      const code = await new Promise((resolve) => child.on("close", resolve));
      return { code, word: out.split("\n")[0] };
    });
    expect(await Promise.all(starts)).toEqual(starts.map(() => ({ code: 0, word: "first" })));
    expect(program.copies()).toHaveLength(1);
  });

  it("a thread is of the same sources as the program that starts it, though one has changed since", () => {
    const program = new SmallProgram();
    program.tellFromThread();
    expect(program.start()).toEqual({ said: ["first", "first"], err: "" });
  });

  it("a thread starts where no copy can be kept, too", () => {
    const program = new SmallProgram();
    program.tellFromThread();
    program.write("node_modules/.cache", "a file where the folder would be");
    expect(program.start()).toEqual({ said: ["first", "other"], err: "" });
  });

  it("a source that cannot be read ends it with the place, and leaves no copy", () => {
    const program = new SmallProgram();
    program.write("server/word.ts", "export const word: string = ;");
    const { err } = program.start();
    expect(err).toContain("word.ts");
    expect(program.copies()).toEqual([]);
    rmSync(join(program.folder, "server", "word.ts"));
    expect(program.start().err).toContain("word");
    expect(program.copies()).toEqual([]);
  });
});
