import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { extname, join } from "node:path";
import { build } from "esbuild";
import type { FastifyInstance } from "fastify";
import { Problem } from "../problem.js";

/** One file of the page, ready to send. */
export interface PageFile {
  readonly type: string;
  readonly bytes: Buffer;
  readonly etag: string;
}

/** The page's files by their path in the address: "/", "/style.css", "/main.js". */
export type Page = ReadonlyMap<string, PageFile>;

const TYPES: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".webmanifest": "application/manifest+json",
};

/**
 * Reads the page into memory and bundles its script. What is not in this map is not served, so that no
 * address can reach another file.
 * @param folder  holds index.html, main.ts and whatever they refer to, without sub-folders
 * @throws PAGE_MISSING, PAGE_BROKEN (the script does not bundle)
 */
export async function loadPage(folder: string): Promise<Page> {
  if (!existsSync(join(folder, "index.html"))) {
    throw new Problem("PAGE_MISSING", "The page's index.html is not there.", {
      where: { file: "web/index.html" },
      fix: "Fetch the program again; a file of it is missing.",
    });
  }
  const page = new Map<string, PageFile>();
  for (const name of readdirSync(folder)) {
    const type = TYPES[extname(name)];
    const path = join(folder, name);
    if (type === undefined || !statSync(path).isFile()) continue;
    page.set(`/${name}`, fileOf(type, readFileSync(path)));
  }
  const index = page.get("/index.html");
  if (index) page.set("/", index);
  if (existsSync(join(folder, "main.ts"))) {
    page.set("/main.js", fileOf(TYPES[".js"] ?? "", await bundle(join(folder, "main.ts"))));
  }
  return page;
}

async function bundle(entry: string): Promise<Buffer> {
  try {
    const { outputFiles } = await build({
      entryPoints: [entry],
      bundle: true,
      write: false,
      format: "esm",
      target: "es2022",
      charset: "utf8",
      legalComments: "none",
      logLevel: "silent",
    });
    return Buffer.from(outputFiles[0]?.contents ?? []);
  } catch (error) {
    throw new Problem("PAGE_BROKEN", `The page's script does not bundle: ${(error as Error).message}`, {
      where: { file: "web/main.ts" },
      fix: "Mend the script at the place named.",
    });
  }
}

function fileOf(type: string, bytes: Buffer): PageFile {
  return { type, bytes, etag: `"${createHash("sha256").update(bytes).digest("base64url").slice(0, 22)}"` };
}

/** Serves the page; browsers ask each time whether a file changed. */
export function pageRoutes(app: FastifyInstance, page: Page): void {
  for (const [path, { type, bytes, etag }] of page) {
    app.get(path, async (request, reply) => {
      reply.header("cache-control", "no-cache").header("etag", etag);
      if (request.headers["if-none-match"] === etag) return reply.code(304).send();
      return reply.type(type).send(bytes);
    });
  }
}
