import type { Offers } from "../server/ask/offers.js";
import type { Suggestion } from "../server/ask/suggest.js";
import type { Answer, Slots } from "../server/ask/types.js";
import type { Mark } from "../server/kit/work.js";
import type {
  Asked,
  AssemblyShown,
  ChangeShown,
  FormShown,
  KitSummary,
  Lived,
  MatchesShown,
  PlanShown,
  PreviewShown,
  Recorded,
  ReviewShown,
  RuleComment,
  RulesShown,
  RuleVocabulary,
  RulingShown,
  WaitingShown,
  WorkShown,
} from "./wire.js";

const PATIENCE_MS = 30_000;

/** What the server refused, as it said it (application/problem+json). */
export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    what: string,
    readonly where: string | null,
    readonly fix: string | null,
    /** Further problems of the same request, in words. */
    readonly others: readonly string[],
  ) {
    super(what);
    this.name = "Refusal";
  }
}

/** The server could not be reached or did not answer in time. */
export class Unreachable extends Error {
  override readonly name = "Unreachable";
}

/** Key that this device writes with, where writing needs one; held in memory alone. */
let writersKey: string | null = null;
/** When that key last counted, by `performance.now()`. */
let keyLookedAt = 0;
/** Requests that only read carry no key: beside them it is looked at no more often than this. */
const LOOK_AGAIN_MS = 10_000;

/** @param key  null = none; one that has just been found to count */
export function writeWith(key: string | null): void {
  writersKey = key;
  keyLookedAt = performance.now();
}

let keyIsGone: (why: Refusal) => void = () => undefined;

/** @param gone  called when the key that this device writes with counts no longer, as when it was revoked */
export function whenKeyIsGone(gone: (why: Refusal) => void): void {
  keyIsGone = gone;
}

/** Whether the key still counts; that it does not is told to whoever asked to be told. */
function lookAtKeyAgain(): void {
  if (writersKey === null || performance.now() - keyLookedAt < LOOK_AGAIN_MS) return;
  keyLookedAt = performance.now();
  void holderOf(writersKey).catch(() => undefined);
}

/** Refusals after which a key counts no longer, whatever is asked with it. */
const KEY_GONE: ReadonlySet<string> = new Set(["DOOR_KEY_REVOKED", "DOOR_KEY_REFUSED"]);

/** @param shown  the header with which the refused request was sent */
function noteRefusal(refused: Refusal, shown: string | undefined): void {
  if (refused.code === "DOOR_KEY_NEEDED") keyIsWanted();
  if (!KEY_GONE.has(refused.code) || shown === undefined) return;
  if (shown !== bearing(writersKey).authorization) return;
  writersKey = null;
  keyIsGone(refused);
}

let keyIsWanted: () => void = () => undefined;

/** @param wanted  called when something is refused because nobody has signed in */
export function whenKeyIsWanted(wanted: () => void): void {
  keyIsWanted = wanted;
}

/** Whose a key is. */
export interface Holder {
  readonly name: string;
  readonly role: "mentor" | "builder";
}

interface DoorShown {
  readonly keyNeeded: boolean;
  readonly holder: Holder | null;
}

/** Who signs what is written: whoever's key it is, else the name that was given. */
function signedBy(by: string | null, key: string | null): { readonly by?: string } {
  return by === null || key !== null ? {} : { by };
}

/** Whether every write needs a key here. */
export async function isKeyNeeded(): Promise<boolean> {
  return (await call<DoorShown>("/api/door")).keyNeeded;
}

/** Whose this key is. @throws Refusal when it is nobody's here */
export async function holderOf(key: string): Promise<Holder | null> {
  return (await call<DoorShown>("/api/door", { headers: bearing(key) })).holder;
}

export async function fetchKits(): Promise<readonly KitSummary[]> {
  const { kits } = await call<{ kits: readonly KitSummary[] }>("/api/kits");
  return kits;
}

export function fetchAssembly(kit: string, assembly: string): Promise<AssemblyShown> {
  return call(at(kit, assembly));
}

export async function fetchRulings(kit: string, assembly: string): Promise<readonly RulingShown[]> {
  const { rulings } = await call<{ rulings: readonly RulingShown[] }>(`${at(kit, assembly)}/rulings`);
  return rulings;
}

export function fetchWork(kit: string, assembly: string): Promise<WorkShown> {
  return call(`${at(kit, assembly)}/marks`);
}

/** Where the assembly's build record is shown. */
export function recordAddress(kit: string, assembly: string): string {
  return `${at(kit, assembly)}/record.html`;
}

/** @param trying  a shop rule that is to count as if it were in force; null = as things stand */
export function postQuestion(
  kit: string,
  assembly: string,
  asked: Asked,
  trying: string | null,
): Promise<Answer> {
  return call("/api/ask", { body: { kit, assembly, ...asked, ...(trying !== null && { trying }) } });
}

export async function fetchForms(): Promise<readonly FormShown[]> {
  const { forms } = await call<{ forms: readonly FormShown[] }>("/api/questions");
  return forms;
}

/** What makes sense for each slot of a question as far as it is chosen. */
export function fetchOffers(kit: string, assembly: string, form: string, slots: Slots): Promise<Offers> {
  return call("/api/offers", { body: { kit, assembly, form, slots } });
}

/** Questions that make sense now, about what the slots point at, or to begin with. */
export async function fetchSuggestions(
  kit: string,
  assembly: string,
  about: Slots,
): Promise<readonly Suggestion[]> {
  const { readings } = await call<{ readings: readonly Suggestion[] }>("/api/suggestions", {
    body: { kit, assembly, about },
  });
  return readings;
}

export function fetchPlan(kit: string, assembly: string): Promise<PlanShown> {
  return call(`${at(kit, assembly)}/plan`);
}

/** Where the plan's picture and the sheets for print are. */
export function paperPath(
  kit: string,
  assembly: string,
  paper: { readonly step: string } | "plan.svg" | "plan.html" | "sheet.html",
): string {
  const end = typeof paper === "string" ? paper : `steps/${encodeURIComponent(paper.step)}/sheet.html`;
  return `${at(kit, assembly)}/${end}`;
}

/**
 * Records marks made together.
 * @param key      one per act; sending the same act again under it records nothing twice
 * @param version  of the shop book that the marks were made on
 * @param by       who made them; null = nobody said
 */
export function postMarks(
  kit: string,
  assembly: string,
  marks: readonly Mark[],
  { key, version, by }: { readonly key: string; readonly version: number; readonly by: string | null },
): Promise<Recorded> {
  return call("/api/marks", {
    body: { kit, assembly, marks, ...signedBy(by, writersKey) },
    headers: { "idempotency-key": key, "if-match": `"${version}"` },
  });
}

/**
 * Writes a remark into the shop book.
 * @param about  a hole or a part; with neither it is on the assembly
 * @param key    one per remark; sending it again under it writes nothing twice
 */
export function postNote(
  kit: string,
  assembly: string,
  about: { readonly hole?: string; readonly part?: string },
  text: string,
  { key, by }: { readonly key: string; readonly by: string | null },
): Promise<{ readonly version: number }> {
  return call("/api/book/notes", {
    body: { kit, assembly, ...about, text, ...signedBy(by, writersKey) },
    headers: { "idempotency-key": key, "if-match": "*" },
  });
}

/** The shop's own rules for a kit. */
export function fetchRules(kit: string): Promise<RulesShown> {
  return call(`/api/rules?kit=${encodeURIComponent(kit)}`);
}

export function fetchVocabulary(kit: string, assembly: string): Promise<RuleVocabulary> {
  return call(
    `/api/rules/vocabulary?kit=${encodeURIComponent(kit)}&assembly=${encodeURIComponent(assembly)}`,
  );
}

/** Where conditions hold, as far as they are written. */
export function fetchMatches(kit: string, assembly: string, conditions: object): Promise<MatchesShown> {
  return call("/api/rules/matches", { body: { kit, assembly, conditions } });
}

/** @param plan  whether plan and closings are worked out too, which takes longer */
export function fetchPreview(
  kit: string,
  assembly: string,
  rule: object,
  plan: boolean,
): Promise<PreviewShown> {
  return call("/api/rules/preview", { body: { kit, assembly, rule, plan } });
}

export async function fetchDiff(
  kit: string,
  rule: string,
  from: number,
  to: number,
): Promise<readonly ChangeShown[]> {
  const query = new URLSearchParams({ kit, from: String(from), to: String(to) });
  const { changes } = await call<{ changes: readonly ChangeShown[] }>(
    `/api/rules/${encodeURIComponent(rule)}/diff?${query}`,
  );
  return changes;
}

/** How an act on a rule is sent. */
export interface RuleAct {
  /** One per act; the same again under it happens once. */
  readonly key: string;
  /** Version of the shop book that it is based on. */
  readonly version: number;
  /** Who does it; null = nobody said. Whoever's key it is signs instead. */
  readonly by: string | null;
  /** A mentor's key, for what needs one; null = without. */
  readonly mentorKey: string | null;
}

/** Keeps a rule as its next revision, a draft. */
export function postRevision(kit: string, rule: object, act: RuleAct): Promise<Lived> {
  return call("/api/rules", {
    body: { kit, rule, ...signedBy(act.by, act.mentorKey ?? writersKey) },
    headers: headersOf(act),
  });
}

/** Takes a step in a rule's life. */
export function postStep(
  kit: string,
  rule: string,
  step: string,
  what: {
    readonly revision: number;
    readonly hash: string;
    readonly comments?: readonly RuleComment[];
    readonly reference?: string;
  },
  act: RuleAct,
): Promise<Lived> {
  return call(`/api/rules/${encodeURIComponent(rule)}/${step}`, {
    body: { kit, ...what, ...signedBy(act.by, act.mentorKey ?? writersKey) },
    headers: headersOf(act),
  });
}

function headersOf({ key, version, mentorKey }: RuleAct): Readonly<Record<string, string>> {
  return {
    "idempotency-key": key,
    "if-match": `"${version}"`,
    ...bearing(mentorKey),
  };
}

function bearing(key: string | null): Readonly<Record<string, string>> {
  return key === null ? {} : { authorization: `Bearer ${key}` };
}

/** Proposals that wait for a mentor, the longest waiting first. */
export async function fetchQueue(kit: string): Promise<readonly WaitingShown[]> {
  const { reviews } = await call<{ reviews: readonly WaitingShown[] }>(
    `/api/reviews?kit=${encodeURIComponent(kit)}`,
  );
  return reviews;
}

export function fetchReview(kit: string, rule: string): Promise<ReviewShown> {
  return call(reviewPath(kit, rule, ""));
}

/** Where a proposal is, and its sheet for paper, its file and its page for a mentor far away. */
export function reviewPath(kit: string, rule: string, paper: "" | "sheet" | "file" | "page"): string {
  const end = paper === "" ? "" : `/${paper}`;
  return `/api/reviews/${encodeURIComponent(rule)}${end}?kit=${encodeURIComponent(kit)}`;
}

/** Hands in the answer of a mentor far away. @param answer  the file's JSON */
export function postAnswer(answer: object): Promise<Lived> {
  return call("/api/reviews/answer", { body: answer });
}

/** Calls back with the shop book's version, at once and whenever it moves on; the browser reconnects by itself. */
export function followShopBook(moved: (version: number) => void): void {
  new EventSource("/api/marks/events").addEventListener("version", (event: MessageEvent<string>) => {
    const { version } = JSON.parse(event.data) as { readonly version: number };
    moved(version);
  });
}

/** A key that no other act has. (Pages served over plain HTTP in the shop have no `randomUUID`.) */
export function newKey(): string {
  return [...crypto.getRandomValues(new Uint8Array(16))]
    .map((byte) => byte.toString(16).padStart(2, "0"))
    .join("");
}

function at(kit: string, assembly: string): string {
  return `/api/kits/${encodeURIComponent(kit)}/assemblies/${encodeURIComponent(assembly)}`;
}

/** Posts when there is a body, else gets. */
async function call<T>(
  path: string,
  { body, headers }: { readonly body?: unknown; readonly headers?: Readonly<Record<string, string>> } = {},
): Promise<T> {
  lookAtKeyAgain();
  const shown: Readonly<Record<string, string>> = {
    ...(body === undefined ? {} : { "content-type": "application/json", ...bearing(writersKey) }),
    ...headers,
  };
  const response = await reach(path, {
    signal: AbortSignal.timeout(PATIENCE_MS),
    cache: "no-store",
    headers: shown,
    ...(body === undefined ? {} : { method: "POST", body: JSON.stringify(body) }),
  });
  const reply: unknown = await response.json().catch(() => null);
  if (!response.ok) {
    const refused = refusal(response.status, reply);
    noteRefusal(refused, shown.authorization);
    throw refused;
  }
  if (reply === null) throw new Unreachable("The server's reply could not be read.");
  return reply as T;
}

async function reach(path: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(path, init);
  } catch {
    throw new Unreachable("The server cannot be reached.");
  }
}

type Fields = Readonly<Record<string, unknown>>;

function refusal(status: number, body: unknown): Refusal {
  const said = fieldsOf(body);
  return new Refusal(
    status,
    textOf(said, "code") ?? `HTTP ${status}`,
    textOf(said, "detail") ?? textOf(said, "title") ?? "The server refused this.",
    sayPlace(fieldsOf(said.where)),
    textOf(said, "fix"),
    Array.isArray(said.errors) ? said.errors.map((other) => textOf(fieldsOf(other), "detail") ?? "") : [],
  );
}

function sayPlace(where: Fields): string | null {
  const pointer = textOf(where, "pointer");
  const place = `${textOf(where, "file") ?? ""}${pointer ? `#${pointer}` : ""}`;
  return place || textOf(where, "request");
}

function fieldsOf(value: unknown): Fields {
  return typeof value === "object" && value !== null ? (value as Fields) : {};
}

function textOf(fields: Fields, name: string): string | null {
  const value = fields[name];
  return typeof value === "string" ? value : null;
}
