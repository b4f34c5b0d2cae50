import type { Verdict } from "../server/ask/types.js";
import { h, svg } from "./dom.js";

const WORDS: Readonly<Record<Verdict, string>> = {
  yes: "Yes",
  no: "No",
  undecided: "Undecided",
  conflict: "Conflict",
};

/** Each verdict has its own outline and its own sign, so that it reads without colour. */
const SHAPES: Readonly<Record<Verdict, { readonly outline: string; readonly sign: string }>> = {
  yes: { outline: "M12 2a10 10 0 1 0 0 20a10 10 0 1 0 0-20z", sign: "M7.5 12.5l3 3l6-7" },
  no: { outline: "M8 2h8l6 6v8l-6 6h-8l-6-6v-8z", sign: "M7 12h10" },
  undecided: {
    outline: "M12 1l11 11l-11 11l-11-11z",
    sign: "M9.4 10a2.6 2.6 0 1 1 3.9 2.2q-1.3.8-1.3 2.1M12 17v.3",
  },
  conflict: { outline: "M12 2l11 20h-22z", sign: "M12 9v6M12 18v.3" },
};

/** For a question put the other way round yes is no leave and no is no bar: neither has the sign of one. */
const TURNED: Readonly<Record<"yes" | "no", { readonly outline: string; readonly sign: string }>> = {
  yes: { outline: "M3 3h18v18h-18z", sign: "M12 7v6M12 16.6v.3" },
  no: { outline: "M3 3h18v18h-18z", sign: "M8 12h8" },
};

/**
 * The verdict as a sign and its word.
 * @param isSaid  the word stands beside it already
 * @param isTurned  it answers a question put the other way round: "does it foul?"
 */
export function verdictMark(verdict: Verdict, isSaid = false, isTurned = false): HTMLElement {
  const isNeutral = isTurned && (verdict === "yes" || verdict === "no");
  const { outline, sign } = isNeutral ? TURNED[verdict] : SHAPES[verdict];
  return h(
    "span",
    { class: `verdict verdict-${isNeutral ? "turned" : verdict}` },
    svg(
      "svg",
      { viewBox: "0 0 24 24", width: 24, height: 24, "aria-hidden": "true", focusable: "false" },
      svg("path", { d: outline, class: "verdict-outline" }),
      svg("path", { d: sign, class: "verdict-sign" }),
    ),
    h("span", { class: isSaid && "unseen" }, WORDS[verdict]),
  );
}
