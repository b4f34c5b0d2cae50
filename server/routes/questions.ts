import type { FastifyInstance } from "fastify";
import { Type } from "typebox";
import type { Workshop } from "../workshop.js";
import { exactly } from "./shapes.js";

const FormShape = Type.Object({
  id: Type.String(),
  purpose: Type.String(),
  slots: Type.Array(
    Type.Object({
      name: Type.String(),
      type: Type.String(),
      required: Type.Boolean(),
      ask: Type.String({ description: "what to ask when it is missing" }),
    }),
  ),
  oneOf: Type.Array(Type.Array(Type.String()), { description: "of each group at least one slot is filled" }),
  followUps: Type.Array(Type.String()),
});

/** The forms of question, for choosing instead of typing. */
export function questionRoutes(app: FastifyInstance, { library }: Workshop): void {
  app.get(
    "/api/questions",
    {
      schema: {
        summary: "The forms of question and their slots",
        response: { 200: exactly({ forms: Type.Array(FormShape) }) },
      },
    },
    async () => ({ forms: library.forms }),
  );
}
