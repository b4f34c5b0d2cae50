import { finder } from "../../kit/find.js";
import { neighboursOf } from "../../kit/neighbours.js";
import type { Assembly, Kit } from "../../kit/types.js";
import { counted, firstFew, listed, ranges, the } from "./grammar.js";

/** What naming things needs of a job. */
export interface Named {
  readonly kit: Kit;
  readonly assembly: Assembly;
}

/** Holes of one row, as a person finds them. */
export interface Spot {
  readonly row: string;
  readonly holes: readonly string[];
  /** "rib 4, top flange row, holes 2–6 from the front". */
  readonly where: string;
}

/** Names of a kit's things for the page. An id that is not there comes back as itself. */
export interface Names {
  part(id: string): string;
  /** With its article: "the servo mount", "rib 4". */
  thePart(id: string): string;
  parts(ids: readonly string[], joint?: "and" | "or"): string;
  /** "rib 4, top flange row". */
  row(id: string): string;
  /** The same in running text: "the top flange row of rib 4". */
  theRow(id: string): string;
  /** "rib 4, top flange row, hole 2 from the front". */
  hole(id: string): string;
  /** Holes by row, in the assembly's order. */
  spots(holes: readonly string[]): readonly Spot[];
  /** All of them in one line; the first few rows named and the rest counted. */
  where(holes: readonly string[], few?: number): string;
  /** As they are asked about: a part or a family by its name where they are exactly the holes through it. */
  scope(holes: readonly string[]): string;
  /** In a few words: the holes of one row by name, more than that by their number. */
  briefly(holes: readonly string[]): string;
  /** All of them in one line, every row named: for a line of a table. */
  everywhere(holes: readonly string[]): string;
  family(id: string): string;
  /** "step 6-4 (Trim-servo mount)"; of a step for which the manual names no rows, that too. */
  step(id: string): string;
  /** As in "until …". */
  milestone(id: string): string;
  gate(id: string): string;
  rivet(code: string): string;
  neighbour(id: string): string;
  approach(id: string): string;
  notice(id: string): string;
  view(id: string): string;
}

const known = new WeakMap<Assembly, Names>();

/** The assembly's names, made once. */
export function namesOf({ kit, assembly }: Named): Names {
  const made = known.get(assembly) ?? makeNames(kit, assembly);
  known.set(assembly, made);
  return made;
}

function makeNames(kit: Kit, assembly: Assembly): Names {
  const find = finder(assembly);
  const table = (list: readonly { readonly id: string; readonly name: string }[]) => {
    const byId = new Map(list.map(({ id, name }) => [id, name]));
    return (id: string) => byId.get(id) ?? id;
  };
  const part = table(assembly.parts);
  const neighbours = new Map(neighboursOf(assembly).map(({ id, name }) => [id, name]));

  const row = (id: string): string => {
    if (!find.hasRow(id)) return id;
    const { part: owner, name } = find.row(id);
    return `${part(owner)}, ${/\b(row|column|line|ring|circle|holes?)\b/i.test(name) ? name : `${name} row`}`;
  };

  const theRow = (id: string): string => {
    if (!find.hasRow(id)) return id;
    const name = row(id).slice(part(find.row(id).part).length + 2);
    return `${the(name)} of ${the(part(find.row(id).part))}`;
  };

  const spot = (rowId: string, holes: readonly string[]): Spot => {
    const { holes: all, numbered } = find.row(rowId);
    const numbers = holes.map((hole) => find.hole(hole).number);
    const counting = /^from\b/i.test(numbered) ? ` ${numbered}` : `, numbered ${numbered}`;
    const which =
      holes.length === all.length && all.length > 2
        ? `all ${all.length} holes`
        : `${numbers.length === 1 ? "hole" : "holes"} ${ranges(numbers)}${counting}`;
    return { row: rowId, holes, where: `${row(rowId)}, ${which}` };
  };

  const spots = (ids: readonly string[]): Spot[] => {
    const holes = [...new Set(ids)].filter((id) => find.hasHole(id)).map((id) => find.hole(id));
    const byRow = new Map<string, string[]>();
    for (const { id, rowId } of holes.sort((a, b) => a.index - b.index)) {
      const list = byRow.get(rowId);
      if (list) list.push(id);
      else byRow.set(rowId, [id]);
    }
    return [...byRow].map(([rowId, list]) => spot(rowId, list));
  };

  /** The same holes of the same row in parts that differ by their number alone: "ribs 1–7, forward attach row, all 3 holes each". */
  const merged = (list: readonly Spot[]): string[] => {
    const alike = new Map<string, { spot: Spot; stem: string; numbers: number[] }>();
    for (const one of list) {
      const found = /^(.*\D) ?(\d+)$/.exec(part(find.row(one.row).part));
      const stem = found?.[1]?.trim() ?? "";
      const rest = one.where.slice(part(find.row(one.row).part).length);
      const key = found ? `${stem}|${rest}` : one.where;
      const known = alike.get(key);
      if (known) known.numbers.push(Number(found?.[2]));
      else alike.set(key, { spot: one, stem, numbers: found ? [Number(found[2])] : [] });
    }
    return [...alike.values()].map(({ spot: first, stem, numbers }) => {
      if (numbers.length < 2) return first.where;
      const rest = first.where.slice(part(find.row(first.row).part).length);
      return `${stem}s ${ranges(numbers)}${rest}${first.holes.length > 1 ? " each" : ""}`;
    });
  };

  const where = (holes: readonly string[], few = 3): string =>
    firstFew(merged(spots(holes)), few, (rest) => `and ${counted(rest, "more row")}`);

  const families = table(assembly.families);

  /** A part or a family with exactly these holes; null where there is none, or they are of one row. */
  const wholeOf = (ids: readonly string[]): string | null => {
    const wanted = new Set(ids);
    if (new Set(ids.map((id) => find.hole(id).rowId)).size < 2) return null;
    const isExactly = (members: readonly string[]): boolean => {
      const own = new Set(members.flatMap((member) => find.holesThrough(member).map(({ id }) => id)));
      return own.size === wanted.size && [...own].every((id) => wanted.has(id));
    };
    const one = assembly.parts.find(({ id }) => isExactly([id]));
    if (one) return the(one.name);
    const many = assembly.families.find(({ members }) => isExactly(members));
    return many ? the(many.name) : null;
  };
  const milestones = table(assembly.milestones);
  const gates = table(kit.prepGates);
  const approaches = table(kit.approaches);
  const views = table(assembly.views);
  const rivets = new Map(kit.rivets.map((rivet) => [rivet.code, rivet]));
  const notices = new Map(kit.notices.map((notice) => [notice.id, notice]));
  return {
    part,
    thePart: (id) => the(part(id)),
    parts: (ids, joint = "and") =>
      listed(
        ids.map((id) => the(part(id))),
        joint,
      ),
    row,
    theRow,
    hole: (id) => (find.hasHole(id) ? (spots([id])[0]?.where ?? id) : id),
    spots,
    where,
    scope: (holes) => (holes.every((id) => find.hasHole(id)) ? wholeOf(holes) : null) ?? where(holes, 2),
    briefly: (holes) => {
      const rows = spots(holes);
      const count = rows.reduce((sum, one) => sum + one.holes.length, 0);
      return rows.length === 1
        ? (rows[0]?.where ?? "")
        : `${counted(count, "hole")} in ${counted(rows.length, "row")}`;
    },
    everywhere: (holes) => where(holes, Number.POSITIVE_INFINITY),
    family: families,
    step: (id) => {
      if (!find.hasStep(id)) return `step ${id}`;
      const { title, rows, parts } = find.step(id);
      const instead =
        rows.length > 0 ? "" : parts.length > 0 ? ", all holes of its parts" : ", no holes named";
      return `step ${id} (${title}${instead})`;
    },
    milestone: milestones,
    gate: gates,
    rivet: (code) => {
      const rivet = rivets.get(code);
      return rivet ? `${code} (${rivet.name})` : code;
    },
    neighbour: (id) => neighbours.get(id) ?? id,
    approach: approaches,
    notice: (id) => {
      const notice = notices.get(id);
      return notice ? `notice ${id}, ${notice.title}` : `notice ${id}`;
    },
    view: views,
  };
}
