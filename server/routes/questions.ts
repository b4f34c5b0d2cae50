import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import { offersFor } from "../ask/offers.js";
import { questionsAbout } from "../ask/suggest.js";
import type { Workshop } from "../workshop.js";
import { exactly, Id, Slots } from "./shapes.js";

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

const OffersBody = exactly({ kit: Id, assembly: Id, form: Id, slots: Slots });
const OffersReply = exactly({
  form: Type.String(),
  purpose: Type.String(),
  slots: Slots,
  said: Type.Union([Type.String(), Type.Null()], { description: "null while something is missing" }),
  missing: Type.Array(exactly({ slot: Type.String(), ask: Type.String() })),
  chips: Type.Array(
    exactly({
      slot: Type.String(),
      label: Type.String(),
      ask: Type.String(),
      required: Type.Boolean(),
      value: Type.Union([Type.String(), Type.Null()]),
      offers: Type.Array(
        exactly({
          said: Type.String(),
          slots: Slots,
          asks: Type.Union([Type.String(), Type.Null()], {
            description: "the question in words with it; null while something else is missing",
          }),
          current: Type.Boolean(),
        }),
        {
          description: "values that make sense, each with all slots as they would be with it",
        },
      ),
      more: Type.Integer({ minimum: 0 }),
      without: Slots,
      typed: Type.Boolean({ description: "it takes any text" }),
      first: Type.Union([Type.String(), Type.Null()]),
    }),
  ),
});

const SuggestionShape = exactly({
  form: Type.String(),
  slots: Slots,
  said: Type.String(),
  short: Type.String({ description: "in few words, for where the place is in view" }),
});
const SuggestionsBody = exactly({ kit: Id, assembly: Id, about: Slots });

/** The forms of question, for choosing instead of typing. */
export function questionRoutes(app: FastifyInstance, workshop: Workshop): void {
  const { forms } = workshop.library;
  app.get(
    "/api/questions",
    {
      schema: {
        summary: "The forms of question and their slots",
        response: { 200: exactly({ forms: Type.Array(FormShape) }) },
      },
    },
    async () => ({ forms }),
  );

  app.post<{ Body: Static<typeof OffersBody> }>(
    "/api/offers",
    {
      config: { letsIn: "anybody" },
      schema: {
        summary: "For each slot of a question the values that make sense now",
        description: "Records nothing.",
        body: OffersBody,
        response: { 200: OffersReply },
      },
    },
    async ({ body: { kit, assembly, form, slots } }) =>
      offersFor(await workshop.job(kit, assembly), form, slots, forms),
  );

  app.post<{ Body: Static<typeof SuggestionsBody> }>(
    "/api/suggestions",
    {
      config: { letsIn: "anybody" },
      schema: {
        summary: "Questions that make sense now, about a hole, a row or a part, or to begin with",
        description: "Records nothing.",
        body: SuggestionsBody,
        response: { 200: exactly({ readings: Type.Array(SuggestionShape) }) },
      },
    },
    async ({ body: { kit, assembly, about } }) => ({
      readings: questionsAbout(await workshop.job(kit, assembly), about, forms),
    }),
  );
}
