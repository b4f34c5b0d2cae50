import { type HoleState, type Mark, NO_WORK, withMarks } from "../../server/kit/work.js";
import type { Standing } from "../../server/order/types.js";
import type { ApproachReach, Blocker, Reach } from "../../server/reach/types.js";
import type { AttributeRuling, HoleRuling, OrderClaim, Status, Truth } from "../../server/ruling/types.js";
import { assembly, hole, kit, part } from "./by-hand.js";

/** One hole of a bench that is drawn in words: what it goes through, and what stands in each approach's way. */
export interface HoleInWords {
  /** Parts, head side first. */
  readonly through: readonly string[];
  /** By approach, the parts in its way once they are closed; of its own stack ones too. */
  readonly approaches: Readonly<Record<string, readonly string[]>>;
  readonly state?: HoleState;
  readonly punchedMm?: number;
  readonly ruling?: RulingInWords;
}

export interface RulingInWords {
  /** Settled values that differ from a plain 3.2 mm hole as punched. */
  readonly settled?: Readonly<Record<string, string | number>>;
  /** Attributes that are not settled. */
  readonly open?: Readonly<Record<string, Exclude<Status, "settled">>>;
  readonly orders?: readonly (OrderClaim & { readonly verdict?: Truth })[];
  readonly limit?: Truth;
}

export interface BenchInWords {
  readonly holes: Readonly<Record<string, HoleInWords>>;
  /** Prep that the kit lists, by part. */
  readonly prep?: Readonly<Record<string, readonly string[]>>;
  readonly marks?: readonly Mark[];
}

export function standing({ holes, prep = {}, marks = [] }: BenchInWords): Standing {
  const named = Object.entries(holes);
  const ids = new Set(
    named.flatMap(([, { through, approaches }]) => [...through, ...Object.values(approaches).flat()]),
  );
  const drawn = assembly(
    [...ids, ...Object.keys(prep).filter((id) => !ids.has(id))].map((id) =>
      part(id, [], { prep: prep[id] ?? [] }),
    ),
    named.map(([id, { through, approaches, punchedMm = 3.2 }]) =>
      hole(id, through, { approaches: Object.keys(approaches), punchedMm }),
    ),
  );
  const states = named.map(([id, { state = "unset" }]): Mark => ({ kind: "hole", hole: id, state }));
  const gates = [...new Set([...Object.values(prep).flat(), "enlarge", "dimple"])];
  return {
    kit: kit([], [drawn], { prepGates: gates.map((id) => ({ id, name: id })) }),
    assembly: drawn,
    reach: reachInWords(holes),
    work: withMarks(NO_WORK, [...states, ...marks]),
    rulings: { of: (id) => rulingInWords(holes[id]?.ruling ?? {}) },
  };
}

function reachInWords(holes: BenchInWords["holes"]): Reach {
  return {
    holes: Object.entries(holes).map(([id, { through, approaches }]) => ({
      hole: id,
      approaches: Object.entries(approaches).map(([name, parts]): ApproachReach => {
        const blockers = parts.map(
          (of): Blocker => ({ part: of, kind: "geometry", room: "puller nose", side: "head", why: null }),
        );
        return {
          approach: name,
          blockedBy: blockers.filter((blocker) => !through.includes(blocker.part)),
          ownStack: blockers.filter((blocker) => through.includes(blocker.part)),
        };
      }),
    })),
  };
}

function rulingInWords({ settled = {}, open = {}, orders = [], limit }: RulingInWords): HoleRuling {
  const isSunk = settled.treatment === "dimple" || settled.treatment === "countersink";
  const head = isSunk ? { head: "flush", rivet: "F-32" } : { head: "protruding", rivet: "P-32" };
  const plain = { treatment: "as punched", finalDiameterMm: 3.2, ...head };
  const attributes: Record<string, AttributeRuling> = {};
  for (const [attribute, value] of Object.entries({ ...plain, ...settled })) {
    attributes[attribute] = {
      attribute,
      status: "settled",
      value,
      ruleIds: [`rule-${attribute}`],
      rank: null,
      missing: [],
      unsettled: [],
    };
  }
  for (const [attribute, status] of Object.entries(open)) {
    const missing = status === "undecided" ? ["gapMm"] : [];
    attributes[attribute] = {
      attribute,
      status,
      value: null,
      ruleIds: [`rule-${attribute}`],
      rank: null,
      missing,
      unsettled: [],
    };
  }
  const statuses = Object.values(open);
  return {
    attributes,
    verdict: statuses.includes("conflict") ? "conflict" : statuses.length > 0 ? "undecided" : "settled",
    orders: orders.map((claim) => ({ rule: "rule-order", verdict: "true", ...claim })),
    limits: limit
      ? [
          {
            rule: "rule-limit",
            fact: "edgeRatio",
            min: 2,
            actual: limit === "unknown" ? null : 1.5,
            verdict: limit,
          },
        ]
      : [],
    cautions: [],
  };
}
