import { h, svg } from "./dom.js";
import { type HoleLook, holeSymbol, ruleSymbol } from "./hole-symbol.js";

const PLAIN: HoleLook = { shape: "as punched", state: "unset", held: false, open: null };

const ENTRIES: readonly (readonly [look: HoleLook, words: string])[] = [
  [PLAIN, "as punched"],
  [{ ...PLAIN, shape: "enlarge" }, "enlarge"],
  [{ ...PLAIN, shape: "dimple" }, "dimple"],
  [{ ...PLAIN, shape: "countersink" }, "countersink"],
  [{ ...PLAIN, shape: "undecided" }, "undecided"],
  [{ ...PLAIN, shape: "conflict" }, "conflict: rules oppose"],
  [PLAIN, "empty: unset"],
  [{ ...PLAIN, state: "pinned" }, "half filled: pinned"],
  [{ ...PLAIN, state: "set" }, "filled: set"],
  [{ ...PLAIN, held: true }, "bar: hold, stays open"],
];

/** While a rule is written or reviewed. */
const RULE_ENTRIES = [
  [{ holds: "yes", changes: false, wrong: false }, "square: the rule holds"],
  [{ holds: "open", changes: false, wrong: false }, "broken square: it may hold"],
  [{ holds: "yes", changes: true, wrong: false }, "Δ: the ruling would change"],
  [{ holds: "yes", changes: true, wrong: true }, "!: work done would be wrong"],
] as const;

/** What the symbols mean. */
export function legend(): HTMLElement {
  return h(
    "details",
    { class: "legend" },
    h("summary", {}, "Signs on the map"),
    h(
      "ul",
      {},
      ...ENTRIES.map(([look, words]) => h("li", {}, sample(holeSymbol(look, 5)), words)),
      h(
        "li",
        {},
        sample(svg("circle", { class: "hole-asked", r: 8 }), holeSymbol(PLAIN, 5)),
        "thick ring: in the answer",
      ),
      ...RULE_ENTRIES.map(([mark, words]) =>
        h("li", {}, sample(ruleSymbol(mark, 3.2), holeSymbol(PLAIN, 3.2)), words),
      ),
      h(
        "li",
        { class: "legend-chosen" },
        sample(
          holeSymbol(PLAIN, 5),
          svg("path", { class: "hole-selected", d: "M-9-4v-5h5M4-9h5v5M9 4v5h-5M-4 9h-5v-5" }),
        ),
        "corners: chosen",
      ),
    ),
  );
}

function sample(...drawn: readonly SVGElement[]): SVGSVGElement {
  return svg(
    "svg",
    {
      class: "sample",
      viewBox: "-10 -10 20 20",
      width: 26,
      height: 26,
      "aria-hidden": "true",
      focusable: "false",
    },
    ...drawn,
  );
}
