import { Problem } from "../problem.js";
import type { SettledAttribute } from "./attribute.js";
import type { Claim } from "./claims.js";
import { TRUTHS } from "./classes.js";
import type { Evaluation, Evaluations } from "./evaluations.js";
import type { Rulebook } from "./rulebook.js";
import type {
  AttributeRuling,
  AttributeTrace,
  CautionClaim,
  ClaimTrace,
  ConditionTrace,
  HoleRuling,
  LimitClaim,
  OrderClaim,
  Rule,
  Rulings,
  Status,
  Truth,
} from "./types.js";

/** Rulings of a list of holes, as views over what was evaluated and settled. */
export class RulingsOfHoles implements Rulings {
  readonly ids: readonly string[];
  readonly #rulebook: Rulebook;
  readonly #index: ReadonlyMap<string, number>;
  readonly #evaluations: Evaluations;
  readonly #byRule: ReadonlyMap<string, Evaluation>;
  readonly #settled: ReadonlyMap<string, SettledAttribute>;
  readonly #made: (HoleRuling | undefined)[] = [];

  constructor(
    rulebook: Rulebook,
    ids: readonly string[],
    evaluations: Evaluations,
    byRule: ReadonlyMap<string, Evaluation>,
    settled: ReadonlyMap<string, SettledAttribute>,
  ) {
    this.ids = Object.freeze([...ids]);
    this.#rulebook = rulebook;
    this.#index = new Map(ids.map((id, i) => [id, i]));
    this.#evaluations = evaluations;
    this.#byRule = byRule;
    this.#settled = settled;
  }

  get runs(): number {
    return this.#evaluations.runs;
  }

  of(id: string): HoleRuling {
    const hole = this.#hole(id);
    const ruling = this.#made[hole] ?? this.#ruling(hole);
    this.#made[hole] = ruling;
    return ruling;
  }

  attribute(id: string, attribute: string): AttributeRuling | null {
    return this.#settled.get(attribute)?.at(this.#hole(id)) ?? null;
  }

  trace(id: string, attribute: string): AttributeTrace {
    const hole = this.#hole(id);
    const settled = this.#settled.get(attribute);
    const claims = this.#rulebook.claims.get(attribute);
    if (!settled || !claims) {
      throw new Problem("UNKNOWN_ID", `There is no attribute "${attribute}".`, {
        fix: `Use one of ${[...this.#settled.keys()].join(", ")}.`,
      });
    }
    return {
      ...settled.at(hole),
      hole: id,
      claims: claims.map((claim) => this.#claimTrace(claim, claims, hole)),
    };
  }

  conditions(id: string, rule: string): ConditionTrace {
    return this.#evaluations.traceAt(this.#evaluation(rule), this.#hole(id));
  }

  truths(rule: string): readonly Truth[] {
    const { classes, verdicts } = this.#evaluation(rule);
    return Array.from(classes.of, (kind) => TRUTHS[verdicts[kind] ?? 0] ?? "unknown");
  }

  #hole(id: string): number {
    const hole = this.#index.get(id);
    if (hole !== undefined) return hole;
    throw new Problem("UNKNOWN_ID", `No ruling was made for a hole "${id}".`, {
      fix: "Use the id of a hole of this assembly.",
    });
  }

  #evaluation(rule: string): Evaluation {
    const found = this.#byRule.get(rule);
    if (found) return found;
    throw new Problem("UNKNOWN_ID", `There is no rule "${rule}".`, { fix: "Use the id of a rule in force." });
  }

  #truth(rule: Rule, hole: number): Truth {
    const { classes, verdicts } = this.#evaluation(rule.id);
    return TRUTHS[verdicts[classes.of[hole] ?? 0] ?? 0] ?? "unknown";
  }

  #claimTrace(claim: Claim, claims: readonly Claim[], hole: number): ClaimTrace {
    const { rule, value } = claim;
    const { superiority } = this.#rulebook;
    const verdict = this.#truth(rule, hole);
    const opponents =
      verdict === "false"
        ? []
        : claims
            .filter((other) => other.value !== value && this.#truth(other.rule, hole) !== "false")
            .map((other) => ({
              rule: other.rule.id,
              beaten: superiority.over(rule, other.rule),
              beating: superiority.over(other.rule, rule),
            }));
    return {
      rule: rule.id,
      title: rule.title,
      basis: rule.basis,
      why: rule.why,
      value,
      verdict,
      conditions: this.#evaluations.traceAt(this.#evaluation(rule.id), hole),
      beat: opponents.flatMap(({ rule: other, beaten }) => (beaten ? [{ rule: other, ...beaten }] : [])),
      lostTo: opponents.flatMap(({ rule: other, beating }) => (beating ? [{ rule: other, ...beating }] : [])),
      tiedWith: opponents.flatMap(({ rule: other, beaten, beating }) => (beaten || beating ? [] : [other])),
    };
  }

  #ruling(hole: number): HoleRuling {
    const attributes: Record<string, AttributeRuling> = {};
    for (const [name, settled] of this.#settled) attributes[name] = settled.at(hole);
    const orders: HoleRuling["orders"][number][] = [];
    const limits: HoleRuling["limits"][number][] = [];
    const cautions: HoleRuling["cautions"][number][] = [];
    for (const rule of this.#rulebook.rules) {
      const { family, event } = rule;
      if (family !== "order" && family !== "limit" && family !== "caution") continue;
      const verdict = this.#truth(rule, hole);
      if (verdict === "false") continue;
      if (family === "order") {
        orders.push({ ...(event.params as unknown as OrderClaim), rule: rule.id, verdict });
      } else if (family === "caution") {
        cautions.push({ ...(event.params as unknown as CautionClaim), rule: rule.id, verdict });
      } else limits.push(this.#limit(event.params as unknown as LimitClaim, rule, verdict, hole));
    }
    return Object.freeze({
      attributes: Object.freeze(attributes),
      verdict: worst(attributes, this.#rulebook),
      orders: Object.freeze(orders),
      limits: Object.freeze(limits),
      cautions: Object.freeze(cautions),
    });
  }

  /** A limit that may not apply is kept for certain only when the number keeps it anyway. */
  #limit(claim: LimitClaim, rule: Rule, applies: Truth, hole: number): HoleRuling["limits"][number] {
    const seen = this.#evaluations.view(hole)(claim.fact);
    const actual = typeof seen === "number" ? seen : null;
    const kept =
      actual === null ? null : actual >= (claim.min ?? -Infinity) && actual <= (claim.max ?? Infinity);
    const verdict = kept === true ? "true" : kept === false && applies === "true" ? "false" : "unknown";
    return { ...claim, rule: rule.id, actual, verdict };
  }
}

/** The worst status of what a hole must have and of what rules claim for it. */
function worst(
  attributes: Readonly<Record<string, AttributeRuling>>,
  rulebook: Rulebook,
): HoleRuling["verdict"] {
  const statuses: Status[] = [];
  for (const ruling of Object.values(attributes)) {
    const required = rulebook.dictionary.attributes.get(ruling.attribute)?.required ?? false;
    if (ruling.status !== "unclaimed") statuses.push(ruling.status);
    else if (required) statuses.push("undecided");
  }
  if (statuses.includes("conflict")) return "conflict";
  return statuses.includes("undecided") ? "undecided" : "settled";
}
