import { deepFreeze } from "../kit/freeze.js";
import type { Claim } from "./claims.js";
import { Refinement, TRUTHS } from "./classes.js";
import { type Column, ruledColumn } from "./columns.js";
import { factsIn } from "./conditions.js";
import { type Seen, UNSETTLED } from "./engine.js";
import type { Evaluation, Evaluations } from "./evaluations.js";
import { missingIn, withUnsettledUnknown } from "./missing.js";
import type { Rulebook } from "./rulebook.js";
import { type Settlement, settle } from "./settle.js";
import type { AttributeRuling, ConditionTrace } from "./types.js";

/** A claim with its rule's evaluation over all holes. */
export interface EvaluatedClaim {
  readonly claim: Claim;
  readonly evaluation: Evaluation;
}

/** One attribute, settled for every hole. Holes that are alike share one ruling. */
export interface Settled {
  at(hole: number): AttributeRuling;
  /** What conditions see of it. */
  column(): Column;
}

/**
 * Settles one attribute: once for each combination of rule verdicts that occurs, not once for each hole.
 * @param below  the attributes that are settled already
 */
export function settleAttribute(
  attribute: string,
  claims: readonly EvaluatedClaim[],
  evaluations: Evaluations,
  below: ReadonlyMap<string, Settled>,
  rulebook: Rulebook,
): Settled {
  const { superiority } = rulebook;
  const refinement = new Refinement(evaluations.holes);
  for (const { evaluation } of claims) {
    refinement.split(evaluation.classes.of, evaluation.verdicts, TRUTHS.length);
  }
  const combinations = refinement.classes();
  const beats = (a: number, b: number): boolean => {
    const [one, other] = [claims[a]?.claim.rule, claims[b]?.claim.rule];
    return one !== undefined && other !== undefined && superiority.over(one, other) !== null;
  };
  const settlements = combinations.first.map((hole) =>
    settle(
      claims.map(({ claim, evaluation: { classes, verdicts } }) => ({
        value: claim.value,
        verdict: TRUTHS[verdicts[classes.of[hole] ?? 0] ?? 0] ?? "unknown",
      })),
      beats,
    ),
  );
  const details = new Details(claims, evaluations, below);
  const made = new Map<string, AttributeRuling>();
  const rulings: AttributeRuling[] = new Array(evaluations.holes);
  for (let hole = 0; hole < evaluations.holes; hole++) {
    const combination = combinations.of[hole] ?? 0;
    const settlement = settlements[combination];
    if (!settlement) throw new Error("a combination was not settled");
    const { key, missing, unsettled } = details.at(hole, settlement, combination);
    let ruling = made.get(key);
    if (!ruling) {
      ruling = deepFreeze({
        attribute,
        status: settlement.status,
        value: settlement.value,
        ruleIds: settlement.claims.map((place) => claims[place]?.claim.rule.id ?? ""),
        missing: missing(),
        unsettled: unsettled(),
      });
      made.set(key, ruling);
    }
    rulings[hole] = ruling;
  }
  return {
    at: (hole) => {
      const ruling = rulings[hole];
      if (!ruling) throw new Error(`no hole ${hole}`);
      return ruling;
    },
    column: () => ruledColumn(attribute, rulings.map(seenOf)),
  };
}

/** What conditions see of a ruling. */
function seenOf(ruling: AttributeRuling): Seen {
  if (ruling.status === "settled") return ruling.value ?? undefined;
  return ruling.status === "undecided" ? undefined : UNSETTLED;
}

/** What a ruling has to say beyond the combination of verdicts: which facts are missing, what is unsettled below. */
class Details {
  readonly #claims: readonly EvaluatedClaim[];
  readonly #evaluations: Evaluations;
  readonly #below: ReadonlyMap<string, Settled>;
  /** Attributes that any of the claims' conditions look at. */
  readonly #lookedAt: readonly string[];
  readonly #numbers = new Map<AttributeRuling, number>();

  constructor(
    claims: readonly EvaluatedClaim[],
    evaluations: Evaluations,
    below: ReadonlyMap<string, Settled>,
  ) {
    this.#claims = claims;
    this.#evaluations = evaluations;
    this.#below = below;
    const facts = new Set(claims.flatMap(({ claim }) => factsIn(claim.rule.conditions)));
    this.#lookedAt = [...below.keys()].filter((attribute) => facts.has(attribute));
  }

  /** A key that holes with the same details share, and the details. */
  at(hole: number, settlement: Settlement, combination: number) {
    const rulingsBelow = this.#lookedAt.flatMap((attribute) => this.#below.get(attribute)?.at(hole) ?? []);
    const shaky = rulingsBelow.some(({ status }) => status === "conflict" || status === "unclaimed");
    const undecided = settlement.status === "undecided";
    if (!shaky && !undecided) {
      return { key: `${combination}`, missing: () => [], unsettled: () => [] };
    }
    const classes = this.#claims.map(({ evaluation }) => evaluation.classes.of[hole] ?? 0);
    return {
      key: [combination, ...classes, ...rulingsBelow.map((ruling) => this.#number(ruling))].join(" "),
      missing: () => (undecided ? this.#missing(hole, settlement.claims) : []),
      unsettled: () => (shaky ? this.#unsettled(hole) : []),
    };
  }

  #number(ruling: AttributeRuling): number {
    let number = this.#numbers.get(ruling);
    if (number === undefined) {
      number = this.#numbers.size;
      this.#numbers.set(ruling, number);
    }
    return number;
  }

  /** Missing facts of some claims; for an attribute below that is undecided, the facts that it waits for. */
  #missing(hole: number, places: readonly number[]): readonly string[] {
    const view = this.#evaluations.view(hole);
    const facts = places.flatMap((place) =>
      missingIn(this.#trace(place, hole), (fact) => view(fact) !== undefined),
    );
    return [...new Set(facts.flatMap((fact) => this.#below.get(fact)?.at(hole).missing ?? [fact]))].sort();
  }

  /** Attributes below that are not settled and alone keep a claim from holding, or from being open. */
  #unsettled(hole: number): readonly string[] {
    const view = this.#evaluations.view(hole);
    const isUnsettled = (fact: string): boolean => view(fact) === UNSETTLED;
    const facts = this.#claims.flatMap((_, place) => {
      const trace = this.#trace(place, hole);
      if (trace.verdict !== "false") return [];
      return missingIn(withUnsettledUnknown(trace, isUnsettled), (fact) => !isUnsettled(fact));
    });
    return [...new Set(facts)].sort();
  }

  #trace(place: number, hole: number): ConditionTrace {
    const claim = this.#claims[place];
    if (!claim) throw new Error("no such claim");
    return this.#evaluations.traceAt(claim.evaluation, hole);
  }
}
