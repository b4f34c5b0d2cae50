import type { Treatment } from "../server/kit/types.js";
import type { HoleState } from "../server/kit/work.js";
import { svg } from "./dom.js";
import type { RulingShown } from "./wire.js";

/** What a symbol tells: the shape is the treatment, the filling the state, a bar over it a hold. */
export interface HoleLook {
  readonly shape: Treatment | "undecided" | "conflict";
  readonly state: HoleState;
  readonly held: boolean;
  /** The treatment is ruled, but something else about the hole is not. */
  readonly open: "undecided" | "conflict" | null;
}

export function lookOf(ruling: RulingShown | undefined, state: HoleState): HoleLook {
  const { treatment = null, open = [] } = ruling ?? {};
  const held = Boolean(ruling?.hold);
  const openly = open.some(({ status }) => status === "conflict")
    ? "conflict"
    : open.length > 0
      ? "undecided"
      : null;
  if (isTreatment(treatment)) return { shape: treatment, state, held, open: openly };
  const inConflict = open.some(({ attribute, status }) => attribute === "treatment" && status === "conflict");
  return { shape: inConflict ? "conflict" : "undecided", state, held, open: null };
}

/** The symbol around (0, 0), its circle of radius `r` in the drawing's units. */
export function holeSymbol(look: HoleLook, r: number): SVGGElement {
  const body = BODIES[look.shape];
  return svg(
    "g",
    { class: `symbol symbol-${look.shape.replace(" ", "-")} is-${look.state}`, transform: `scale(${r})` },
    look.shape === "enlarge" && svg("circle", { r: 1.25, class: "symbol-ring" }),
    svg("path", { d: body.whole, class: "symbol-body" }),
    look.state === "pinned" && svg("path", { d: body.half, class: "symbol-half" }),
    look.shape === "undecided" && sign("?", 0),
    look.shape === "conflict" && sign("!", 0.2),
    look.open &&
      svg(
        "g",
        { transform: "translate(1.25 -1.1) scale(.75)" },
        sign(look.open === "conflict" ? "!" : "?", 0),
      ),
    look.held && svg("path", { d: "M-1.15-1.6h2.3M0-1.6v.4", class: "symbol-hold" }),
  );
}

/**
 * Around a hole's symbol, what a rule that is not in force yet would be to it: a square where it holds, a broken
 * one where that is open, a delta where something changes, and an exclamation mark where work done would be wrong.
 */
export function ruleSymbol(
  { holds, changes, wrong }: { readonly holds: string; readonly changes: boolean; readonly wrong: boolean },
  r: number,
): SVGGElement {
  return svg(
    "g",
    { class: "rule-mark", transform: `scale(${r})` },
    holds !== "no" &&
      svg("rect", {
        class: holds === "yes" ? "rule-square" : "rule-square is-open",
        x: -1.7,
        y: -1.7,
        width: 3.4,
        height: 3.4,
      }),
    changes &&
      svg("text", { class: "symbol-sign rule-sign", x: -2.1, y: -1.9, "font-size": 2.1 }, wrong ? "!" : "Δ"),
  );
}

interface Outline {
  readonly whole: string;
  /** The left half, filled when a temporary fastener is in. */
  readonly half: string;
}

const CIRCLE: Outline = { whole: "M0-1a1 1 0 1 0 0 2a1 1 0 1 0 0-2z", half: "M0-1a1 1 0 0 0 0 2z" };
const BODIES: Readonly<Record<HoleLook["shape"], Outline>> = {
  "as punched": CIRCLE,
  enlarge: { whole: "M0-.75a.75.75 0 1 0 0 1.5a.75.75 0 1 0 0-1.5z", half: "M0-.75a.75.75 0 0 0 0 1.5z" },
  dimple: { whole: "M0-1.3l1.3 1.3l-1.3 1.3l-1.3-1.3z", half: "M0-1.3v2.6l-1.3-1.3z" },
  countersink: { whole: "M-1-1h2v2h-2z", half: "M-1-1h1v2h-1z" },
  undecided: CIRCLE,
  conflict: { whole: "M0-1.3l1.35 2.3h-2.7z", half: "M0-1.3v2.3h-1.35z" },
};

function sign(text: string, y: number): SVGTextElement {
  return svg("text", { class: "symbol-sign", y, "font-size": 1.6 }, text);
}

function isTreatment(value: string | null): value is Treatment {
  return value === "as punched" || value === "enlarge" || value === "dimple" || value === "countersink";
}
