import { button, h } from "./dom.js";

interface Way {
  readonly label: string;
  readonly take: () => void;
}

/** One short message at a time about what was recorded or refused; read out as it comes. */
export class Notices {
  readonly element = h("div", { class: "notice", role: "status" });

  /** @param words  what happened, then anything to look at, a line each */
  tell(words: readonly string[], ways: readonly Way[] = []): void {
    this.element.replaceChildren(
      h("div", { class: "notice-words" }, ...words.map((line) => h("p", {}, line))),
      ...ways.map(({ label, take }) => button(label, take)),
      button("✕", () => this.clear(), { class: "notice-close", "aria-label": "Dismiss this message" }),
    );
  }

  clear(): void {
    this.element.replaceChildren();
  }
}
