import { NO_WORK } from "../../server/kit/work.js";
import type { Standing } from "../../server/order/types.js";
import type { ApproachReach } from "../../server/reach/types.js";
import type { AttributeRuling, HoleRuling } from "../../server/ruling/types.js";
import { assembly, hole, kit, part } from "./by-hand.js";
import { seeded } from "./random.js";

export const RIVETS_A_PART = 20;
/** Parts that lie close together: one in another's way is mostly of the same bay. */
const BAY = 8;

/**
 * A large assembly with the reach made up instead of drawn: bays of parts that are riveted to the first of their
 * bay, each in the way of earlier ones, and now and then of the bay before. Seeded; there is an order.
 */
export function orderPlane(parts: number, seed = 5): Standing {
  const random = seeded(seed + parts);
  const pick = (count: number): number => Math.floor(random() * count);
  const name = (i: number): string => `PART-${String(i).padStart(5, "0")}`;
  const ids = Array.from({ length: parts }, (_, i) => name(i));
  /** Parts that come later: of the bay, or of the next one. */
  const later = (i: number): string => {
    const bay = Math.floor(i / BAY) + (random() < 0.05 ? 1 : 0);
    const first = Math.max(i + 1, bay * BAY);
    const last = Math.min(parts - 1, bay * BAY + BAY - 1);
    return first > last ? "" : name(first + pick(last - first + 1));
  };
  const holes = ids.flatMap((id, i) =>
    Array.from({ length: RIVETS_A_PART }, (_, n) => {
      const carrier = name(Math.max(0, Math.floor(i / BAY) * BAY - (i % BAY === 0 ? BAY : 0)));
      return hole(`${id}.${n < RIVETS_A_PART / 2 ? "front" : "rear"}.${n + 1}`, [...new Set([id, carrier])], {
        approaches: ["straight", "behind"],
        normal: [0, 0, random() < 0.5 ? 1 : -1],
      });
    }),
  );
  // One run of rivets is mostly reached in the same way.
  const runs = new Map<string, readonly (readonly string[])[]>();
  const waysOf = (rowId: string, i: number): readonly (readonly string[])[] => {
    const known = runs.get(rowId);
    if (known) return known;
    const way = (most: number): string[] =>
      [...new Set(Array.from({ length: pick(most + 1) }, () => later(i)))].filter((one) => one !== "");
    const made = [way(2), way(3)];
    runs.set(rowId, made);
    return made;
  };
  const drawn = assembly(
    ids.map((id) => part(id)),
    holes,
  );
  const index = new Map(ids.map((id, i) => [id, i]));
  return {
    kit: kit([], [drawn]),
    assembly: drawn,
    reach: {
      holes: drawn.holes.map(({ id, rowId, part: owner, layers }) => {
        const through = new Set(layers.map((layer) => layer.part));
        return {
          hole: id,
          approaches: waysOf(rowId, index.get(owner) ?? 0).map(
            (ways, i): ApproachReach => ({
              approach: i === 0 ? "straight" : "behind",
              ownStack: [],
              blockedBy: ways
                .filter((one) => !through.has(one))
                .map((one) => ({
                  part: one,
                  kind: "geometry",
                  room: "puller nose",
                  side: "head",
                  why: null,
                })),
            }),
          ),
        };
      }),
    },
    work: NO_WORK,
    rulings: { of: () => SETTLED },
  };
}

const SETTLED: HoleRuling = {
  attributes: Object.fromEntries(
    Object.entries({ head: "protruding", treatment: "as punched", finalDiameterMm: 3.2, rivet: "P-32" }).map(
      ([attribute, value]): [string, AttributeRuling] => [
        attribute,
        { attribute, status: "settled", value, ruleIds: [], rank: null, missing: [], unsettled: [] },
      ],
    ),
  ),
  verdict: "settled",
  orders: [],
  limits: [],
  cautions: [],
};
