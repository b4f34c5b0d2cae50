import type { ReworkPuzzle, ReworkRivet, ReworkSolution, SetRivet } from "./rework-types.js";

/** A puzzle as the text of an answer-set program, with the way back from its answers. */
export interface ReworkProgram {
  readonly text: string;
  /** Rivets to drill for the parts that an answer opens. */
  drillFor(open: NonNullable<ReworkSolution["open"]>): ReadonlySet<string>;
}

/**
 * The rules of the program. What is gone, opened, off and clear is defined by induction, each through others of
 * its kind, and a stable model holds an atom only if a chain of rules derives it from the facts (the models are
 * founded). So "gone" holds exactly for what can be drilled in some order, and "off" for what comes off in some
 * order, without levels or times: both are the least sets closed under monotone rules, given what is opened.
 * Opening is chosen per part: drilling a rivet no part of which opens would free nothing.
 * @source Gelfond and Lifschitz, "The stable model semantics for logic programming" (1988); the input language of
 *         the Potassco guide (from memory)
 */
const RULES = `
{ open(P) } :- openable(P).
drill(G) :- set(G,_), thr(G,P), open(P).
:- openable(P), not open(P), drill(G) : thr(G,P), set(G,_).
gone(G) :- drill(G), at_head(G).
at_head(G) :- way(G,I), opened(P) : in_way(G,I,P).
opened(P) :- openable(P), gone(G) : thr(G,P), set(G,_).
:- drill(G), not gone(G).
again(G) :- missing(G).
again(G) :- drill(G).
off(G) :- again(G), reached(G), part_off(P) : before(G,P).
reached(G) :- approach(G,I), part_off(P) : blocks(G,I,P).
part_off(P) :- part(P), off(G) : thr(G,P); past(G) : after(G,P).
past(G) :- off(G).
past(G) :- set(G,_), not drill(G).
:- again(G), not off(G).
#minimize { W,G : drill(G), set(G,W); 1,none }.
#show open/1.
`;

/** Rivets that nothing of the question tells apart. */
interface Group {
  weight: number;
  readonly isSet: boolean;
  readonly through: readonly number[];
  readonly drillWays: readonly (readonly number[])[];
  readonly approaches: readonly (readonly number[])[];
  readonly before: readonly number[];
  readonly after: readonly number[];
}

/**
 * The program of a puzzle. Equal puzzles give equal texts, however their lists are shuffled and whatever their
 * rivets are called.
 * @param drill  the largest choice that works (`mostDrilled`): what is not in it stays, and so do its parts
 */
export function programOf(puzzle: ReworkPuzzle, drill: ReadonlySet<string>): ReworkProgram {
  const candidates = puzzle.set.filter(({ id }) => drill.has(id));
  const fixed = new Set(puzzle.set.filter(({ id }) => !drill.has(id)).flatMap(({ through }) => through));
  const concerned = [...candidates, ...puzzle.missing];
  const parts = mattering(puzzle, concerned)
    .filter((part) => !fixed.has(part))
    .sort();
  const numberOf = new Map(parts.map((part, i) => [part, i]));
  const closed = new Set(candidates.flatMap(({ through }) => through));
  const openable = parts.filter((part) => closed.has(part));
  const there = new Set(concerned.flatMap(({ through }) => through));

  const numbers = (list: readonly string[]): number[] =>
    [...new Set(list)].flatMap((part) => numberOf.get(part) ?? []).sort((a, b) => a - b);
  /** Ways that parts fixed in place don't block, without the parts that are never on; ways that need more than another are left out. */
  const waysOf = (ways: readonly (readonly string[])[]): number[][] =>
    fewest(
      ways
        .filter((way) => !way.some((part) => fixed.has(part)))
        .map((way) => numbers(way.filter((part) => there.has(part)))),
    );
  const rulesOf = byRivet(puzzle);
  const groups = new Map<string, Group>();
  const add = (rivet: ReworkRivet | SetRivet, isSet: boolean): void => {
    const rules = rulesOf.get(rivet.id) ?? [];
    const named = (relation: "before" | "after"): number[] =>
      numbers(rules.filter((rule) => rule.relation === relation).map(({ part }) => part));
    const group: Group = {
      weight: isSet && "weight" in rivet ? rivet.weight : 0,
      isSet,
      through: numbers(rivet.through),
      drillWays: isSet && "drillWays" in rivet ? drillable(waysOf(rivet.drillWays), closed, parts) : [],
      approaches: waysOf(rivet.approaches),
      before: named("before"),
      after: named("after"),
    };
    const key = JSON.stringify({ ...group, weight: 0 });
    const known = groups.get(key);
    if (known) known.weight += group.weight;
    else groups.set(key, group);
  };
  for (const rivet of candidates) add(rivet, true);
  for (const rivet of puzzle.missing) add(rivet, false);

  const facts = [
    ...parts.map((_, i) => `part(${i}).`),
    ...openable.map((part) => `openable(${numberOf.get(part)}).`),
    ...[...groups].sort(([a], [b]) => (a < b ? -1 : 1)).flatMap(([, group], i) => factsOf(group, i)),
  ];
  return {
    text: `${facts.join("\n")}\n${declared(RULES)}`,
    drillFor: (open) => {
      const opened = new Set(open.map((i) => parts[i]));
      return new Set(
        candidates.filter(({ through }) => through.some((part) => opened.has(part))).map(({ id }) => id),
      );
    },
  };
}

function factsOf(group: Group, i: number): string[] {
  return [
    group.isSet ? `set(${i},${group.weight}).` : `missing(${i}).`,
    ...group.through.map((part) => `thr(${i},${part}).`),
    ...ways("way", "in_way", i, group.drillWays),
    ...ways("approach", "blocks", i, group.approaches),
    ...group.before.map((part) => `before(${i},${part}).`),
    ...group.after.map((part) => `after(${i},${part}).`),
  ];
}

function ways(way: string, inWay: string, i: number, list: readonly (readonly number[])[]): string[] {
  return list.flatMap((parts, n) => [
    `${way}(${i},${n}).`,
    ...parts.map((part) => `${inWay}(${i},${n},${part}).`),
  ]);
}

/** Facts that a program may be without are declared, so that the solver doesn't warn of them. */
function declared(rules: string): string {
  const names = ["before/2", "after/2", "in_way/3", "blocks/3", "way/2", "approach/2", "set/2", "missing/1"];
  return `${["openable/1", "thr/2", ...names].map((name) => `#defined ${name}.`).join("\n")}\n${rules}`;
}

/** Parts that something waits for: they block a way or an approach, or a rule names them. */
function mattering({ rules }: ReworkPuzzle, rivets: readonly (ReworkRivet | SetRivet)[]): string[] {
  const there = new Set(rivets.flatMap(({ through }) => through));
  const named = rivets.flatMap((rivet) => [
    ...rivet.approaches.flat(),
    ...("drillWays" in rivet ? rivet.drillWays.flat() : []),
  ]);
  return [...new Set([...named, ...rules.map(({ part }) => part)])].filter((part) => there.has(part));
}

/** Only closed parts hinder a drill; those that only missing rivets go through are not on yet. */
function drillable(
  list: readonly (readonly number[])[],
  closed: ReadonlySet<string>,
  parts: readonly string[],
): number[][] {
  return fewest(list.map((way) => way.filter((part) => closed.has(parts[part] ?? ""))));
}

/** Without those that hold all of another. In a fixed order. */
function fewest(list: readonly (readonly number[])[]): number[][] {
  const distinct = [...new Map(list.map((way) => [way.join(" "), [...way]])).values()];
  return distinct
    .filter(
      (way) =>
        !distinct.some(
          (other) => other !== way && other.length < way.length && other.every((part) => way.includes(part)),
        ),
    )
    .sort((a, b) => a.length - b.length || (a.join(" ") < b.join(" ") ? -1 : 1));
}

function byRivet({ rules }: ReworkPuzzle): ReadonlyMap<string, ReworkPuzzle["rules"]> {
  const map = new Map<string, ReworkPuzzle["rules"]>();
  for (const rule of rules) map.set(rule.rivet, [...(map.get(rule.rivet) ?? []), rule]);
  return map;
}
