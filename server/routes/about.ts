import type { FastifyInstance } from "fastify";
import { Type } from "typebox";
import type { Workshop } from "../workshop.js";
import { CATALOGUE } from "./problems.js";
import { exactly, Version } from "./shapes.js";

const Health = exactly({ status: Type.Enum(["ok", "read-only"]), version: Version, kits: Type.Integer() });
const Problems = exactly({
  problems: Type.Array(exactly({ code: Type.String(), status: Type.Integer(), title: Type.String() })),
});

/** What the program says about itself. */
export function aboutRoutes(app: FastifyInstance, workshop: Workshop, describe: () => object): void {
  app.get(
    "/health",
    { schema: { summary: "Whether the program can answer and record", response: { 200: Health } } },
    async () => ({
      status: workshop.book.writable ? "ok" : "read-only",
      version: workshop.book.version(),
      kits: workshop.library.kits.size,
    }),
  );

  app.get(
    "/api/problems",
    { schema: { summary: "The codes of problems", response: { 200: Problems } } },
    async () => ({ problems: Object.entries(CATALOGUE).map(([code, meaning]) => ({ code, ...meaning })) }),
  );

  app.get(
    "/api/openapi.json",
    { schema: { summary: "This description", response: { 200: Type.Object({}) } } },
    async () => describe(),
  );
}
