import { h } from "./dom.js";

/** What to mind, the first in sight and all of them a tap away; nothing where there is nothing to mind. */
export function cautionsView(all: readonly string[]): HTMLElement[] {
  const [first, ...others] = all;
  if (first === undefined) return [];
  return [
    h(
      "details",
      { class: "cautions" },
      h(
        "summary",
        {},
        h("span", { class: "label" }, "Cautions "),
        h(
          "span",
          { class: "caution-first" },
          others.length > 0 ? `${first} (and ${others.length} more)` : first,
        ),
      ),
      h("ul", {}, ...all.map((caution) => h("li", {}, caution))),
    ),
  ];
}
