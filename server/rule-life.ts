import type { Role } from "./keys/contract.js";
import { Problem } from "./problem.js";
import type { RuleInFile } from "./ruling/schema.js";
import { isSameName } from "./same-name.js";
import { fitRules } from "./shop/book-rules.js";
import { hashOfRule, inForce, nextRevision, proposalIn, revisionOf, stepAllowed } from "./shop/life.js";
import { reservedId } from "./shop/rule-id.js";
import type { Revision, RuleComment, RuleStep, ShopRule } from "./shop/types.js";
import type { AppendRequest, Entry, Statement } from "./store/contract.js";
import { VersionStale } from "./store/decide.js";
import { refuseUnready } from "./trial.js";
import type { Workshop } from "./workshop.js";

/** A rule as somebody wrote it, to be kept as its next revision. */
export interface Drafted {
  readonly kit: string;
  /** Not yet looked at: any JSON object. */
  readonly rule: object;
  readonly by: string;
}

/** A step in a rule's life. */
export interface Step {
  readonly kit: string;
  readonly rule: string;
  readonly revision: number;
  /** Of the revision that the person looked at. */
  readonly hash: string;
  readonly step: RuleStep;
  readonly comments: readonly RuleComment[];
  /** Reference of the kit maker's agreement, for a departure. */
  readonly reference: string | null;
  readonly by: string;
  /** Id of the mentor's key; null when it is not taken with one. */
  readonly mentor: string | null;
  /** Of the key that it is taken with; null where none is needed. */
  readonly role: Role | null;
}

export interface Lived {
  /** The book's version with it. */
  readonly version: number;
  readonly rule: ShopRule;
}

/** How often an act that may stand on any version is tried again when somebody wrote in between. */
const MOST_TRIES = 5;

/**
 * Keeps a rule as its next revision, a draft. It must be whole and fit the kit and the other rules: what is
 * wrong with it is told by the preview while it is being written.
 * @throws UNKNOWN_KIT, RULE_ID_RESERVED, what is wrong with the rule (pointers from /rule on), and what
 *         ShopBook.append throws
 */
export function saveRevision(
  workshop: Workshop,
  { kit, rule, by }: Drafted,
  request: AppendRequest,
): Promise<Lived> {
  const whole = rule as RuleInFile;
  return acting(workshop, kit, whole.id, request, async (earlier) => {
    const known = workshop.shopRules(kit).rules.get(whole.id) ?? null;
    if (!earlier) {
      refuseReserved(known, whole);
      refuseUnfit(workshop, kit, rule);
      refuseUnchanged(known, whole);
    }
    const revision = earlier?.kind === "rule-revision" ? earlier.body.revision : nextRevision(known);
    return { kind: "rule-revision", by, kit, assembly: null, body: { rule: whole, revision } };
  });
}

/**
 * Takes a step in a rule's life. Where keys are used, a rule goes out of force, and a proposal is taken back, by
 * whoever it is from or by a mentor: what a mentor put in force is not undone behind both their backs.
 * @throws UNKNOWN_KIT, UNKNOWN_RULE, RULE_STEP_… (see `stepAllowed`), RULE_STEP_NOT_YOURS,
 *         RULE_STEP_WITHOUT_COMMENT, COMMENT_NOWHERE, what is wrong with the rule when it is to come into force, and
 *         what ShopBook.append throws
 */
export function takeStep(workshop: Workshop, taken: Step, request: AppendRequest): Promise<Lived> {
  const { kit, rule: id, revision, hash, step, comments, reference, by, mentor } = taken;
  const body = {
    rule: id,
    revision,
    hash,
    step,
    comments,
    ...(reference !== null && { reference }),
    ...(mentor !== null && { mentor }),
  };
  return acting(workshop, kit, id, request, async (earlier) => {
    if (!earlier) await refuseStep(workshop, taken);
    return { kind: "rule-step", by, kit, assembly: null, body };
  });
}

async function refuseStep(workshop: Workshop, taken: Step): Promise<void> {
  const { kit, step, revision, comments } = taken;
  const rule = shopRule(workshop, kit, taken.rule);
  const refused = stepAllowed(rule, step, taken);
  if (refused) throw refused;
  const about = revisionOf(rule, revision);
  if (!about) throw new TypeError(`Revision ${revision} of "${rule.id}" may be acted on and is not there.`);
  const { rule: text } = about;
  refuseStranger(rule, about, taken);
  refuseWordless(about, taken);
  refuseStrayComments(comments, text);
  if (step === "propose" || step === "accept") await refuseUnready(workshop, kit, text);
}

/** @throws UNKNOWN_KIT, UNKNOWN_RULE */
export function shopRule(workshop: Workshop, kit: string, id: string): ShopRule {
  const found = workshop.shopRules(workshop.kit(kit).id).rules.get(id);
  if (found) return found;
  throw new Problem("UNKNOWN_RULE", `The shop has no rule "${id}" for this kit.`, {
    fix: "The shop's rules are listed at /api/rules.",
  });
}

/** The revision that waits for the mentor, else the newest. */
export function revisionToTry(rule: ShopRule): Revision {
  const found = revisionOf(rule, rule.proposed ?? rule.revisions.length);
  if (!found) throw new TypeError(`The rule "${rule.id}" has no revision.`);
  return found;
}

/**
 * Records one statement on the version that it was made on: the book refuses if anybody wrote about the kit's
 * rules while it was being looked at.
 * @param state  makes the statement; told the entry that the same key stands for already, if any
 */
async function acting(
  workshop: Workshop,
  kit: string,
  id: string,
  { key, expected }: AppendRequest,
  state: (earlier: Entry | null) => Promise<Statement>,
): Promise<Lived> {
  for (let tries = 1; ; tries++) {
    const { version: seen } = workshop.shopRules(kit);
    const earlier = workshop.book.since(0).find((entry) => entry.key === key) ?? null;
    const statement = await state(earlier);
    try {
      const request = { key, expected: expected === "any" ? seen : expected };
      const { version } = workshop.book.append([statement], request);
      return { version, rule: shopRule(workshop, kit, id) };
    } catch (error) {
      if (!(error instanceof VersionStale) || expected !== "any" || tries >= MOST_TRIES) throw error;
    }
  }
}

/** @throws the first thing wrong with the rule beside those in force, the rest in `others`; pointers from /rule on */
function refuseUnfit(workshop: Workshop, kit: string, rule: object): void {
  const text = rule as RuleInFile;
  const others = inForce(workshop.shopRules(kit).rules, text.id).filter((one) => one.rule.id !== text.id);
  const texts = [
    ...others.map(({ rule: other, revision }) => ({ rule: other, revision: String(revision) })),
    { rule: text, revision: "draft" },
  ];
  const { leftOut } = fitRules(workshop.library.rulebookOf(kit), workshop.kit(kit), texts);
  const refused = leftOut.find((one) => one.rule === text);
  if (refused) throw placedIn("/rule", refused.problem);
}

/** The problem with its pointers from there on. */
function placedIn(start: string, { code, message, where, fix, others }: Problem): Problem {
  return new Problem(code, message, {
    where: { pointer: `${start}${where.file === undefined ? (where.pointer ?? "") : ""}` },
    fix,
    others: others.map((other) => placedIn(start, other)),
  });
}

function refuseUnchanged(known: ShopRule | null, rule: RuleInFile): void {
  const newest = known?.revisions.at(-1);
  if (!newest || newest.hash !== hashOfRule(rule)) return;
  throw new Problem("NOTHING_TO_RECORD", `Revision ${newest.revision} says the same already.`, {
    where: { pointer: "/rule" },
    fix: "Change the rule first.",
  });
}

function refuseReserved(known: ShopRule | null, { id }: RuleInFile): void {
  const reserved = known ? null : reservedId(id);
  if (reserved) throw placedIn("/rule", reserved);
}

/** A builder's key takes away what its holder wrote or proposed, and nobody else's. */
function refuseStranger(rule: ShopRule, { by: author }: Revision, { step, by, role }: Step): void {
  if (role !== "builder" || (step !== "retire" && step !== "withdraw")) return;
  const proposer = step === "withdraw" ? proposalIn(rule)?.by : undefined;
  if (isSameName(by, author) || (proposer !== undefined && isSameName(by, proposer))) return;
  const act = step === "retire" ? "retires it" : "takes its proposal back";
  throw new Problem("RULE_STEP_NOT_YOURS", `"${rule.id}" is ${author}'s: ${author} or a mentor ${act}.`, {
    fix: `Ask ${author} or a mentor to do it with their own key.`,
  });
}

/** What somebody else wrote is sent back, or goes out of force, with a word on why. */
function refuseWordless({ by: author }: Revision, { step, by, role, comments }: Step): void {
  const isOwed = step === "return" || (step === "retire" && role !== null && !isSameName(by, author));
  if (!isOwed || comments.some(({ text }) => text.trim() !== "")) return;
  const what =
    step === "return"
      ? "A rule is sent back with a word on what is wrong."
      : `A rule of ${author}'s is retired with a word on why.`;
  throw new Problem("RULE_STEP_WITHOUT_COMMENT", what, {
    where: { pointer: "/comments" },
    fix: "Add at least one comment.",
  });
}

function refuseStrayComments(comments: readonly RuleComment[], rule: RuleInFile): void {
  const stray = comments.findIndex(({ at }) => at !== null && valueAt(rule, at) === undefined);
  if (stray < 0) return;
  throw new Problem("COMMENT_NOWHERE", `The rule has nothing at ${comments[stray]?.at}.`, {
    where: { pointer: `/comments/${stray}/at` },
    fix: "Point at a place in the rule, or at nothing (null) for the rule as a whole.",
  });
}

/** What a JSON pointer leads to; undefined when it leads nowhere. @source RFC 6901, section 4 */
function valueAt(document: unknown, pointer: string): unknown {
  if (pointer === "") return document;
  if (!pointer.startsWith("/")) return undefined;
  return pointer
    .slice(1)
    .split("/")
    .map((step) => step.replaceAll("~1", "/").replaceAll("~0", "~"))
    .reduce<unknown>(
      (at, step) =>
        typeof at === "object" && at !== null && Object.hasOwn(at, step)
          ? (at as Readonly<Record<string, unknown>>)[step]
          : undefined,
      document,
    );
}
