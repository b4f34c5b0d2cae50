import type { FastifyInstance, FastifyReply } from "fastify";
import { type Static, Type } from "typebox";
import type { KeyRing } from "../keys/contract.js";
import { Problem } from "../problem.js";
import { proposalOf, queueOf, reviewOf, type Waiting } from "../review/review.js";
import { ANSWER_FORMAT, answerKey, type ReviewAnswer, signerOf } from "../review/review-answer.js";
import { refuseEdited, sealReview } from "../review/review-file.js";
import { REVIEW_FORMAT, type ReviewFile } from "../review/types.js";
import { type Lived, takeStep } from "../rule-life.js";
import type { Watch } from "../store/watch.js";
import type { Workshop } from "../workshop.js";
import { mentorPage, reviewSheet } from "./review-pages.js";
import { Comments, LivedReply, Reference } from "./rules.js";
import { exactly, Id, orNull, Version } from "./shapes.js";

const QueueQuery = exactly({ kit: Type.Optional(Id) });
const QueueReply = exactly({
  version: Version,
  reviews: Type.Array(
    exactly({
      kit: Type.String(),
      rule: Type.String(),
      title: Type.String(),
      revision: Type.Integer(),
      hash: Type.String(),
      proposal: Type.Integer({ description: "version of the shop book at which it was proposed" }),
      author: Type.String(),
      proposedBy: Type.String(),
      proposedAt: Type.String(),
      departure: orNull(
        Type.String({ description: "reference of the kit maker's agreement; empty while none is named" }),
      ),
    }),
  ),
});
const ReviewParams = exactly({ id: Id });
const ReviewQuery = exactly({ kit: Id });
interface ReviewRequest {
  readonly Params: Static<typeof ReviewParams>;
  readonly Querystring: Static<typeof ReviewQuery>;
}
const Lines = Type.Array(Type.String());
const ReviewReply = Type.Object({
  format: Type.Literal(REVIEW_FORMAT),
  rule: Type.String(),
  revision: Type.Integer(),
  hash: Type.String(),
  proposal: Type.Integer(),
  text: Type.Object({}),
  shown: exactly({
    words: Lines,
    changes: orNull(Lines),
    problems: Lines,
    departures: Lines,
    findings: Lines,
    examples: Lines,
    impact: Type.Array(exactly({ assembly: Type.String(), lines: Lines })),
    earlier: Lines,
  }),
});
const Hex = Type.String({ pattern: "^[0-9a-f]{64}$" });

const AnswerBody = exactly({
  format: Type.Literal(ANSWER_FORMAT),
  review: Type.Object(
    {
      format: Type.Literal(REVIEW_FORMAT),
      kit: Type.Object({ id: Id }),
      rule: Id,
      revision: Type.Integer({ minimum: 1 }),
      hash: Hex,
      proposal: Type.Integer({ minimum: 1 }),
      contentHash: Hex,
      seal: Hex,
    },
    { description: "the review file as it was given out" },
  ),
  answer: exactly({
    step: Type.Enum(["accept", "return"]),
    comments: Comments,
    reference: orNull(Reference),
  }),
  mentor: Type.String({ minLength: 1, maxLength: 40, description: "id of the mentor's key" }),
  signature: Type.String({ pattern: "^[A-Za-z0-9_-]{86}$", description: "Ed25519, base64url" }),
});

const page = (type: string, description: string) => ({
  200: { type: "string", description, "x-media-type": type },
});

/** Proposals for the mentor: on the screen, on paper, and as a file that comes back signed. */
export function reviewRoutes(app: FastifyInstance, workshop: Workshop, watch: Watch, keys: KeyRing): void {
  const fileFor = async (kit: string, id: string): Promise<ReviewFile> =>
    sealReview(await reviewOf(workshop, kit, id), keys.sealingSecret());

  app.get<{ Querystring: Static<typeof QueueQuery> }>(
    "/api/reviews",
    {
      schema: {
        summary: "Proposals that wait for a mentor, the longest waiting first",
        querystring: QueueQuery,
        response: { 200: QueueReply },
      },
    },
    async ({ query: { kit } }, reply) => {
      const version = workshop.book.version();
      const kits = kit === undefined ? [...workshop.library.kits.keys()] : [kit];
      reply.header("etag", `"${version}"`).header("cache-control", "no-cache");
      return { version, reviews: kits.flatMap((one) => queueOf(workshop, one)).map(queueLine) };
    },
  );

  const at = "/api/reviews/:id";
  const asked = { params: ReviewParams, querystring: ReviewQuery };

  app.get<ReviewRequest>(
    at,
    {
      schema: {
        summary: "One proposal with all that a mentor needs",
        ...asked,
        response: { 200: ReviewReply },
      },
    },
    async ({ params: { id }, query: { kit } }, reply) => {
      reply.header("cache-control", "no-cache");
      return reviewOf(workshop, kit, id);
    },
  );

  app.get<ReviewRequest>(
    `${at}/sheet`,
    {
      schema: {
        summary: "The review sheet, for paper",
        ...asked,
        response: page("text/html", "A page for print"),
      },
    },
    async ({ params: { id }, query: { kit } }, reply) =>
      sendText(reply, "text/html; charset=utf-8", reviewSheet(await reviewOf(workshop, kit, id))),
  );

  app.get<ReviewRequest>(
    `${at}/file`,
    {
      schema: {
        summary: "The review file for a mentor far away: npm run key -- sign FILE answers it",
        ...asked,
        response: { 200: Type.Object({ contentHash: Hex, seal: Hex }) },
      },
    },
    async ({ params: { id }, query: { kit } }, reply) => {
      const file = await fileFor(kit, id);
      return attached(reply, file, "json").type("application/json; charset=utf-8").send(file);
    },
  );

  app.get<ReviewRequest>(
    `${at}/page`,
    {
      schema: {
        summary: "The same as a page in one file, which a mentor opens, answers and sends back",
        ...asked,
        response: page("text/html", "A page to be saved and sent; served here it runs nothing"),
      },
    },
    async ({ params: { id }, query: { kit } }, reply) => {
      const file = await fileFor(kit, id);
      return sendText(attached(reply, file, "html"), "text/html; charset=utf-8", mentorPage(file));
    },
  );

  app.post<{ Body: Static<typeof AnswerBody> }>(
    "/api/reviews/answer",
    {
      config: { letsIn: "writer" },
      schema: {
        summary: "Hand in a mentor's signed answer",
        description:
          "It counts once, however often it is handed in, so it needs no Idempotency-Key; what it is based on is in it.",
        body: AnswerBody,
        response: { 200: LivedReply },
      },
    },
    async ({ body }, reply) => {
      const lived = await handIn(workshop, keys, body as unknown as ReviewAnswer);
      watch.look();
      reply.header("etag", `"${lived.version}"`);
      return lived;
    },
  );
}

/**
 * Takes the step that a mentor signed, if the proposal is still the one that was reviewed.
 * @throws REVIEW_EDITED, ANSWER_KEY_REFUSED, ANSWER_SIGNATURE_WRONG, ANSWER_OVERTAKEN, and what `takeStep` throws
 */
async function handIn(workshop: Workshop, keys: KeyRing, handed: ReviewAnswer): Promise<Lived> {
  const { review, answer } = handed;
  refuseEdited({ ...review }, keys.sealingSecret());
  const mentor = signerOf(handed, keys.get(handed.mentor));
  const kit = review.kit.id;
  const key = answerKey(handed);
  const { version } = workshop.shopRules(kit);
  if (!workshop.book.since(0).some((entry) => entry.key === key)) refuseOvertaken(workshop, review);
  const step = {
    kit,
    rule: review.rule,
    revision: review.revision,
    hash: review.hash,
    ...answer,
    by: mentor.name,
    mentor: mentor.id,
    role: mentor.role,
  };
  return takeStep(workshop, step, { key, expected: version });
}

/** @throws ANSWER_OVERTAKEN */
function refuseOvertaken(workshop: Workshop, { kit, rule, proposal, hash }: ReviewFile): void {
  let now: Waiting | null = null;
  try {
    now = proposalOf(workshop, kit.id, rule);
  } catch (error) {
    if (!(error instanceof Problem) || error.code !== "REVIEW_NOT_PROPOSED") throw error;
  }
  if (now?.proposed.version === proposal && now.revision.hash === hash) return;
  throw new Problem("ANSWER_OVERTAKEN", "That proposal no longer waits: this answers an earlier one.", {
    where: { pointer: "/review/proposal" },
    fix: "Fetch the review file again and have that one answered.",
  });
}

function queueLine({ rule, revision, proposed }: Waiting): object {
  return {
    kit: rule.kit,
    rule: rule.id,
    title: revision.rule.title,
    revision: revision.revision,
    hash: revision.hash,
    proposal: proposed.version,
    author: revision.by,
    proposedBy: proposed.by,
    proposedAt: proposed.at,
    departure: revision.rule.departure ? (revision.rule.departure.reference ?? "") : null,
  };
}

/** A rule's id is letters, digits and hyphens, so it can stand in a file name. */
function attached(reply: FastifyReply, { rule, revision }: ReviewFile, ending: string): FastifyReply {
  return reply
    .header("content-disposition", `attachment; filename="review-${rule}-${revision}.${ending}"`)
    .header("cache-control", "no-store");
}

function sendText(reply: FastifyReply, type: string, text: string): FastifyReply {
  return reply
    .type(type)
    .header("cache-control", "no-cache")
    .serializer((document: string) => document)
    .send(text);
}
