import type { Job } from "./ask/types.js";
import { factsOf } from "./facts/derive.js";
import type { Assembly, Kit } from "./kit/types.js";
import type { Work } from "./kit/work.js";
import { type Ledger, LedgerKeeper } from "./ledger.js";
import type { Library } from "./library.js";
import { Problem } from "./problem.js";
import { reachOf } from "./reach/reach.js";
import type { Reach } from "./reach/types.js";
import { ruleOn } from "./ruling/rule.js";
import type { Rulebook } from "./ruling/rulebook.js";
import type { RuleInFile } from "./ruling/schema.js";
import { type Fitted, fitRules, SHOP_BOOK_FILE, type ShopRuleText } from "./shop/book-rules.js";
import { type Accepted, inForce, type ShopRules } from "./shop/life.js";
import type { ShopBook } from "./store/contract.js";

/** Where the work on one assembly stands at a version of the shop book. */
export interface WorkAt {
  readonly version: number;
  readonly work: Work;
}

/** The library and the shop book together: everything an answer draws on, kept ready. */
export interface Workshop {
  readonly library: Library;
  readonly book: ShopBook;
  /** @throws UNKNOWN_KIT */
  kit(id: string): Kit;
  /** @throws UNKNOWN_KIT, UNKNOWN_ASSEMBLY */
  assembly(kit: string, id: string): Assembly;
  /** Where the work stands now. */
  work(kit: string, assembly: string): WorkAt;
  /** A kit's shop rules, all of them, by id, with the version that they stand at. @throws UNKNOWN_KIT */
  shopRules(kit: string): { readonly version: number; readonly rules: ShopRules };
  /** The rules in force now: the library's and the shop's. @throws UNKNOWN_KIT */
  rulebook(kit: string): Rulebook;
  /** Shop rules in force that cannot be used, as SHOP_RULE_LEFT_OUT. @throws UNKNOWN_KIT */
  shopProblems(kit: string): readonly Problem[];
  /** What an answer may draw on, as things stand now. */
  job(kit: string, assembly: string): Promise<Job>;
  /** The same, as things stood when the book was at that version. */
  jobAt(kit: string, assembly: string, version: number): Promise<Job>;
  /**
   * The same as things stand now, as if that rule were in force, in place of any shop rule of its id.
   * @throws what is wrong with the rule; pointers lead into it
   */
  trying(kit: string, assembly: string, rule: RuleInFile): Promise<Job>;
}

type Made = Omit<Job, "version" | "broken">;

/** What is kept per assembly. */
interface Bench {
  readonly kit: Kit;
  readonly assembly: Assembly;
  /** Computed with the first job: it depends on the drawing alone. */
  reach: Reach | null;
  /** The latest job, good for as long as work and rules are the same objects. */
  made: { readonly work: Work; readonly fitted: Fitted; readonly job: Promise<Made> } | null;
}

export function openWorkshop(library: Library, book: ShopBook): Workshop {
  const ledgers = new LedgerKeeper(book);
  const benches = new Map<string, Bench>();
  const shelves = new Map<string, { readonly rules: ShopRules; readonly fitted: Fitted }>();
  const broken = book.trouble?.code === "SHOPBOOK_BROKEN" ? book.trouble.message : null;

  const kit = (id: string): Kit => {
    const found = library.kits.get(id);
    if (found) return found;
    throw unknown("UNKNOWN_KIT", `There is no kit "${id}".`, "kits", [...library.kits.keys()]);
  };

  const assembly = (kitId: string, id: string): Assembly => {
    const { name, assemblies } = kit(kitId);
    const found = assemblies.find((one) => one.id === id);
    if (found) return found;
    const ids = assemblies.map((one) => one.id);
    throw unknown("UNKNOWN_ASSEMBLY", `${name} has no assembly "${id}".`, "assemblies", ids);
  };

  const benchOf = (kitId: string, id: string): Bench => {
    const key = JSON.stringify([kitId, id]);
    const bench = benches.get(key) ?? {
      kit: kit(kitId),
      assembly: assembly(kitId, id),
      reach: null,
      made: null,
    };
    benches.set(key, bench);
    return bench;
  };

  /** The rules in force, made once per state of the shop rules; those of the present state are kept. */
  const fittedFor = (of: Kit, rules: ShopRules): Fitted => {
    const shelf = shelves.get(of.id);
    if (shelf?.rules === rules) return shelf.fitted;
    const before = shelf && inForce(shelf.rules);
    const now = inForce(rules);
    const isSame =
      before?.length === now.length &&
      now.every(({ hash, agreement }, i) => hash === before[i]?.hash && agreement === before[i]?.agreement);
    const fitted = shelf && isSame ? shelf.fitted : fitRules(library.rulebookOf(of.id), of, now.map(textOf));
    if (rules === ledgers.now().rules(of.id)) shelves.set(of.id, { rules, fitted });
    return fitted;
  };

  /** Made once per state of work and rules. */
  const jobOn = (bench: Bench, ledger: Ledger): Promise<Made> => {
    const { kit: ofKit, assembly: on } = bench;
    const work = ledger.work(ofKit.id, on.id);
    const fitted = fittedFor(ofKit, ledger.rules(ofKit.id));
    if (bench.made?.work === work && bench.made.fitted === fitted) return bench.made.job;
    bench.reach ??= reachOf(ofKit, on);
    const job = makeJob(library, bench.kit, on, bench.reach, work, fitted);
    if (ledger === ledgers.now()) bench.made = { work, fitted, job };
    job.catch(() => {
      if (bench.made?.job === job) bench.made = null;
    });
    return job;
  };

  const dated = (made: Made, version: number): Job => ({ ...made, version, ...(broken && { broken }) });

  return {
    library,
    book,
    kit,
    assembly,
    work(kitId, id) {
      assembly(kitId, id);
      const ledger = ledgers.now();
      return { version: ledger.version, work: ledger.work(kitId, id) };
    },
    shopRules(kitId) {
      const ledger = ledgers.now();
      return { version: ledger.version, rules: ledger.rules(kit(kitId).id) };
    },
    rulebook(kitId) {
      return fittedFor(kit(kitId), ledgers.now().rules(kitId)).rulebook;
    },
    shopProblems(kitId) {
      const { leftOut } = fittedFor(kit(kitId), ledgers.now().rules(kitId));
      return leftOut.map(({ rule, problem }) => {
        const what = `Shop rule "${rule.id}" is in force but cannot be used: ${problem.message}`;
        const others = [problem, ...problem.others];
        return new Problem("SHOP_RULE_LEFT_OUT", what, {
          where: { file: SHOP_BOOK_FILE },
          fix: problem.fix,
          others,
        });
      });
    },
    async job(kitId, id) {
      const bench = benchOf(kitId, id);
      // Taken before the wait: the job must carry the version of the work that it was made from.
      const ledger = ledgers.now();
      return dated(await jobOn(bench, ledger), ledger.version);
    },
    async jobAt(kitId, id, version) {
      return dated(await jobOn(benchOf(kitId, id), ledgers.at(version)), version);
    },
    async trying(kitId, id, rule) {
      const bench = benchOf(kitId, id);
      const ledger = ledgers.now();
      const others = inForce(ledger.rules(kitId), rule.id).filter((one) => one.rule.id !== rule.id);
      const texts = [...others.map(textOf), { rule, revision: "tried" }];
      const { rulebook, leftOut } = fitRules(library.rulebookOf(kitId), bench.kit, texts);
      const refused = leftOut.find((one) => one.rule === rule);
      if (refused) throw refused.problem;
      const now = await jobOn(bench, ledger);
      const rulings = await ruleOn(rulebook, now.rulings.ids, now.facts, now.rulings);
      const tried = { rule: rule.id, title: rule.title };
      return dated({ ...now, rulebook, rulings, tried, ...withLeftOut(leftOut) }, ledger.version);
    },
  };
}

function textOf({ rule, revision, agreement }: Accepted): ShopRuleText {
  return { rule, revision: String(revision), agreement };
}

async function makeJob(
  library: Library,
  kit: Kit,
  assembly: Assembly,
  reach: Reach,
  work: Work,
  { rulebook, leftOut }: Fitted,
): Promise<Made> {
  const facts = factsOf(assembly, work);
  const rulings = await ruleOn(
    rulebook,
    assembly.holes.map(({ id }) => id),
    facts,
  );
  const { notes } = library;
  return { kit, assembly, work, facts, rulebook, rulings, reach, notes, ...withLeftOut(leftOut) };
}

function withLeftOut(leftOut: Fitted["leftOut"]): Pick<Job, "leftOut"> {
  if (leftOut.length === 0) return { leftOut: undefined };
  return {
    leftOut: leftOut.map(({ rule, problem }) => ({
      rule: rule.id,
      title: rule.title,
      what: problem.message,
    })),
  };
}

function unknown(code: string, what: string, kind: string, ids: readonly string[]): Problem {
  return new Problem(code, what, { fix: `The ${kind} are: ${ids.join(", ") || "none"}.` });
}
