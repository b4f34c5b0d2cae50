import { deepFreeze } from "../kit/freeze.js";
import type { Claim } from "./claims.js";
import { type Classes, FALSE, type Refinement, TRUE, TRUTHS } from "./classes.js";
import { type Column, ruledColumn } from "./columns.js";
import { factsIn } from "./conditions.js";
import { UNSETTLED } from "./engine.js";
import type { Evaluation, Evaluations } from "./evaluations.js";
import { missingIn, withUnsettledUnknown } from "./missing.js";
import type { Rulebook } from "./rulebook.js";
import { type Beats, type Settlement, type Stand, settle } from "./settle.js";
import type { Superiority } from "./superiority.js";
import { type AttributeRuling, type ConditionTrace, RANKS } from "./types.js";

/** A claim with its rule's evaluation over all holes. */
export interface EvaluatedClaim {
  readonly claim: Claim;
  readonly evaluation: Evaluation;
}

/** Everything that an attribute's rulings follow from. While it is the same, they stand. */
interface Ground {
  readonly holes: number;
  /** The claims' rules as far as settling looks at them, and the values that facts can take. */
  readonly rules: string;
  readonly evaluations: readonly Evaluation[];
  /** The attributes that the claims' conditions look at. */
  readonly below: readonly SettledAttribute[];
}

/** One attribute, settled for every hole. Holes that are alike share one ruling. */
export interface SettledAttribute {
  at(hole: number): AttributeRuling;
  /** What conditions see of it. */
  column(): Column;
  /** Whether settling it on this ground would give the same. */
  standsOn(ground: Ground): boolean;
}

export function groundOf(
  claims: readonly EvaluatedClaim[],
  below: ReadonlyMap<string, SettledAttribute>,
  holes: number,
  { domains }: Rulebook,
): Ground {
  const used = new Set(claims.flatMap(({ claim }) => factsIn(claim.rule.conditions)));
  const rules = claims.map(({ claim: { rule, value } }) => {
    const { id, basis, conditions, overrides, departure } = rule;
    return { id, basis, conditions, overrides, departure, value };
  });
  return {
    holes,
    rules: JSON.stringify([rules, [...domains].filter(([fact]) => used.has(fact))]),
    evaluations: claims.map(({ evaluation }) => evaluation),
    below: [...below].flatMap(([attribute, settled]) => (used.has(attribute) ? [settled] : [])),
  };
}

function isSameGround(a: Ground, b: Ground): boolean {
  return (
    a.holes === b.holes &&
    a.rules === b.rules &&
    a.evaluations.every((evaluation, i) => evaluation === b.evaluations[i]) &&
    a.below.every((settled, i) => settled === b.below[i])
  );
}

/**
 * Settles one attribute: once for each combination of rule verdicts that occurs, not once for each hole.
 * @param ground  of these claims
 * @param below   the attributes that are settled already
 */
export function settleAttribute(
  attribute: string,
  claims: readonly EvaluatedClaim[],
  ground: Ground,
  evaluations: Evaluations,
  below: ReadonlyMap<string, SettledAttribute>,
  superiority: Superiority,
): SettledAttribute {
  const combinations = combinationsOf(claims, evaluations.refinement);
  const beats = rememberedBeats(claims, superiority);
  const settlements = combinations.first.map((hole) => settle(standsAt(hole, claims), beats));
  const details = new Details(claims, evaluations, below);
  const plain: (AttributeRuling | undefined)[] = [];
  const detailed = new Map<string, AttributeRuling>();
  const rulings: AttributeRuling[] = [];
  for (let hole = 0; hole < evaluations.holes; hole++) {
    const combination = combinations.of[hole] as number;
    const settlement = settlements[combination] as Settlement;
    const shaky = details.isShaky(hole);
    if (!shaky && settlement.status !== "undecided") {
      plain[combination] ??= rulingOf(attribute, settlement, claims, [], []);
      rulings.push(plain[combination]);
      continue;
    }
    const key = `${combination} ${details.key(hole, settlement, shaky)}`;
    let ruling = detailed.get(key);
    if (!ruling) {
      const missing = settlement.status === "undecided" ? details.missing(hole, settlement.claims) : [];
      ruling = rulingOf(attribute, settlement, claims, missing, shaky ? details.unsettled(hole) : []);
      detailed.set(key, ruling);
    }
    rulings.push(ruling);
  }
  return settledAs(attribute, rulings, ground);
}

/** Apart, so that what is kept of an attribute does not keep the evaluations behind it. */
function settledAs(attribute: string, rulings: readonly AttributeRuling[], ground: Ground): SettledAttribute {
  return {
    at: (hole) => {
      const ruling = rulings[hole];
      if (!ruling) throw new Error(`no hole ${hole}`);
      return ruling;
    },
    column: () => columnOf(attribute, rulings),
    standsOn: (other) => isSameGround(ground, other),
  };
}

/** Holes by the verdicts of all the claims' rules. */
function combinationsOf(claims: readonly EvaluatedClaim[], refinement: Refinement): Classes {
  refinement.start();
  for (const { evaluation } of claims) {
    refinement.split(evaluation.classes.of, evaluation.verdicts, TRUTHS.length);
  }
  return refinement.classes();
}

/** The claims whose rules hold or may hold at a hole. */
function standsAt(hole: number, claims: readonly EvaluatedClaim[]): readonly Stand[] {
  const stands: Stand[] = [];
  for (let place = 0; place < claims.length; place++) {
    const { claim, evaluation } = claims[place] as EvaluatedClaim;
    const truth = evaluation.verdicts[evaluation.classes.of[hole] as number];
    if (truth !== FALSE) stands.push({ place, value: claim.value, holds: truth === TRUE });
  }
  return stands;
}

/** Superiority between the places of a list of claims, each pair looked up once. */
function rememberedBeats(claims: readonly EvaluatedClaim[], superiority: Superiority): Beats {
  const known = new Int8Array(claims.length * claims.length).fill(-1);
  return (stronger, weaker) => {
    const pair = stronger * claims.length + weaker;
    if (known[pair] === -1) {
      const [one, other] = [claims[stronger]?.claim.rule, claims[weaker]?.claim.rule];
      known[pair] = one && other && superiority.over(one, other) ? 1 : 0;
    }
    return known[pair] === 1;
  };
}

function rulingOf(
  attribute: string,
  { status, value, claims: places }: Settlement,
  claims: readonly EvaluatedClaim[],
  missing: readonly string[],
  unsettled: readonly string[],
): AttributeRuling {
  const rules = places.flatMap((place) => claims[place]?.claim.rule ?? []);
  const rank = RANKS.find((one) => rules.some(({ basis }) => basis.rank === one)) ?? null;
  const ruleIds = rules.map(({ id }) => id);
  return deepFreeze({
    attribute,
    status,
    value,
    ruleIds,
    rank: status === "settled" ? rank : null,
    missing,
    unsettled,
  });
}

/** What conditions see of an attribute: its value; nothing while undecided; UNSETTLED in conflict or unclaimed. */
function columnOf(attribute: string, rulings: readonly AttributeRuling[]): Column {
  return ruledColumn(
    attribute,
    rulings.map(({ status, value }) =>
      status === "settled" ? (value ?? undefined) : status === "undecided" ? undefined : UNSETTLED,
    ),
  );
}

/** What a ruling has to say beyond the combination of verdicts: which facts are missing, what is unsettled below. */
class Details {
  readonly #claims: readonly EvaluatedClaim[];
  readonly #evaluations: Evaluations;
  readonly #below: ReadonlyMap<string, SettledAttribute>;
  /** Settled attributes that the claims' conditions look at. */
  readonly #lookedAt: readonly SettledAttribute[];
  /** Places of the claims whose conditions look at any. */
  readonly #looking: readonly number[];
  readonly #numbers = new Map<AttributeRuling, number>();

  constructor(
    claims: readonly EvaluatedClaim[],
    evaluations: Evaluations,
    below: ReadonlyMap<string, SettledAttribute>,
  ) {
    this.#claims = claims;
    this.#evaluations = evaluations;
    this.#below = below;
    const facts = claims.map(({ claim }) => factsIn(claim.rule.conditions));
    const used = new Set(facts.flat());
    this.#lookedAt = [...below].flatMap(([attribute, settled]) => (used.has(attribute) ? [settled] : []));
    this.#looking = facts.flatMap((list, place) => (list.some((fact) => below.has(fact)) ? [place] : []));
  }

  /** Whether an attribute that the conditions look at is in conflict or unclaimed here. */
  isShaky(hole: number): boolean {
    for (const settled of this.#lookedAt) {
      const { status } = settled.at(hole);
      if (status === "conflict" || status === "unclaimed") return true;
    }
    return false;
  }

  /** Holes of one combination with the same key have the same details. */
  key(hole: number, { claims }: Settlement, shaky: boolean): string {
    let key = "";
    for (const place of claims) key += `${this.#classAt(place, hole)} `;
    if (shaky) for (const place of this.#looking) key += `${this.#classAt(place, hole)} `;
    for (const settled of this.#lookedAt) key += `${this.#number(settled.at(hole))} `;
    return key;
  }

  /** Missing facts of some claims; for an attribute below that is undecided, the facts that it waits for. */
  missing(hole: number, places: readonly number[]): readonly string[] {
    const view = this.#evaluations.view(hole);
    const facts = places.flatMap((place) =>
      missingIn(this.#trace(place, hole), (fact) => view(fact) !== undefined),
    );
    return [...new Set(facts.flatMap((fact) => this.#below.get(fact)?.at(hole).missing ?? [fact]))].sort();
  }

  /** Attributes below that, not being settled, alone keep a claim from holding or from being open. */
  unsettled(hole: number): readonly string[] {
    const view = this.#evaluations.view(hole);
    const isUnsettled = (fact: string): boolean => view(fact) === UNSETTLED;
    const facts = this.#looking.flatMap((place) => {
      const trace = this.#trace(place, hole);
      if (trace.verdict !== "false") return [];
      return missingIn(withUnsettledUnknown(trace, isUnsettled), (fact) => !isUnsettled(fact));
    });
    return [...new Set(facts)].sort();
  }

  #number(ruling: AttributeRuling): number {
    let number = this.#numbers.get(ruling);
    if (number === undefined) {
      number = this.#numbers.size;
      this.#numbers.set(ruling, number);
    }
    return number;
  }

  #classAt(place: number, hole: number): number {
    return this.#claims[place]?.evaluation.classes.of[hole] ?? 0;
  }

  #trace(place: number, hole: number): ConditionTrace {
    const claim = this.#claims[place];
    if (!claim) throw new Error("no such claim");
    return this.#evaluations.traceAt(claim.evaluation, hole);
  }
}
