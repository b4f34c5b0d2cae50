import type { FastifyError, FastifyReply, FastifyRequest } from "fastify";
import { TooManyAttempts } from "../keys/attempts.js";
import { type Place, Problem } from "../problem.js";
import { VersionStale } from "../store/decide.js";

/** A place in a request that an error points at; `pointer` (from Place) goes into the body. */
export interface RequestPlace extends Place {
  readonly query?: string;
  readonly header?: string;
}

/** What each code means to HTTP. A code of the core that is not here is a request that cannot be carried out: 422. */
export const CATALOGUE: Readonly<Record<string, { readonly status: number; readonly title: string }>> = {
  JSON_MALFORMED: { status: 400, title: "The body is not JSON" },
  JSON_TOO_DEEP: { status: 400, title: "The body is nested too deeply" },
  KEY_REFUSED: { status: 400, title: "A key of the body is refused" },
  CONTROL_CHARACTER: { status: 400, title: "A text holds characters that cannot be printed" },
  REQUEST_INVALID: { status: 400, title: "The request does not have the agreed shape" },
  BODY_CUT_SHORT: { status: 400, title: "The body did not arrive whole" },
  URL_MALFORMED: { status: 400, title: "The address cannot be read" },
  IDEMPOTENCY_KEY_MISSING: { status: 400, title: "The act has no key of its own" },
  IF_MATCH_MALFORMED: { status: 400, title: "The If-Match header cannot be read" },
  HOST_REFUSED: { status: 421, title: "The request is meant for another host" },
  DOOR_KEY_NEEDED: { status: 401, title: "This needs a key" },
  DOOR_KEY_REFUSED: { status: 401, title: "The key is not known" },
  DOOR_KEY_REVOKED: { status: 401, title: "The key was revoked" },
  DOOR_MENTOR_ONLY: { status: 403, title: "This needs a mentor's key" },
  DOOR_ATTEMPTS: { status: 429, title: "Too many wrong keys" },
  DOOR_BUSY: { status: 503, title: "Many keys are being looked at" },
  KEYS_FAILED: { status: 503, title: "The keys cannot be used" },
  NAME_NEEDS_KEY: { status: 403, title: "That name signs with a key" },
  NAME_NOT_YOURS: { status: 403, title: "The key is somebody else's" },
  ORIGIN_REFUSED: { status: 403, title: "The request comes from another site" },
  NOT_FOUND: { status: 404, title: "There is nothing at this address" },
  UNKNOWN_KIT: { status: 404, title: "No such kit" },
  UNKNOWN_ASSEMBLY: { status: 404, title: "No such assembly" },
  UNKNOWN_STEP: { status: 404, title: "No such step of the manual" },
  UNKNOWN_RULE: { status: 404, title: "No such rule" },
  UNKNOWN_REVISION: { status: 404, title: "No such revision" },
  UNKNOWN_NOTE: { status: 404, title: "No such note" },
  METHOD_REFUSED: { status: 405, title: "This address does not take that method" },
  VERSION_STALE: { status: 412, title: "The shop book has moved on" },
  BODY_TOO_LARGE: { status: 413, title: "The body is too large" },
  CONTENT_TYPE_REFUSED: { status: 415, title: "The body is not of a type that is read here" },
  UNKNOWN_ID: { status: 422, title: "A name is not known in this assembly" },
  MARK_REFUSED: { status: 422, title: "A mark does not fit the kit" },
  SHOP_RULE_LEFT_OUT: { status: 422, title: "A shop rule in force cannot be used" },
  SLOT_MISSING: { status: 422, title: "The question lacks something" },
  SLOT_INVALID: { status: 422, title: "Something in the question does not fit" },
  SLOT_UNKNOWN: { status: 422, title: "The form has no such slot" },
  SLOTS_CONFLICT: { status: 422, title: "Two things in the question go against each other" },
  UNKNOWN_FORM: { status: 422, title: "No such form of question" },
  RULE_STEP_REVISION_UNKNOWN: { status: 404, title: "No such revision" },
  RULE_STEP_OTHER_RULE: { status: 409, title: "That revision says something else" },
  RULE_STEP_NOT_PROPOSED: { status: 409, title: "The revision is not proposed" },
  RULE_STEP_ALREADY_PROPOSED: { status: 409, title: "A revision waits for the mentor already" },
  RULE_STEP_IN_FORCE: { status: 409, title: "The revision is in force already" },
  RULE_STEP_NOT_IN_FORCE: { status: 409, title: "The revision is not in force" },
  RULE_STEP_NEEDS_MENTOR: { status: 403, title: "The step takes a mentor's key" },
  RULE_STEP_BY_AUTHOR: { status: 403, title: "An author does not accept their own revision" },
  RULE_STEP_WITHOUT_REFERENCE: { status: 422, title: "A departure needs the kit maker's agreement" },
  RULE_STEP_NOT_YOURS: { status: 403, title: "The rule is somebody else's" },
  RULE_STEP_WITHOUT_COMMENT: { status: 422, title: "The step takes a comment" },
  RULE_ID_RESERVED: { status: 422, title: "No rule can have that id" },
  RULE_NOT_READY: { status: 422, title: "The rule cannot come into force as it stands" },
  REVIEW_NOT_PROPOSED: { status: 404, title: "Nothing waits for a mentor there" },
  REVIEW_EDITED: { status: 422, title: "The review was changed on its way" },
  ANSWER_KEY_REFUSED: { status: 403, title: "The answer is no mentor's" },
  ANSWER_SIGNATURE_WRONG: { status: 403, title: "The answer is not as it was signed" },
  ANSWER_OVERTAKEN: { status: 409, title: "The answer is about an earlier proposal" },
  COMMENT_NOWHERE: { status: 422, title: "A comment points at nothing" },
  NOTHING_TO_RECORD: { status: 422, title: "There is nothing to record" },
  IDEMPOTENCY_REUSED: { status: 422, title: "The key belongs to another act" },
  IF_MATCH_MISSING: { status: 428, title: "The act does not say what it is based on" },
  INTERNAL: { status: 500, title: "The program failed" },
  SHOPBOOK_READ_ONLY: { status: 503, title: "The shop book cannot be written" },
  SHOPBOOK_BROKEN: { status: 503, title: "The shop book cannot be trusted" },
  SHOPBOOK_BUSY: { status: 503, title: "The shop book is in use" },
  SHOPBOOK_FAILED: { status: 503, title: "The shop book cannot be used" },
  SHOPBOOK_CLOSED: { status: 503, title: "The program is shutting down" },
  SOLVER_BUSY: { status: 503, title: "Too many ways back are being looked for" },
  SOLVER_CLOSED: { status: 503, title: "The program is shutting down" },
  TOO_MANY_WATCHERS: { status: 503, title: "Too many pages are watching" },
  SHOPBOOK_FULL: { status: 507, title: "The disk is full" },
};

/** An error as RFC 9457 has it, with our code, place and way out. */
export interface ProblemDocument {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly detail: string;
  readonly code: string;
  readonly where: RequestPlace & { readonly request: string };
  readonly fix: string;
  /** Further problems of the same request. */
  readonly errors?: readonly Pick<ProblemDocument, "code" | "detail" | "where" | "fix">[];
  /** With VERSION_STALE: where the shop book stands now. */
  readonly version?: number;
}

/** More than this helps nobody and would let a small request draw a large reply. */
const MOST_OTHERS = 20;

/**
 * The problem document of an error.
 * @param request  method and path, as in "POST /api/marks"
 * @source RFC 9457, section 3
 */
export function documentOf(problem: Problem, request: string): ProblemDocument {
  const { status, title } = CATALOGUE[problem.code] ?? {
    status: 422,
    title: "The request cannot be carried out",
  };
  const said = ({ code, message, where, fix }: Problem) => ({
    code,
    detail: message,
    where: { request, ...placeIn(where) },
    fix,
  });
  return {
    type: `/api/problems#${problem.code}`,
    title,
    status,
    ...said(problem),
    ...(problem.others.length > 0 && { errors: problem.others.slice(0, MOST_OTHERS).map(said) }),
    ...(problem instanceof VersionStale && { version: problem.version }),
  };
}

/** Paths of this machine are nobody's business on the wire. */
function placeIn({ file, ...place }: RequestPlace): RequestPlace {
  return file === undefined || /^([/\\]|[A-Za-z]:)/.test(file) ? place : { file, ...place };
}

/** Answers with the problem's document. */
export function sendProblem(request: FastifyRequest, reply: FastifyReply, problem: Problem): FastifyReply {
  const document = documentOf(problem, `${request.method} ${pathOf(request.url)}`);
  if (/_BUSY$/.test(document.code)) reply.header("retry-after", "1");
  if (problem instanceof TooManyAttempts) reply.header("retry-after", String(problem.retryAfterS));
  if (document.status === 401) reply.header("www-authenticate", 'Bearer realm="Tailroom"');
  return reply
    .code(document.status)
    .header("cache-control", "no-store")
    .type("application/problem+json; charset=utf-8")
    .send(JSON.stringify(document));
}

/** The path without its query, cut to a length that can be shown. */
export function pathOf(url: string): string {
  return (url.split("?", 1)[0] ?? "").slice(0, 200);
}

const FRAMEWORK: Readonly<
  Record<string, { readonly code: string; readonly what: string; readonly fix: string }>
> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: {
    code: "CONTENT_TYPE_REFUSED",
    what: "Bodies are read as JSON only.",
    fix: "Send the body with Content-Type: application/json.",
  },
  FST_ERR_CTP_BODY_TOO_LARGE: {
    code: "BODY_TOO_LARGE",
    what: "The body is larger than 256 KiB.",
    fix: "Send the marks in several requests.",
  },
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: {
    code: "BODY_CUT_SHORT",
    what: "The body's length is not the one announced.",
    fix: "Send it again, with the right Content-Length.",
  },
  FST_ERR_MAX_PARAM_LENGTH: {
    code: "NOT_FOUND",
    what: "There is nothing at this address: no id is that long.",
    fix: "The addresses are listed in /api/openapi.json.",
  },
  FST_ERR_BAD_URL: {
    code: "URL_MALFORMED",
    what: "The address is not a valid URL path.",
    fix: "Encode the address: % must be followed by two hexadecimal digits.",
  },
};

/**
 * Any thrown thing as a problem. What we did not foresee becomes INTERNAL, without its words: they may
 * hold what is not the caller's business; the caller of this function reports them.
 */
export function problemOf(error: unknown): Problem {
  if (error instanceof Problem) return error;
  const { code = "", statusCode = 500 } = error as Partial<FastifyError>;
  const known = FRAMEWORK[code];
  if (known) return new Problem(known.code, known.what, { fix: known.fix });
  if (statusCode >= 400 && statusCode < 500) {
    return new Problem("REQUEST_INVALID", "The request could not be read.", {
      fix: "Compare it with /api/openapi.json.",
    });
  }
  return new Problem("INTERNAL", "The program failed on this request.", {
    fix: "Send it again, marks with the same Idempotency-Key: they count once. If it fails again, the terminal says more.",
  });
}
