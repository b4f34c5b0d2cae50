/**
 * The rulings again, from the same JSON, by other means: conditions read anew here, which rule beats which
 * found by trying all values that matter, and the settling written as a logic program for an answer-set solver
 * (clingo). Nothing of `server/ruling` is used.
 */

export interface Rule {
  readonly id: string;
  readonly basis: { readonly rank: string; readonly dated?: string | null };
  readonly conditions: Condition;
  readonly event: { readonly type: string; readonly params: Readonly<Record<string, unknown>> };
  readonly overrides?: readonly { readonly rule: string }[];
  readonly departure?: { readonly from: readonly string[] } | null;
}
export type Condition =
  | { readonly all: readonly Condition[] }
  | { readonly any: readonly Condition[] }
  | { readonly not: Condition }
  | Leaf;
export interface Leaf {
  readonly fact: string;
  readonly operator: string;
  readonly value: unknown;
}
export type Facts = Readonly<Record<string, unknown>>;

/** What the oracle needs to know of a fact. `texts` null = any text. */
export interface Kind {
  readonly type: string;
  readonly unit?: string | null;
  readonly texts: readonly string[] | null;
  readonly ruled: boolean;
}
export type Kinds = ReadonlyMap<string, Kind>;

/** A rulebook and the holes to rule on. */
export interface Question {
  readonly rules: readonly Rule[];
  readonly kinds: Kinds;
  readonly holes: readonly Facts[];
}

/** Status and value of an attribute: "settled(dimple)", "undecided", "conflict" or "unclaimed". */
export type Outcome = string;

const NOT_SETTLED = Symbol("not settled");
const RANKS = ["notice", "manual", "shop", "handbook"];

function operands(leaf: Leaf): readonly string[] {
  const { value } = leaf;
  return typeof value === "object" && value !== null && !Array.isArray(value)
    ? [leaf.fact, (value as { fact: string }).fact]
    : [leaf.fact];
}

function leaves(condition: Condition): readonly Leaf[] {
  if ("all" in condition) return condition.all.flatMap(leaves);
  if ("any" in condition) return condition.any.flatMap(leaves);
  return "not" in condition ? leaves(condition.not) : [condition];
}

function compare(actual: unknown, operator: string, needed: unknown): boolean {
  const [x, y] = [actual as number, needed as number];
  const list = (value: unknown) => value as readonly unknown[];
  const table: Record<string, () => boolean> = {
    equal: () => x === y,
    notEqual: () => x !== y,
    lessThan: () => x < y,
    lessThanInclusive: () => x <= y,
    greaterThan: () => x > y,
    greaterThanInclusive: () => x >= y,
    in: () => list(needed).includes(actual),
    notIn: () => !list(needed).includes(actual),
    contains: () => list(actual).includes(needed),
    doesNotContain: () => !list(actual).includes(needed),
  };
  const found = table[operator];
  if (!found) throw new Error(`the oracle does not know ${operator}`);
  return found();
}

/** Two-valued truth at a point where every fact that is looked at has a value, or is not settled. */
function holds(condition: Condition, point: ReadonlyMap<string, unknown>): boolean {
  if ("all" in condition) return condition.all.every((part) => holds(part, point));
  if ("any" in condition) return condition.any.some((part) => holds(part, point));
  if ("not" in condition) return !holds(condition.not, point);
  const values = operands(condition).map((fact) => point.get(fact));
  if (values.includes(NOT_SETTLED)) return false;
  return compare(values[0], condition.operator, values.length > 1 ? values[1] : condition.value);
}

/** Values of a fact that between them show everything that some leaves can tell apart. */
function pointsOf(fact: string, kind: Kind, of: readonly Leaf[]): readonly unknown[] {
  const own = of.filter((leaf) => operands(leaf).includes(fact));
  const written = own.flatMap((leaf) => (operands(leaf).length > 1 ? [] : [leaf.value].flat()));
  const unsettled = kind.ruled ? [NOT_SETTLED] : [];
  if (kind.type === "flag") return [true, false, ...unsettled];
  if (kind.type === "list") {
    const elements = [...new Set(written as string[])].filter((one) => kind.texts?.includes(one) ?? true);
    return Array.from({ length: 2 ** elements.length }, (_, set) =>
      elements.filter((_, i) => (set >> i) & 1),
    );
  }
  const compared = own.some((leaf) => operands(leaf).length > 1);
  if (kind.type === "text") {
    // Texts compared with each other need values in common, and values apart.
    const listed = new Set(
      [...(compared ? of.flatMap((leaf) => [leaf.value].flat()) : written)].filter(
        (one) => typeof one === "string",
      ),
    );
    const fresh = (kind.texts ?? ["fresh 1", "fresh 2"])
      .filter((one) => !listed.has(one))
      .slice(0, compared ? 3 : 1);
    const all = [...listed, ...fresh].filter((one) => kind.texts?.includes(one as string) ?? true);
    return [...all, ...unsettled];
  }
  // Numbers compared with each other must be tried in both orders within every gap between limits.
  const limits = [
    ...new Set(
      (compared ? of.flatMap((leaf) => [leaf.value].flat()) : written).filter(
        (one) => typeof one === "number",
      ),
    ),
  ] as number[];
  const sorted = (limits.length > 0 ? limits : [0]).sort((a, b) => a - b);
  const inner = kind.unit === "count" ? [] : compared ? [1 / 3, 2 / 3] : [1 / 2];
  const points = new Set<number>();
  sorted.forEach((limit, i) => {
    const next = sorted[i + 1];
    points.add(limit);
    if (next !== undefined) for (const share of inner) points.add(limit + (next - limit) * share);
  });
  for (const step of [1, 2]) {
    points.add((sorted[0] ?? 0) - step);
    points.add((sorted.at(-1) ?? 0) + step);
  }
  if (kind.unit === "count") {
    const [low, high] = [Math.floor(Math.min(...points)), Math.ceil(Math.max(...points))];
    return Array.from({ length: high - low + 1 }, (_, i) => low + i);
  }
  return [...points, ...unsettled];
}

/** For two conditions, whether there is a point at which only the first, or only the second, holds. */
function alone(a: Condition, b: Condition, kinds: Kinds): { first: boolean; second: boolean } {
  const of = [...leaves(a), ...leaves(b)];
  const facts = [...new Set(of.flatMap(operands))];
  const points = facts.map((fact) => {
    const kind = kinds.get(fact);
    if (!kind) throw new Error(`the oracle does not know ${fact}`);
    return pointsOf(fact, kind, of);
  });
  const size = points.reduce((product, list) => product * list.length, 1);
  if (size > 2_000_000) throw new Error(`too many points to try: ${size}`);
  const found = { first: false, second: false };
  const point = new Map<string, unknown>();
  const visit = (i: number): void => {
    if (found.first && found.second) return;
    const fact = facts[i];
    if (fact === undefined) {
      const [inA, inB] = [holds(a, point), holds(b, point)];
      if (inA && !inB) found.first = true;
      if (inB && !inA) found.second = true;
      return;
    }
    for (const value of points[i] ?? []) {
      point.set(fact, value);
      visit(i + 1);
    }
  };
  visit(0);
  return found;
}

/** The pairs [stronger, weaker] among rules that claim different values of one attribute. */
export function superiorPairs({ rules, kinds }: Pick<Question, "rules" | "kinds">): ReadonlySet<string> {
  const pairs = new Set<string>();
  for (const [i, a] of rules.entries()) {
    for (const b of rules.slice(i + 1)) {
      const opposed = Object.entries(a.event.params).some(
        ([name, value]) => Object.hasOwn(b.event.params, name) && b.event.params[name] !== value,
      );
      if (!opposed) continue;
      const better = betterOf(a, b, kinds);
      if (better) pairs.add(`${better.id} ${(better === a ? b : a).id}`);
    }
  }
  return pairs;
}

function betterOf(a: Rule, b: Rule, kinds: Kinds): Rule | null {
  if (a.departure?.from.includes(b.id)) return a;
  if (b.departure?.from.includes(a.id)) return b;
  const [rankA, rankB] = [RANKS.indexOf(a.basis.rank), RANKS.indexOf(b.basis.rank)];
  if (rankA !== rankB) return rankA < rankB ? a : b;
  if (a.overrides?.some(({ rule }) => rule === b.id)) return a;
  if (b.overrides?.some(({ rule }) => rule === a.id)) return b;
  const { first, second } = alone(a.conditions, b.conditions, kinds);
  if (!first && second) return a;
  if (!second && first) return b;
  const [dayA, dayB] = [a.basis.dated ?? null, b.basis.dated ?? null];
  if (dayA === null || dayB === null || dayA === dayB) return null;
  return dayA > dayB ? a : b;
}

/** Settling as a logic program; `c` is a hole, `a` an attribute, `r` a rule, `v` a value, `n` a place in conditions. */
const PROGRAM = `
truth(C,R,N,T) :- at(C,B), known(C,R,N,T), node(B,R,N).
truth(C,R,N,t) :- at(C,B), asks(B,R,N,A), settled(C,A,V), fits(C,R,N,V).
truth(C,R,N,u) :- at(C,B), asks(B,R,N,A), settled(C,A,V), unfit(C,R,N).
truth(C,R,N,f) :- at(C,B), asks(B,R,N,A), settled(C,A,V), not fits(C,R,N,V), not unfit(C,R,N).
truth(C,R,N,f) :- at(C,B), asks(B,R,N,A), conflict(C,A).
truth(C,R,N,f) :- at(C,B), asks(B,R,N,A), unclaimed(C,A).
truth(C,R,N,u) :- at(C,B), asks(B,R,N,A), undecided(C,A).

some(C,R,N,T) :- at(C,B), part(B,R,N,M), truth(C,R,M,T).
truth(C,R,N,f) :- at(C,B), all(B,R,N), some(C,R,N,f).
truth(C,R,N,u) :- at(C,B), all(B,R,N), not some(C,R,N,f), some(C,R,N,u).
truth(C,R,N,t) :- at(C,B), all(B,R,N), not some(C,R,N,f), not some(C,R,N,u).
truth(C,R,N,t) :- at(C,B), any(B,R,N), some(C,R,N,t).
truth(C,R,N,u) :- at(C,B), any(B,R,N), not some(C,R,N,t), some(C,R,N,u).
truth(C,R,N,f) :- at(C,B), any(B,R,N), not some(C,R,N,t), not some(C,R,N,u).
truth(C,R,N,f) :- at(C,B), no(B,R,N), some(C,R,N,t).
truth(C,R,N,t) :- at(C,B), no(B,R,N), some(C,R,N,f).
truth(C,R,N,u) :- at(C,B), no(B,R,N), some(C,R,N,u).

holds(C,A,R,V) :- at(C,B), claim(B,A,R,V), truth(C,R,0,t).
live(C,A,R,V) :- at(C,B), claim(B,A,R,V), not truth(C,R,0,f).
value(C,A,V) :- live(C,A,_,V).

beaten(C,A,S,V) :- live(C,A,S,W), W != V, holds(C,A,R,V), at(C,B), beats(B,R,S).
doubted(C,A,V) :- value(C,A,V), live(C,A,S,W), W != V, not beaten(C,A,S,V).
certain(C,A,V) :- holds(C,A,_,V), not doubted(C,A,V).

beatable(C,A,S,V) :- holds(C,A,S,W), W != V, live(C,A,R,V), at(C,B), beats(B,R,S).
barred(C,A,V) :- value(C,A,V), holds(C,A,S,W), W != V, not beatable(C,A,S,V).
possible(C,A,V) :- value(C,A,V), not barred(C,A,V).
other(C,A,V) :- value(C,A,V), possible(C,A,W), W != V.

settled(C,A,V) :- certain(C,A,V), not other(C,A,V).
conflict(C,A) :- value(C,A,_), not open(C,A).
open(C,A) :- possible(C,A,_).
conflict(C,A) :- certain(C,A,V), certain(C,A,W), V < W.
decided(C,A) :- settled(C,A,_).
undecided(C,A) :- value(C,A,_), not decided(C,A), not conflict(C,A).
unclaimed(C,A) :- at(C,B), attribute(B,A), not claimed(C,A).
claimed(C,A) :- value(C,A,_).

#show settled/3. #show conflict/2. #show undecided/2. #show unclaimed/2.
`;

/** The program for many questions at once, and how to read the solver's model. */
export function encode(questions: readonly Question[]): {
  program: string;
  read(model: readonly string[]): Map<string, Outcome>[][];
} {
  const lines: string[] = [PROGRAM];
  const names = new Names();
  const holes: { question: number; hole: number }[] = [];
  questions.forEach((question, b) => {
    lines.push(...encodeRules(question, b, names));
    question.holes.forEach((facts, hole) => {
      const c = holes.push({ question: b, hole }) - 1;
      lines.push(`at(${c},${b}).`, ...encodeFacts(question, facts, c, names));
    });
  });
  const read = (model: readonly string[]): Map<string, Outcome>[][] => {
    const found = questions.map(({ holes: list }) => list.map(() => new Map<string, Outcome>()));
    for (const atom of model) {
      const [, status = "", args = ""] = /^(\w+)\((.*)\)$/.exec(atom) ?? [];
      const [c, a, v] = args.split(",");
      const place = holes[Number(c)];
      const map = place && found[place.question]?.[place.hole];
      if (!map || a === undefined) throw new Error(`unreadable atom ${atom}`);
      const attribute = names.of(a);
      if (map.has(attribute)) throw new Error(`two outcomes for ${attribute}: ${atom}`);
      map.set(attribute, v === undefined ? status : `settled(${names.of(v)})`);
    }
    return found;
  };
  return { program: lines.join("\n"), read };
}

/** Numbers for names, so that any text can stand in a program. */
class Names {
  readonly #numbers = new Map<string, number>();
  readonly #names: string[] = [];

  number(name: unknown): number {
    const text = String(name);
    let number = this.#numbers.get(text);
    if (number === undefined) {
      number = this.#names.push(text) - 1;
      this.#numbers.set(text, number);
    }
    return number;
  }

  of(number: string): string {
    const name = this.#names[Number(number)];
    if (name === undefined) throw new Error(`no name for ${number}`);
    return name;
  }
}

interface Node {
  readonly n: number;
  readonly condition: Condition;
  readonly parts: readonly number[];
}

/** The places of a condition tree, numbered from 0 = the root. */
function nodesOf(root: Condition): readonly Node[] {
  const nodes: Node[] = [];
  const visit = (condition: Condition): number => {
    const n = nodes.length;
    nodes.push({ n, condition, parts: [] });
    const below =
      "all" in condition
        ? condition.all
        : "any" in condition
          ? condition.any
          : "not" in condition
            ? [condition.not]
            : [];
    nodes[n] = { n, condition, parts: below.map(visit) };
    return n;
  };
  visit(root);
  return nodes;
}

function isRuled(leaf: Leaf, kinds: Kinds): boolean {
  return operands(leaf).some((fact) => kinds.get(fact)?.ruled);
}

function encodeRules(question: Question, b: number, names: Names): readonly string[] {
  const { rules, kinds } = question;
  const lines: string[] = [];
  const asked = rules.flatMap((rule) => leaves(rule.conditions).filter((leaf) => isRuled(leaf, kinds)));
  const attributes = new Set([
    ...rules.flatMap(({ event }) => Object.keys(event.params)),
    ...asked.map((leaf) => attributeOf(leaf, kinds)),
  ]);
  for (const attribute of attributes) lines.push(`attribute(${b},${names.number(attribute)}).`);
  for (const rule of rules) {
    const r = names.number(rule.id);
    for (const [attribute, value] of Object.entries(rule.event.params)) {
      lines.push(`claim(${b},${names.number(attribute)},${r},${names.number(value)}).`);
    }
    for (const { n, condition, parts } of nodesOf(rule.conditions)) {
      for (const part of parts) lines.push(`part(${b},${r},${n},${part}).`);
      if ("all" in condition) lines.push(`all(${b},${r},${n}).`);
      else if ("any" in condition) lines.push(`any(${b},${r},${n}).`);
      else if ("not" in condition) lines.push(`no(${b},${r},${n}).`);
      else if (isRuled(condition, kinds)) {
        lines.push(`asks(${b},${r},${n},${names.number(attributeOf(condition, kinds))}).`);
      } else lines.push(`node(${b},${r},${n}).`);
    }
  }
  for (const pair of superiorPairs(question)) {
    const [stronger, weaker] = pair.split(" ");
    lines.push(`beats(${b},${names.number(stronger)},${names.number(weaker)}).`);
  }
  return lines;
}

/** The attribute that a leaf asks for. */
function attributeOf(leaf: Leaf, kinds: Kinds): string {
  const [attribute, ...more] = operands(leaf).filter((fact) => kinds.get(fact)?.ruled);
  if (attribute === undefined || more.length > 0) throw new Error("the oracle reads one attribute a leaf");
  return attribute;
}

function encodeFacts(question: Question, facts: Facts, c: number, names: Names): readonly string[] {
  const seen = (fact: string): unknown => (Object.hasOwn(facts, fact) ? facts[fact] : undefined);
  return question.rules.flatMap((rule) =>
    nodesOf(rule.conditions).flatMap(({ n, condition }) => {
      if (!("fact" in condition)) return [];
      const place = `${c},${names.number(rule.id)},${n}`;
      if (isRuled(condition, question.kinds)) return encodeFits(question, condition, seen, place, names);
      const [left, right] = operands(condition);
      const needed = right === undefined ? condition.value : seen(right);
      const actual = seen(left ?? "");
      if (actual === undefined || needed === undefined) return [`known(${place},u).`];
      return [`known(${place},${compare(actual, condition.operator, needed) ? "t" : "f"}).`];
    }),
  );
}

/** Which of the values that may be settled meet a leaf at a hole; `unfit` when what it compares with is not known. */
function encodeFits(
  { rules, kinds }: Question,
  leaf: Leaf,
  seen: (fact: string) => unknown,
  place: string,
  names: Names,
): readonly string[] {
  const attribute = attributeOf(leaf, kinds);
  const other = operands(leaf).find((fact) => fact !== attribute);
  if (other !== undefined && seen(other) === undefined) return [`unfit(${place}).`];
  const claimed = new Set(rules.flatMap(({ event }) => event.params[attribute] ?? []));
  return [...claimed]
    .filter((value) => {
      if (other === undefined) return compare(value, leaf.operator, leaf.value);
      const [left, right] = leaf.fact === attribute ? [value, seen(other)] : [seen(other), value];
      return compare(left, leaf.operator, right);
    })
    .map((value) => `fits(${place},${names.number(value)}).`);
}
