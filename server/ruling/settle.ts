import type { ClaimValue, Status, Truth } from "./types.js";

/** One claim as settling sees it: what for, and whether its rule's conditions hold. */
export interface Stand {
  readonly value: ClaimValue;
  readonly verdict: Truth;
}

/** What came of some opposing claims. */
export interface Settlement {
  readonly status: Status;
  /** Only when settled. */
  readonly value: ClaimValue | null;
  /** Places, among the claims given, of those that carry the value, oppose each other, or matter and are unknown. */
  readonly claims: readonly number[];
}

/**
 * Settles one attribute of one hole: defeasible logic with team defeat and ambiguity blocking, kept sound
 * where conditions are unknown.
 *
 * A value is *certain* when some claim for it holds, and every claim for another value that holds or may
 * hold is beaten by some claim for it that holds (not necessarily by the same: team defeat). It is
 * *possible* when it would be certain if every unknown claim for it held and every unknown claim against it
 * did not. Settled = one value certain and no other possible, so that nothing still unknown can change it.
 * Nothing possible although a claim holds, or two values certain = conflict.
 *
 * @param beats  whether the claim at the first place beats the one at the second
 * @source G. Antoniou, D. Billington, G. Governatori, M. J. Maher, "Representation results for defeasible
 *         logic", ACM Transactions on Computational Logic 2(2), 2001 (team defeat, ambiguity blocking)
 */
export function settle(claims: readonly Stand[], beats: (a: number, b: number) => boolean): Settlement {
  const places = claims.map((_, place) => place);
  const live = places.filter((place) => claims[place]?.verdict !== "false");
  const holding = live.filter((place) => claims[place]?.verdict === "true");
  if (live.length === 0) return { status: "unclaimed", value: null, claims: [] };

  const valueAt = (place: number): ClaimValue => claims[place]?.value as ClaimValue;
  const isFor = (value: ClaimValue) => (place: number) => valueAt(place) === value;
  const isAgainst = (value: ClaimValue) => (place: number) => valueAt(place) !== value;
  const wins = (team: readonly number[], opponents: readonly number[]): boolean =>
    team.length > 0 && opponents.every((opponent) => team.some((member) => beats(member, opponent)));

  const values = [...new Set(live.map(valueAt))];
  const certain = values.filter((value) => wins(holding.filter(isFor(value)), live.filter(isAgainst(value))));
  const possible = values.filter((value) =>
    wins(live.filter(isFor(value)), holding.filter(isAgainst(value))),
  );

  const [value] = certain;
  if (value !== undefined && certain.length === 1 && possible.length === 1) {
    return { status: "settled", value, claims: holding.filter(isFor(value)) };
  }
  if (possible.length === 0 || certain.length > 1) {
    const unbeaten = holding.filter(
      (place) => !holding.filter(isAgainst(valueAt(place))).some((other) => beats(other, place)),
    );
    return { status: "conflict", value: null, claims: unbeaten.length > 0 ? unbeaten : holding };
  }
  return {
    status: "undecided",
    value: null,
    claims: live.filter((place) => claims[place]?.verdict === "unknown" && matters(place)),
  };

  /** Whether a claim that may hold could still make a difference to some value that is possible. */
  function matters(place: number): boolean {
    return possible.some(
      (candidate) =>
        valueAt(place) === candidate ||
        !holding.filter(isFor(candidate)).some((member) => beats(member, place)),
    );
  }
}
