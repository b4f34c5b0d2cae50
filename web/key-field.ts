import { h } from "./dom.js";

/** A key as it is typed: held in this page's memory alone, never in an address or a store. */
export class KeyField {
  readonly element: HTMLElement;
  readonly #field: HTMLInputElement;

  /** @param changed  told of the key as it is now; null = none */
  constructor(id: string, label: string, changed: (key: string | null) => void = () => undefined) {
    this.#field = h("input", {
      id,
      type: "password",
      autocomplete: "off",
      spellcheck: "false",
      maxlength: 200,
      "aria-describedby": `${id}-help`,
      input: () => changed(this.value),
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
