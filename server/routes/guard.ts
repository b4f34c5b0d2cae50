import type { FastifyInstance, FastifyRequest } from "fastify";
import { Problem } from "../problem.js";
import type { RequestPlace } from "./problems.js";
import { isUnprintable } from "./strict-json.js";

/**
 * What the page may load: our own files, and nothing inline. Frames, plug-ins and other sites are out.
 * @source W3C Content Security Policy Level 3
 */
export const SECURITY_HEADERS: Readonly<Record<string, string>> = {
  "content-security-policy":
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; " +
    "connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-resource-policy": "same-origin",
  "permissions-policy": "camera=(), geolocation=(), microphone=()",
  "referrer-policy": "no-referrer",
  "x-content-type-options": "nosniff",
  "x-frame-options": "DENY",
};

/**
 * Keeps other sites out, since anybody's page in the same browser can send requests to a loopback
 * address: the Host must be ours (a rebound DNS name is not), and a request that names its Origin must
 * come from the page we served.
 * @param hosts   host names that are ours besides the loopback ones, in lower case, without port
 * @param scheme  how the page is served
 */
export function guard(app: FastifyInstance, hosts: readonly string[], scheme: "http" | "https"): void {
  app.addHook("onRequest", async (request, reply) => {
    reply.headers(SECURITY_HEADERS);
    const host = request.headers.host ?? "";
    if (!isOurs(host, hosts)) {
      throw new Problem("HOST_REFUSED", "This program does not answer for that host name.", {
        where: place("Host"),
        fix: "Open it under the address that it printed at the start.",
      });
    }
    if (comesFromElsewhere(request, `${scheme}://${host.toLowerCase()}`)) {
      throw new Problem("ORIGIN_REFUSED", "Only this program's own page may send this.", {
        where: place("Origin"),
        fix: "Use the page at the address that the program printed at the start.",
      });
    }
  });
}

/** Holds the texts of the address to what holds for those of a body. */
export function refuseUnprintable(app: FastifyInstance): void {
  app.addHook("preValidation", async ({ query, params }) => {
    for (const [name, value] of Object.entries({ ...(params as object), ...(query as object) })) {
      if (![name, value].flat().some((text) => isUnprintable(String(text)))) continue;
      throw new Problem("CONTROL_CHARACTER", "The address holds a character that cannot be printed.", {
        fix: "Take the control characters out.",
      });
    }
  });
}

function place(header: string): RequestPlace {
  return { header };
}

/** Whether a Host header names this machine's loopback, or one of the hosts. */
function isOurs(host: string, hosts: readonly string[]): boolean {
  const name = /^(\[[0-9a-f:.]+\]|[^:[\]]+?)\.?(:\d{1,5})?$/i.exec(host)?.[1]?.toLowerCase();
  if (name === undefined) return false;
  return name === "localhost" || name === "[::1]" || /^127(\.\d{1,3}){3}$/.test(name) || hosts.includes(name);
}

/** @source W3C Fetch Metadata Request Headers (Sec-Fetch-Site, Sec-Fetch-Mode) */
function comesFromElsewhere({ method, headers }: FastifyRequest, ours: string): boolean {
  if (headers.origin !== undefined && headers.origin.toLowerCase() !== ours) return true;
  const site = headers["sec-fetch-site"];
  if (site === undefined || site === "same-origin" || site === "none") return false;
  // Following a link to the page is harmless; anything else from another site is not for us.
  return !(headers["sec-fetch-mode"] === "navigate" && (method === "GET" || method === "HEAD"));
}
