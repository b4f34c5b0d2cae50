import { finder } from "../kit/find.js";
import { beforeClosing } from "./closing.js";
import { lookFrom } from "./look.js";
import { maySet, prepReason, wallsInHeld, weightOf } from "./may-set.js";
import { openGates } from "./prep.js";
import type { BeforeClosing, May, Reason, Standing, Verdict } from "./types.js";
import { may } from "./verdict.js";

/**
 * Whether a part may be closed now: whether some rivet through it may be set without walling anything in
 * and without breaking an order rule, the part's gates being done.
 * @throws UNKNOWN_ID
 */
export function mayClose(standing: Standing, part: string): May {
  const { assembly, reach, work, rulings } = standing;
  finder(assembly).part(part);
  const before = beforeClosing(assembly, reach, work, part, rulings);
  if (before.status === "closed")
    return may("close", part, [], [{ weight: "no", code: "already-closed", part }]);
  const state = lookFrom(standing).states.of(part);
  const reasons: Reason[] = [
    ...(before.status === "cannot close" ? [{ weight: "no", code: "nothing-closes-it", part } as const] : []),
    ...openGates(standing, part).map((gate) =>
      prepReason(gate, state, gate.needed === "true" ? "no" : "undecided"),
    ),
    ...whatItTakes(standing, before),
  ];
  const isCertain = reasons.some(({ weight }) => weight === "no");
  return may("close", part, [], isCertain ? reasons : [...reasons, ...noWay(standing, before)]);
}

/** Holes that the closing walls in, and order rules that want them first. */
function whatItTakes(standing: Standing, before: BeforeClosing): Reason[] {
  const walled = before.mustBefore.filter(({ walledIn }) => walledIn === "every way");
  const all = [...before.mustBefore, ...before.dependsOnWay, ...before.undecided, ...before.preferBefore];
  return [
    ...(walled.length > 0 ? [{ weight: "no", code: "would-wall-in", holes: walled } as const] : []),
    ...(walled.length > 0 ? [] : choiceOfWay(standing, before)),
    ...all.flatMap(({ orderRules }) =>
      orderRules.map((order): Reason => ({ weight: weightOf(order, "no"), code: "order-rule", order })),
    ),
    ...keptApart(before),
    ...wallsInHeld(before.contradictions.filter(({ walledIn }) => walledIn !== "some ways")),
  ];
}

/** Whichever rivet closes the part: layers come together that may yet have to be dimpled. */
function keptApart({ keepApart }: BeforeClosing): Reason[] {
  return keepApart.length > 0 ? [{ weight: "undecided", code: "keep-apart", holes: keepApart }] : [];
}

/** When it hangs on the rivet that closes the part: which to take, or that none will do. */
function choiceOfWay(standing: Standing, { ways }: BeforeClosing): Reason[] {
  const harmless = ways.filter(isHarmless);
  const harmful = ways.filter((way) => !isHarmless(way));
  if (harmful.length === 0) return [];
  if (ways.every(({ wallsIn }) => wallsIn.length > 0))
    return [{ weight: "no", code: "every-way-walls-in", ways }];
  if (harmless.length === 0) return [];
  const rivets = (some: BeforeClosing["ways"]): string[] => some.flatMap(({ holes }) => holes);
  const use = rivets(harmless).filter((hole) => mayGoIn(standing, hole));
  if (use.length === 0) return [];
  return [{ weight: "note", code: "choose-way", use, avoid: rivets(harmful) }];
}

/** Whether nothing but prep speaks against setting the rivet now; any other is no way to close anything. */
function mayGoIn(standing: Standing, id: string): boolean {
  return maySet(standing, id).reasons.every(
    ({ weight, code }) => weight === "note" || code === "prep-open" || code === "prep-unknown",
  );
}

/**
 * Whether no rivet that closes the part harmlessly may itself be set, with each one's reasons.
 * One that may be settles it, so the others are then not looked at.
 */
function noWay(standing: Standing, { part, ways }: BeforeClosing): Reason[] {
  const why: May[] = [];
  for (const hole of ways.filter(({ wallsIn }) => wallsIn.length === 0).flatMap(({ holes }) => holes)) {
    const one = maySet(standing, hole);
    if (one.verdict === "yes") return [];
    why.push(one);
  }
  const verdicts = new Set(why.map(({ verdict }) => verdict));
  // The way that comes nearest to a yes decides: one that is merely undecided may still turn out allowed.
  const weight = LEAST_FIRST.find((verdict) => verdicts.has(verdict)) ?? "no";
  return [{ weight, code: "no-way-may-be-set", part, why }];
}

/** A way of closing that takes nothing away from any hole. */
function isHarmless({ wallsIn, shutsTogether }: BeforeClosing["ways"][number]): boolean {
  return wallsIn.length === 0 && shutsTogether.length === 0;
}

const LEAST_FIRST = ["undecided", "conflict", "no"] as const satisfies readonly Verdict[];
