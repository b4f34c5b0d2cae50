import { h } from "./dom.js";

/** A row of tabs over one panel: arrow keys move along it, the chosen one is in the tab order. */
export class Tabs {
  readonly element: HTMLElement;
  readonly #panel: HTMLElement;
  readonly #choose: (id: string) => void;

  constructor(label: string, panel: HTMLElement, choose: (id: string) => void) {
    this.element = h("div", {
      class: "tabs",
      role: "tablist",
      "aria-label": label,
      keydown: (e: KeyboardEvent) => this.#key(e),
    });
    this.#panel = panel;
    this.#choose = choose;
  }

  /** Shows these tabs with one of them chosen. */
  show(
    tabs: readonly { readonly id: string; readonly name: string; readonly note: string }[],
    chosen: string,
  ): void {
    const hadFocus = this.element.contains(document.activeElement);
    this.element.replaceChildren(
      ...tabs.map(({ id, name, note }) =>
        h(
          "button",
          {
            type: "button",
            role: "tab",
            id: `tab-${id}`,
            class: "tab",
            "data-id": id,
            "aria-selected": String(id === chosen),
            "aria-controls": this.#panel.id,
            tabindex: id === chosen ? 0 : -1,
            click: () => this.#choose(id),
          },
          name,
          note && h("span", { class: "tab-note" }, ` ${note}`),
        ),
      ),
    );
    this.#panel.setAttribute("aria-labelledby", `tab-${chosen}`);
    const tab = this.element.querySelector<HTMLElement>("[aria-selected=true]");
    if (hadFocus) tab?.focus();
    if (tab) this.#bringIn(tab);
  }

  /** On a small screen the row of tabs is wider than the screen. */
  #bringIn({ offsetLeft, offsetWidth }: HTMLElement): void {
    const { scrollLeft, clientWidth } = this.element;
    const left = offsetLeft - this.element.offsetLeft;
    if (left < scrollLeft || left + offsetWidth > scrollLeft + clientWidth) this.element.scrollLeft = left;
  }

  #key(event: KeyboardEvent): void {
    const tabs = [...this.element.querySelectorAll<HTMLElement>("[role=tab]")];
    const at = tabs.indexOf(document.activeElement as HTMLElement);
    const to =
      event.key === "ArrowRight"
        ? at + 1
        : event.key === "ArrowLeft"
          ? at - 1
          : event.key === "Home"
            ? 0
            : event.key === "End"
              ? tabs.length - 1
              : null;
    if (to === null || at < 0) return;
    event.preventDefault();
    const id = tabs[(to + tabs.length) % tabs.length]?.dataset.id;
    if (id) this.#choose(id);
  }
}
