import type { Socket } from "node:net";
import Fastify, { type FastifyInstance, type FastifyServerOptions } from "fastify";
import { phrasingsOf } from "./ask/reading/likely.js";
import { grammarOf } from "./ask/reading/phrasing.js";
import type { KeyRing } from "./keys/contract.js";
import { memoryKeys } from "./keys/memory.js";
import { Problem } from "./problem.js";
import { type ReworkDesk, reworkDesk } from "./rework-desk.js";
import { aboutRoutes } from "./routes/about.js";
import { askRoutes } from "./routes/ask.js";
import { bookRoutes } from "./routes/book.js";
import { keepDoor } from "./routes/door.js";
import { eventRoutes } from "./routes/events.js";
import { guard, refuseUnprintable, SECURITY_HEADERS } from "./routes/guard.js";
import { kitRoutes } from "./routes/kits.js";
import { markRoutes } from "./routes/marks.js";
import { refuseMethod } from "./routes/methods.js";
import { noteRoutes } from "./routes/notes.js";
import { describeRoutes } from "./routes/openapi.js";
import { type Page, pageRoutes } from "./routes/page.js";
import { planRoutes } from "./routes/plan.js";
import { previewRoutes } from "./routes/preview.js";
import { documentOf, problemOf, sendProblem } from "./routes/problems.js";
import { questionRoutes } from "./routes/questions.js";
import { reviewRoutes } from "./routes/reviews.js";
import { ruleWritingRoutes } from "./routes/rule-writing.js";
import { ruleRoutes } from "./routes/rules.js";
import { rulingRoutes } from "./routes/rulings.js";
import { sheetRoutes } from "./routes/sheets.js";
import { strictJson } from "./routes/strict-json.js";
import { compile, invalid, type RequestPart } from "./routes/validation.js";
import { watchBook } from "./store/watch.js";
import type { Tls } from "./tls.js";
import type { Workshop } from "./workshop.js";

export interface AppOptions {
  readonly workshop: Workshop;
  readonly page: Page;
  /** Host names that are ours besides the loopback ones; lower case, without port. */
  readonly hosts?: readonly string[];
  /** Who may write from elsewhere and accept rules; nobody has a key when left out. */
  readonly keys?: KeyRing;
  /** True when other machines can reach the program: then every write needs a key. */
  readonly keyNeeded?: boolean;
  /** For HTTPS; plain HTTP when left out. */
  readonly tls?: Tls | null;
  /** Works out ways back; its threads start with the first such question. */
  readonly desk?: ReworkDesk;
  /** Told of every error that we did not foresee; the caller of the API is not told its words. */
  readonly report?: (error: unknown) => void;
}

const MOST_BODY_BYTES = 256 * 1024;

/** The program as an HTTP application: composes, decides nothing. The shop book closes with it. */
export function buildApp({
  workshop,
  page,
  hosts = [],
  keys = memoryKeys(),
  keyNeeded = false,
  tls = null,
  desk = reworkDesk(),
  report = console.error,
}: AppOptions): FastifyInstance {
  const options: FastifyServerOptions = {
    bodyLimit: MOST_BODY_BYTES,
    trustProxy: false,
    requestTimeout: 30_000,
    exposeHeadRoutes: true,
    frameworkErrors: (error, request, reply) =>
      void sendProblem(request, reply.headers(SECURITY_HEADERS), problemOf(error)),
    clientErrorHandler: refuseGarbage,
  };
  // No route cares which kind of server is below it.
  const app = Fastify(tls ? ({ ...options, https: tls } as FastifyServerOptions) : options);

  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    "application/json",
    { parseAs: "buffer" },
    async (_request: unknown, body: Buffer) => strictJson(body),
  );
  app.setValidatorCompiler(({ schema }) => compile(schema as object));
  // Responses are sent as they are; that they keep to their schemas is checked by tests.
  app.setSerializerCompiler(() => (reply) => JSON.stringify(reply));
  app.setSchemaErrorFormatter((errors, part) =>
    invalid(errors as Parameters<typeof invalid>[0], PARTS[part] ?? "body"),
  );
  app.setErrorHandler((error, request, reply) => {
    const problem = problemOf(error);
    if (problem.code === "INTERNAL") report(error);
    return sendProblem(request, reply, problem);
  });

  const describe = describeRoutes(app, "1");
  refuseMethod(app);
  guard(app, hosts, tls ? "https" : "http");
  refuseUnprintable(app);
  const door = keepDoor(app, { keys, keyNeeded });
  const watch = watchBook(workshop.book);
  askRoutes(app, workshop, desk);
  kitRoutes(app, workshop);
  rulingRoutes(app, workshop);
  planRoutes(app, workshop);
  sheetRoutes(app, workshop);
  markRoutes(app, workshop, watch, door);
  eventRoutes(app, workshop, watch);
  ruleRoutes(app, workshop, watch, door);
  previewRoutes(app, workshop);
  ruleWritingRoutes(app, workshop);
  bookRoutes(app, workshop, watch, door);
  reviewRoutes(app, workshop, watch, keys);
  noteRoutes(app, workshop);
  questionRoutes(app, workshop);
  aboutRoutes(app, workshop, describe);
  pageRoutes(app, page);
  // Once the door is open, and before somebody asks what cannot be read.
  app.addHook("onListen", async () => {
    setImmediate(() => phrasingsOf(grammarOf(workshop.library.forms)));
  });
  // Before the last answers go out, so that none of them waits for a search.
  app.addHook("preClose", () => desk.close());
  app.addHook("onClose", async () => workshop.book.close());
  return app;
}

const PARTS: Readonly<Record<string, RequestPart>> = {
  body: "body",
  querystring: "query",
  params: "path",
  headers: "header",
};

/** Answers what is not even HTTP, where no route and no hook ever sees it. */
function refuseGarbage(error: NodeJS.ErrnoException, socket: Socket): void {
  if (error.code === "ECONNRESET" || !socket.writable) {
    socket.destroy();
    return;
  }
  const problem = new Problem("REQUEST_INVALID", "This is not a complete HTTP/1.1 request.", {
    fix: "Use a browser or an HTTP client.",
  });
  const body = JSON.stringify(documentOf(problem, "a request that could not be read"));
  socket.end(
    "HTTP/1.1 400 Bad Request\r\ncontent-type: application/problem+json; charset=utf-8\r\n" +
      `content-length: ${Buffer.byteLength(body)}\r\nconnection: close\r\n\r\n${body}`,
  );
}
