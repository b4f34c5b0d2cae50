import type { ClaimValue, Status } from "./types.js";

/** One claim as settling sees it: what for, and whether its rule's conditions hold or only may hold. */
export interface Stand {
  /** Which of an attribute's claims it is. */
  readonly place: number;
  readonly value: ClaimValue;
  /** False = some fact is missing; claims whose rules do not hold are left out. */
  readonly holds: boolean;
}

/** What came of some opposing claims. */
export interface Settlement {
  readonly status: Status;
  /** Only when settled. */
  readonly value: ClaimValue | null;
  /** Places of the claims that carry the value, oppose each other, or matter and are unknown; ascending. */
  readonly claims: readonly number[];
}

/** Whether the claim at the first place beats the one at the second. */
export type Beats = (stronger: number, weaker: number) => boolean;

/** The claims for one value: places of those that hold, and of those that hold or may hold. */
interface Team {
  readonly value: ClaimValue;
  readonly holding: readonly number[];
  readonly live: readonly number[];
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
 * @source G. Antoniou, D. Billington, G. Governatori, M. J. Maher, "Representation results for defeasible
 *         logic", ACM Transactions on Computational Logic 2(2), 2001 (team defeat, ambiguity blocking)
 */
export function settle(stands: readonly Stand[], beats: Beats): Settlement {
  const teams = teamsOf(stands);
  if (teams.length === 0) return { status: "unclaimed", value: null, claims: [] };
  const certain = teams.filter((team) => wins(team.holding, team, teams, "live", beats));
  const possible = teams.filter((team) => wins(team.live, team, teams, "holding", beats));

  const [winner] = certain;
  if (winner && certain.length === 1 && possible.length === 1) {
    return { status: "settled", value: winner.value, claims: winner.holding };
  }
  if (possible.length === 0 || certain.length > 1) {
    return { status: "conflict", value: null, claims: opposing(teams, beats) };
  }
  return { status: "undecided", value: null, claims: openClaims(teams, possible, beats) };
}

function teamsOf(stands: readonly Stand[]): readonly Team[] {
  const teams = new Map<ClaimValue, { value: ClaimValue; holding: number[]; live: number[] }>();
  for (const { place, value, holds } of stands) {
    let team = teams.get(value);
    if (!team) {
      team = { value, holding: [], live: [] };
      teams.set(value, team);
    }
    team.live.push(place);
    if (holds) team.holding.push(place);
  }
  return [...teams.values()];
}

/** Whether some members of a team beat, together, all the other teams' claims that count. */
function wins(
  members: readonly number[],
  team: Team,
  teams: readonly Team[],
  counting: "live" | "holding",
  beats: Beats,
): boolean {
  if (members.length === 0) return false;
  for (const other of teams) {
    if (other === team) continue;
    for (const opponent of other[counting]) if (!isBeaten(opponent, members, beats)) return false;
  }
  return true;
}

function isBeaten(opponent: number, members: readonly number[], beats: Beats): boolean {
  for (const member of members) if (beats(member, opponent)) return true;
  return false;
}

/** The claims that hold and that no claim for another value beats; all that hold when each is beaten. */
function opposing(teams: readonly Team[], beats: Beats): readonly number[] {
  const unbeaten = teams.flatMap((team) =>
    team.holding.filter(
      (place) => !teams.some((other) => other !== team && isBeaten(place, other.holding, beats)),
    ),
  );
  return (unbeaten.length > 0 ? unbeaten : teams.flatMap((team) => team.holding)).sort((a, b) => a - b);
}

/** The unknown claims that could still make a difference to some value that is possible. */
function openClaims(teams: readonly Team[], possible: readonly Team[], beats: Beats): readonly number[] {
  return teams
    .flatMap((team) =>
      team.live.filter(
        (place) =>
          !team.holding.includes(place) &&
          possible.some((candidate) => candidate === team || !isBeaten(place, candidate.holding, beats)),
      ),
    )
    .sort((a, b) => a - b);
}
