import type { FastifyInstance, FastifyRequest } from "fastify";
import { Type } from "typebox";
import { type Attempts, countAttempts } from "../keys/attempts.js";
import type { KeyRing, StoredKey } from "../keys/contract.js";
import { fits, readKey } from "../keys/key.js";
import { Problem } from "../problem.js";
import { isSameName } from "../same-name.js";
import type { RequestPlace } from "./problems.js";
import { exactly } from "./shapes.js";

/** Whom a route lets in: it records nothing; it writes; it accepts or sends back. */
export type LetsIn = "anybody" | "writer" | "mentor";

/** The key that a request was let in with; null on this machine without one. */
export type Holder = Pick<StoredKey, "id" | "name" | "role"> | null;

declare module "fastify" {
  interface FastifyContextConfig {
    /** Every route that takes anything but GET says whom it lets in. */
    letsIn?: LetsIn;
  }
  interface FastifyRequest {
    holder: Holder;
  }
}

export interface DoorOptions {
  readonly keys: KeyRing;
  /** True when other machines can reach the program: then every write needs a key. */
  readonly keyNeeded: boolean;
  readonly attempts?: Attempts;
}

export interface Door {
  /**
   * The name under which a request's act is recorded.
   * @param said  the name in its body, if any
   * @throws      NAME_NOT_YOURS, NAME_NEEDS_KEY: a mentor's name is not taken from whoever types it
   */
  signatureOf(request: FastifyRequest, said: string | undefined): string;
}

/** Keys that wait to be looked at; each look takes a tenth of a second and 32 MiB. */
const MOST_WAITING = 16;

/**
 * Who may do what. On this machine alone the builder works without a key. Once other machines can reach
 * the program every write needs one, from wherever it comes; what only reads stays open to whoever
 * reaches it. Accepting a rule and sending it back always need a mentor's key. Start it before the routes.
 * @source RFC 6750, section 2.1 (Authorization: Bearer) and 3 (WWW-Authenticate)
 */
export function keepDoor(
  app: FastifyInstance,
  { keys, keyNeeded, attempts = countAttempts() }: DoorOptions,
): Door {
  const inTurn = queue();

  const holderOf = async (request: FastifyRequest): Promise<Holder> => {
    const { authorization } = request.headers;
    if (authorization === undefined) return null;
    const passed = attempts.begin(request.ip);
    const shown = /^Bearer +(\S+)$/i.exec(authorization)?.[1] ?? "";
    const stored = keys.get(readKey(shown)?.id ?? "");
    const right = await inTurn(
      () => fits(shown, stored),
      () => passed(),
    );
    if (!right || !stored) {
      throw new Problem("DOOR_KEY_REFUSED", "This key is not known here.", {
        where: AUTHORIZATION,
        fix: "Use a key of this shop (Authorization: Bearer KEY). A key is made with: npm run key -- make",
      });
    }
    passed();
    if (stored.revokedAt !== null) throw revoked(stored);
    return { id: stored.id, name: stored.name, role: stored.role };
  };

  app.decorateRequest("holder", null);
  app.addHook("onRoute", ({ url, method, config }) => {
    const reads = [method].flat().every((one) => one === "GET" || one === "HEAD");
    if (!reads && config?.letsIn === undefined) throw new TypeError(`${url} does not say whom it lets in.`);
  });
  app.addHook("onRequest", async (request) => {
    const letsIn = request.routeOptions.config?.letsIn ?? "anybody";
    if (letsIn === "anybody") return;
    request.holder = await holderOf(request);
    if (letsIn === "mentor") refuseAllButMentors(request.holder);
    else if (keyNeeded && !request.holder) throw keyless("Writing");
  });

  app.get(
    "/api/door",
    {
      schema: {
        summary: "Whether writing needs a key, and whose key this is",
        description: "Authorization: Bearer KEY is looked at when it is sent.",
        response: {
          200: exactly({
            keyNeeded: Type.Boolean({ description: "every write needs a key" }),
            holder: Type.Union([
              exactly({
                id: Type.String(),
                name: Type.String(),
                role: Type.Enum(["mentor", "builder"]),
              }),
              Type.Null(),
            ]),
          }),
        },
      },
    },
    async (request, reply) => {
      reply.header("cache-control", "no-store");
      return { keyNeeded, holder: await holderOf(request) };
    },
  );

  return {
    signatureOf({ holder }, said) {
      if (holder) {
        if (said === undefined || isSameName(said, holder.name)) return holder.name;
        throw new Problem("NAME_NOT_YOURS", `This key is ${holder.name}'s, not ${said}'s.`, {
          where: { pointer: "/by" },
          fix: `Leave "by" out, or send the key of the one who did it.`,
        });
      }
      const name = said ?? "builder";
      const isMentor = keys
        .list()
        .some((key) => key.role === "mentor" && key.revokedAt === null && isSameName(key.name, name));
      if (!isMentor) return name;
      throw new Problem("NAME_NEEDS_KEY", `${name} is a mentor here and signs with a key.`, {
        where: { pointer: "/by" },
        fix: "Send that mentor's key, or your own name.",
      });
    },
  };
}

/** The mentor of a request that came through a mentor's door. */
export function mentorOf({ holder }: FastifyRequest): NonNullable<Holder> {
  refuseAllButMentors(holder);
  return holder;
}

function refuseAllButMentors(holder: Holder): asserts holder is NonNullable<Holder> {
  if (!holder) throw keyless("Accepting a rule or sending it back");
  if (holder.role === "mentor") return;
  throw new Problem("DOOR_MENTOR_ONLY", `${holder.name}'s key is a builder's; this needs a mentor's.`, {
    where: AUTHORIZATION,
    fix: "Ask a mentor to review it with a key of their own.",
  });
}

const AUTHORIZATION: RequestPlace = { header: "Authorization" };

function keyless(act: string): Problem {
  return new Problem("DOOR_KEY_NEEDED", `${act} needs a key here.`, {
    where: AUTHORIZATION,
    fix: "Sign in with your key (Authorization: Bearer KEY). A key is made with: npm run key -- make",
  });
}

/** Only told to whoever has the key. */
function revoked({ name }: StoredKey): Problem {
  return new Problem("DOOR_KEY_REVOKED", `This key of ${name} was revoked.`, {
    where: AUTHORIZATION,
    fix: "Make a new one with: npm run key -- make",
  });
}

/**
 * Runs one act after the other.
 * @param turnedAway  called when too many wait already; DOOR_BUSY is thrown then
 */
function queue(): <T>(act: () => Promise<T>, turnedAway: () => void) => Promise<T> {
  let waiting = 0;
  let last: Promise<unknown> = Promise.resolve();
  return (act, turnedAway) => {
    if (waiting >= MOST_WAITING) {
      turnedAway();
      throw new Problem("DOOR_BUSY", "Many keys are being looked at.", { fix: "Send it again in a moment." });
    }
    waiting++;
    const done = last.then(act).finally(() => {
      waiting--;
    });
    last = done.catch(() => undefined);
    return done;
  };
}
