import type { Side } from "../kit/types.js";

/** Why an approach is blocked by a part. */
export interface Blocker {
  readonly part: string;
  /** From the drawing's geometry, or stated by the kit by hand. */
  readonly kind: "geometry" | "stated";
  /** Room that it stands in ("puller nose"), for geometry; null when stated. */
  readonly room: string | null;
  readonly side: Side | null;
  readonly why: string | null;
}

export interface ApproachReach {
  readonly approach: string;
  /** Parts outside the hole's own stack that stand in its way once they are on. */
  readonly blockedBy: readonly Blocker[];
  /** Parts of the hole's own stack that stand in its way: then this approach never works. */
  readonly ownStack: readonly Blocker[];
  /** What stands in a drill's way at the rivet's head; left out when the kit draws no room for a drill. */
  readonly drill?: Pick<ApproachReach, "blockedBy" | "ownStack">;
}

export interface HoleReach {
  readonly hole: string;
  readonly approaches: readonly ApproachReach[];
}

/** Reach of every hole, in the assembly's order. */
export interface Reach {
  readonly holes: readonly HoleReach[];
}
