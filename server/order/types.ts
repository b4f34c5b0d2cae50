import type { Assembly, Kit, Treatment } from "../kit/types.js";
import type { Work } from "../kit/work.js";
import type { Blocker, Reach } from "../reach/types.js";
import type { Rulings, Truth } from "../ruling/types.js";
import type { Misfit } from "./misfit.js";

/** What order needs to know of the rulings: what was settled at each hole. */
export type HoleRulings = Pick<Rulings, "of">;

/** Where the work stands, with everything that decides what may come next. A `Job` is one. */
export interface Standing {
  readonly kit: Kit;
  readonly assembly: Assembly;
  readonly reach: Reach;
  readonly work: Work;
  readonly rulings: HoleRulings;
}

/**
 * How firmly a part is on, read from the marks: `closed` = a rivet through it is set, `pinned` = only
 * temporary fasteners hold it, `loose` = no mark says that it is on.
 */
export type PartState = "closed" | "pinned" | "loose";

export interface StackPart {
  readonly part: string;
  readonly state: PartState;
}

/** A hold in force at a hole, or one of which it isn't known whether it is in force. */
export interface Hold {
  readonly hole: string;
  /** `settled`: in force. Otherwise the rules don't decide; that is never "not held". */
  readonly status: "settled" | "undecided" | "conflict";
  /** Milestone id; null unless settled. */
  readonly until: string | null;
  readonly ruleIds: readonly string[];
  readonly missing: readonly string[];
}

/** One approach of an unset hole as the work stands. */
export interface ApproachNow {
  readonly approach: string;
  readonly free: boolean;
  /** Parts of the hole's own stack in its way: then it never works. */
  readonly ownStack: readonly Blocker[];
  /** Closed parts in its way. */
  readonly blockedNow: readonly Blocker[];
}

/** An unset hole that can't be set any more without drilling, as the work stands. */
export interface WalledIn {
  readonly hole: string;
  /** True: its own stack is in every approach's way, so it could not be set with nothing closed either. */
  readonly never: boolean;
  readonly approaches: readonly ApproachNow[];
}

/** A part that comes to stand in an approach's way when the part asked about closes. */
export interface ClosingBlocker extends Blocker {
  /** `every`: whichever rivet closes the part; `some`: only by some of the ways. */
  readonly ways: "every" | "some";
}

export interface ApproachAfter extends ApproachNow {
  /** Empty for an approach that stays as it is. */
  readonly closes: readonly ClosingBlocker[];
}

/** An order rule's claim on a hole, with how the part that it names stands. */
export interface OrderRule {
  readonly hole: string;
  readonly rule: string;
  readonly strength: "must" | "prefer";
  /** The hole is set before, or after, the part comes on. */
  readonly relation: "before" | "after";
  readonly part: string;
  readonly partState: PartState;
  /** Whether the rule holds here; `unknown` when a fact is missing. */
  readonly verdict: Truth;
}

/** An unset hole that the closing of a part concerns, and why. */
export interface HoleBefore {
  readonly hole: string;
  readonly because: readonly ("walled in" | "order rule")[];
  /** Whether the closing walls it in, over the ways of closing by another rivet than its own. */
  readonly walledIn: "every way" | "some ways" | "no way";
  /** It goes through the part that closes: it is itself a way of closing it. */
  readonly throughPart: boolean;
  /** What closes each approach. */
  readonly approaches: readonly ApproachAfter[];
  /** Its stack, head side first, each part once; those `loose` have to come on before it can be set. */
  readonly stack: readonly StackPart[];
  /** Rivets that close the part and wall this hole in … */
  readonly wallingWays: readonly string[];
  /** … and those that close the part and leave it free. */
  readonly freeWays: readonly string[];
  readonly orderRules: readonly OrderRule[];
  readonly hold: Hold | null;
}

/** Rivets that close a part and the same other parts with it. */
export interface ClosingWay {
  readonly holes: readonly string[];
  /** Parts that these rivets close and that are not closed yet, the part asked about included. */
  readonly closes: readonly string[];
  /** Holes that this way walls in. */
  readonly wallsIn: readonly string[];
  /** Holes whose treatment is not settled and whose layers this way brings together for good. */
  readonly shutsTogether: readonly string[];
}

/** The hole must be set before the closing and must stay open until later: both can't be. */
export interface HoldContradiction {
  readonly hole: string;
  readonly hold: Hold;
  readonly because: readonly ("walled in" | "order rule")[];
  readonly walledIn: HoleBefore["walledIn"];
}

/** What has to be done before a part closes. Holes are in the assembly's order. */
export interface BeforeClosing {
  readonly part: string;
  /**
   * `open`: it can be closed; `closed`: a rivet through it is set already; `cannot close`: no rivet
   * through it can be set as the work stands.
   */
  readonly status: "open" | "closed" | "cannot close";
  readonly ways: readonly ClosingWay[];
  /** Walled in whichever way the part is closed, or a must rule says so. */
  readonly mustBefore: readonly HoleBefore[];
  /** Walled in by some ways of closing and not by others. */
  readonly dependsOnWay: readonly HoleBefore[];
  /** A must rule may hold for it; a fact is missing. */
  readonly undecided: readonly HoleBefore[];
  /** Loses an approach and keeps one, whichever way. */
  readonly alsoOneSided: readonly HoleBefore[];
  /** A preference says before. */
  readonly preferBefore: readonly HoleBefore[];
  readonly contradictions: readonly HoldContradiction[];
  /**
   * Holes that may yet have to be dimpled and whose layers some way of closing brings together for good; empty
   * where one way of closing brings none together.
   */
  readonly keepApart: readonly string[];
  /** For a closed part: unset holes walled in now behind it, or that a must rule wanted set before it. */
  readonly late: readonly HoleBefore[];
}

/** Something that has to be done to a part before it comes on. */
export interface PrepGateState {
  readonly part: string;
  readonly gate: string;
  /** `kit`: the kit lists it; `ruling`: a ruling on a hole through the part calls for it. */
  readonly from: "kit" | "ruling";
  /** `unknown`: a treatment on which it hangs is not settled. */
  readonly needed: "true" | "unknown";
  /** Holes whose rulings call for it, or leave it unknown; empty when the kit lists it. */
  readonly holes: readonly string[];
  readonly done: boolean;
}

export type Verdict = "yes" | "no" | "undecided" | "conflict";

/** What a reason does to the verdict: a `note` leaves it as it is. */
export type Weight = "no" | "conflict" | "undecided" | "note";

export type Act = "close" | "set" | "pin" | "dimple" | "countersink" | "enlarge";
export type TreatingAct = Extract<Act, Treatment>;

/** One reason for a verdict, as a code with its fields; the wording is made elsewhere. */
export type Reason = { readonly weight: Weight } & (
  | { readonly code: "already-set"; readonly hole: string }
  | { readonly code: "already-closed"; readonly part: string }
  /** No rivet through the part can be set: all are set, walled in, or there are none. */
  | { readonly code: "nothing-closes-it"; readonly part: string }
  | {
      readonly code: "walled-in";
      readonly hole: string;
      readonly never: boolean;
      readonly approaches: readonly ApproachNow[];
    }
  /** Pinned parts stand in the way of every approach that is left: they come off first. */
  | { readonly code: "pinned-in-the-way"; readonly hole: string; readonly parts: readonly string[] }
  | { readonly code: "held"; readonly hold: Hold }
  | { readonly code: "would-wall-in"; readonly holes: readonly HoleBefore[] }
  /** Rivets that no order sets any more afterwards, though nothing is walled in at once. */
  | { readonly code: "dead-end"; readonly holes: readonly string[] }
  /** Holes that may yet have to be dimpled, for their treatment is not settled; their layers would no longer come apart. */
  | { readonly code: "keep-apart"; readonly holes: readonly string[] }
  /** A hole about to be walled in is to stay open. */
  | { readonly code: "walls-in-held"; readonly contradictions: readonly HoldContradiction[] }
  /** Each way of closing walls something in, though not the same holes. */
  | { readonly code: "every-way-walls-in"; readonly ways: readonly ClosingWay[] }
  /** Close it by one of these rivets, not by those. */
  | { readonly code: "choose-way"; readonly use: readonly string[]; readonly avoid: readonly string[] }
  /** No rivet that closes the part may be set now; `why` gives the reasons of each. */
  | { readonly code: "no-way-may-be-set"; readonly part: string; readonly why: readonly May[] }
  | {
      readonly code: "not-settled";
      readonly hole: string;
      readonly attribute: string;
      readonly status: "undecided" | "conflict" | "unclaimed";
      readonly ruleIds: readonly string[];
      readonly missing: readonly string[];
    }
  | { readonly code: "prep-open"; readonly gate: PrepGateState; readonly partState: PartState }
  /** Whether the gate is needed hangs on a treatment that is not settled. */
  | { readonly code: "prep-unknown"; readonly gate: PrepGateState; readonly partState: PartState }
  | { readonly code: "order-rule"; readonly order: OrderRule }
  | {
      readonly code: "limit";
      readonly hole: string;
      readonly rule: string;
      readonly fact: string;
      readonly min: number | null;
      readonly max: number | null;
      readonly actual: number | null;
      readonly verdict: Truth;
    }
  /** The ruled rivet does not go in as the rest of the ruling, the stack and the sheets are. */
  /** Whether the ruled rivet holds the stack cannot be told from the kit's data. */
  | { readonly code: "grip-unknown"; readonly hole: string; readonly rivet: string }
  | { readonly code: "misfit"; readonly hole: string; readonly misfit: Misfit }
  /** A part of the stack that no mark shows on the assembly. */
  | { readonly code: "stack-part-loose"; readonly hole: string; readonly part: string }
  | {
      readonly code: "ruled-otherwise";
      readonly hole: string;
      readonly attribute: string;
      readonly ruled: string | number;
      readonly ruleIds: readonly string[];
    }
  /** What is asked is what is ruled. */
  | {
      readonly code: "as-ruled";
      readonly hole: string;
      readonly attribute: string;
      readonly ruled: string | number;
      readonly ruleIds: readonly string[];
    }
  /** Two or more layers' parts are closed: they no longer come apart, and a dimple needs every layer by itself. */
  | { readonly code: "layers-together"; readonly hole: string; readonly parts: readonly string[] }
  /** Pins come out of these first: dimpling and deburring need the layers apart. */
  | { readonly code: "part-the-layers"; readonly hole: string; readonly parts: readonly string[] }
  /** By the kit's order of work the hole goes to its final diameter before it is dimpled or countersunk. */
  | { readonly code: "enlarge-first"; readonly hole: string; readonly finalDiameterMm: number }
  /** The kit's order of work has it formed at the punched size, and drilled afterwards. */
  | { readonly code: "form-first"; readonly hole: string; readonly form: "dimple" | "countersink" }
  /** It is both enlarged and formed, neither is marked, and the kit does not name which comes first. */
  | { readonly code: "order-not-named"; readonly hole: string; readonly form: "dimple" | "countersink" }
  /** The final diameter is not larger than the punched one. */
  | {
      readonly code: "nothing-to-enlarge";
      readonly hole: string;
      readonly punchedMm: number;
      readonly finalDiameterMm: number;
    }
  /** Already marked as done on this part. */
  | { readonly code: "gate-done"; readonly hole: string; readonly part: string; readonly gate: string }
  /** The holes can all be set, in this order and not in any order. */
  | { readonly code: "in-this-order"; readonly holes: readonly string[] }
  /** In whatever order, these wall each other in. */
  | { readonly code: "wall-each-other-in"; readonly holes: readonly string[] }
);

/** Whether an act may be done now, with every reason. */
export interface May {
  readonly act: Act;
  /** Part id for `close`, hole ids otherwise. */
  readonly part: string | null;
  readonly holes: readonly string[];
  readonly verdict: Verdict;
  readonly reasons: readonly Reason[];
}
