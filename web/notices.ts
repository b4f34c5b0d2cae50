import { button, h } from "./dom.js";

interface Way {
  readonly label: string;
  readonly take: () => void;
}

/** One short message at a time about what was recorded or refused; read out as it comes. */
export class Notices {
  readonly element = h("div", { class: "notice", role: "status" });

  /** @param warnings  what speaks against it, a line each */
  tell(words: string, ways: readonly Way[] = [], warnings: readonly string[] = []): void {
    this.element.replaceChildren(
      h("div", { class: "notice-words" }, h("p", {}, words), warnings.length > 0 && warningList(warnings)),
      ...ways.map(({ label, take }) => button(label, take)),
      button("✕", () => this.clear(), { class: "notice-close", "aria-label": "Dismiss this message" }),
    );
  }

  clear(): void {
    this.element.replaceChildren();
  }
}

/** The first is always in sight, the others unfold. */
function warningList([first, ...others]: readonly string[]): HTMLElement {
  return h(
    "details",
    { class: "warnings" },
    h("summary", {}, `Look at this: ${first}${others.length > 0 ? ` (and ${others.length} more)` : ""}`),
    h("ul", {}, ...[first, ...others].map((line) => h("li", {}, line))),
  );
}
