import { h } from "./dom.js";

/** A key as it is typed: held in this page's memory alone, never in an address or a store. */
export class KeyField {
  readonly element: HTMLElement;
  readonly #field: HTMLInputElement;

  constructor(id: string, label: string) {
    this.#field = h("input", {
      id,
      type: "password",
      autocomplete: "off",
      spellcheck: "false",
      maxlength: 200,
      "aria-describedby": `${id}-help`,
    });
    this.element = h(
      "div",
      { class: "rule-field key-field" },
      h("label", { for: id }, label),
      this.#field,
      h(
        "p",
        { class: "condition-note", id: `${id}-help` },
        "It stays on this page and is gone when the page is closed.",
      ),
    );
  }

  get value(): string | null {
    return this.#field.value.trim() || null;
  }

  clear(): void {
    this.#field.value = "";
  }

  focus(): void {
    this.#field.focus();
  }
}
