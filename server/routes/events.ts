import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import { Problem } from "../problem.js";
import type { Watch } from "../store/watch.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id } from "./shapes.js";

/** More pages than a workshop has; each holds a connection open. */
const MOST_WATCHERS = 64;
/** A comment line now and then, so that a dead connection is noticed. */
const HEARTBEAT_MS = 15_000;
/** A reader that leaves this much unread is let go; its browser connects again. */
const MOST_UNREAD_BYTES = 64 * 1024;

const EventsQuery = exactly({ kit: Type.Optional(Id), assembly: Type.Optional(Id) });
const EventsReply = Type.String({
  "x-media-type": "text/event-stream",
  description:
    '`event: version` with `data: {"version": N}`, first at once, then with every change of the shop book',
});

/**
 * Tells a page at once that the shop book has moved on, as server-sent events.
 * @source WHATWG HTML, section "Server-sent events"
 */
export function eventRoutes(app: FastifyInstance, workshop: Workshop, watch: Watch): void {
  const goodbyes = new Set<() => void>();
  app.addHook("preClose", async () => {
    for (const goodbye of [...goodbyes]) goodbye();
    watch.close();
  });

  app.get<{ Querystring: Static<typeof EventsQuery> }>(
    "/api/marks/events",
    {
      exposeHeadRoute: false,
      schema: {
        summary: "Changes of the shop book as they happen",
        querystring: EventsQuery,
        response: { 200: EventsReply },
      },
    },
    (request, reply) => {
      const { kit, assembly } = request.query;
      if (kit !== undefined) workshop.kit(kit);
      if (kit !== undefined && assembly !== undefined) workshop.assembly(kit, assembly);
      if (goodbyes.size >= MOST_WATCHERS) {
        throw new Problem("TOO_MANY_WATCHERS", `${MOST_WATCHERS} pages are watching already.`, {
          fix: "Close some of them.",
        });
      }
      const version = workshop.book.version();
      reply.hijack();
      const { raw } = reply;
      raw.writeHead(200, {
        ...(reply.getHeaders() as Record<string, string>),
        "content-type": "text/event-stream; charset=utf-8",
        "cache-control": "no-store",
      });
      const send = (text: string): void => {
        if (raw.writableLength > MOST_UNREAD_BYTES) raw.destroy();
        else raw.write(text);
      };
      const tell = (now: number): void => send(`event: version\nid: ${now}\ndata: {"version":${now}}\n\n`);

      const unsubscribe = watch.subscribe(tell);
      const heartbeat = setInterval(() => send(":\n\n"), HEARTBEAT_MS);
      const goodbye = (): void => {
        goodbyes.delete(goodbye);
        clearInterval(heartbeat);
        unsubscribe();
        raw.end();
      };
      goodbyes.add(goodbye);
      raw.on("close", goodbye);
      raw.on("error", goodbye);
      send("retry: 1000\n");
      tell(version);
    },
  );
}
