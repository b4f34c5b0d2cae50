import type { Job } from "./ask/types.js";
import { factsOf } from "./facts/derive.js";
import type { Assembly, Kit } from "./kit/types.js";
import { NO_WORK, type Work, withMarks } from "./kit/work.js";
import type { Library } from "./library.js";
import { Problem } from "./problem.js";
import { reachOf } from "./reach/reach.js";
import type { Reach } from "./reach/types.js";
import { ruleOn } from "./ruling/rule.js";
import type { Entry, ShopBook } from "./store/contract.js";

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
  /** What an answer may draw on, as things stand now. */
  job(kit: string, assembly: string): Promise<Job>;
  /** The same, as things stood when the book was at that version. */
  jobAt(kit: string, assembly: string, version: number): Promise<Job>;
}

/** What is kept per assembly. */
interface Bench {
  readonly kit: Kit;
  readonly assembly: Assembly;
  /** Version of the book up to which `work` was read. */
  seen: number;
  work: Work;
  /** Computed with the first job: it depends on the drawing alone. */
  reach: Reach | null;
  /** The latest job, good for as long as `work` is the same object. */
  made: { readonly work: Work; readonly job: Promise<Omit<Job, "version">> } | null;
}

export function openWorkshop(library: Library, book: ShopBook): Workshop {
  const benches = new Map<string, Bench>();

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

  /** The bench, brought up to the book's latest entry. */
  const benchAt = (kitId: string, id: string): Bench => {
    const key = keyOf(kitId, id);
    let bench = benches.get(key);
    if (!bench) {
      const found = { kit: kit(kitId), assembly: assembly(kitId, id) };
      bench = { ...found, seen: 0, work: NO_WORK, reach: null, made: null };
      benches.set(key, bench);
    }
    const entries = book.since(bench.seen);
    bench.work = workAfter(bench.work, entries, kitId, id);
    bench.seen = entries.at(-1)?.seq ?? bench.seen;
    return bench;
  };

  const entriesUpTo = (version: number): readonly Entry[] =>
    book.since(0).filter(({ seq }) => seq <= version);

  /** Made once per state of the work: as long as `work` is the same object, so is the job. */
  const jobOn = (bench: Bench, work: Work): Promise<Omit<Job, "version">> => {
    if (bench.made?.work === work) return bench.made.job;
    bench.reach ??= reachOf(bench.kit, bench.assembly);
    const job = makeJob(library, bench.kit, bench.assembly, bench.reach, work);
    if (work === bench.work) bench.made = { work, job };
    job.catch(() => {
      if (bench.made?.job === job) bench.made = null;
    });
    return job;
  };

  return {
    library,
    book,
    kit,
    assembly,
    work(kitId, id) {
      const { seen, work } = benchAt(kitId, id);
      return { version: seen, work };
    },
    async job(kitId, id) {
      const bench = benchAt(kitId, id);
      // Taken before the wait: the job must carry the version of the work that it was made from.
      const { seen: version, work } = bench;
      return { ...(await jobOn(bench, work)), version };
    },
    async jobAt(kitId, id, version) {
      const bench = benches.get(keyOf(kitId, id)) ?? benchAt(kitId, id);
      const work = bench.seen === version ? bench.work : workAfter(NO_WORK, entriesUpTo(version), kitId, id);
      return { ...(await jobOn(bench, work)), version };
    },
  };
}

function keyOf(kit: string, assembly: string): string {
  return JSON.stringify([kit, assembly]);
}

/** The work after those of the entries that are about this assembly; the same object when none is. */
function workAfter(work: Work, entries: readonly Entry[], kit: string, assembly: string): Work {
  const marks = entries
    .filter((entry) => entry.kind === "marks" && entry.kit === kit && entry.assembly === assembly)
    .flatMap((entry) => entry.body.marks);
  return marks.length > 0 ? withMarks(work, marks) : work;
}

async function makeJob(
  library: Library,
  kit: Kit,
  assembly: Assembly,
  reach: Reach,
  work: Work,
): Promise<Omit<Job, "version">> {
  const rulebook = library.rulebookOf(kit.id);
  const facts = factsOf(assembly, work);
  const rulings = await ruleOn(
    rulebook,
    assembly.holes.map(({ id }) => id),
    facts,
  );
  return { kit, assembly, work, facts, rulebook, rulings, reach, notes: library.notes };
}

function unknown(code: string, what: string, kind: string, ids: readonly string[]): Problem {
  return new Problem(code, what, { fix: `The ${kind} are: ${ids.join(", ") || "none"}.` });
}
