import type { FastifyInstance } from "fastify";
import { Problem } from "../problem.js";
import { pathOf, sendProblem } from "./problems.js";

/**
 * Answers what no route takes: an address that is not there, or one that takes other methods. Start it
 * before the routes are added.
 */
export function refuseMethod(app: FastifyInstance): void {
  const methods = new Map<string, Set<string>>();
  app.addHook("onRoute", ({ url, method }) => {
    const known = methods.get(url) ?? new Set();
    for (const one of [method].flat()) known.add(one);
    methods.set(url, known);
  });

  app.setNotFoundHandler((request, reply) => {
    const path = pathOf(request.url);
    const allowed = [...methods].find(([pattern]) => matches(pattern, path))?.[1];
    if (allowed) {
      const list = [...allowed].sort().join(", ");
      reply.header("allow", list);
      return sendProblem(
        request,
        reply,
        new Problem("METHOD_REFUSED", `This address does not take ${request.method}.`, {
          fix: `Use ${list}.`,
        }),
      );
    }
    return sendProblem(
      request,
      reply,
      new Problem("NOT_FOUND", "There is nothing at this address.", {
        fix: "The addresses are listed in /api/openapi.json.",
      }),
    );
  });
}

/** Whether a path is one that a route pattern with `:name` steps stands for. */
function matches(pattern: string, path: string): boolean {
  const [expected, actual] = [pattern.split("/"), path.split("/")];
  return (
    expected.length === actual.length &&
    expected.every((step, i) => (step.startsWith(":") ? actual[i] !== "" : step === actual[i]))
  );
}
