import { h } from "./dom.js";

/** A key to the door, as it is typed: held in this page's memory alone, never in an address or a store. */
export class DoorKey {
  readonly element: HTMLElement;
  readonly #field: HTMLInputElement;

  constructor() {
    this.#field = h("input", {
      id: "door-key",
      type: "password",
      autocomplete: "off",
      spellcheck: "false",
      maxlength: 200,
      "aria-describedby": "door-key-help",
    });
    this.element = h(
      "div",
      { class: "rule-field door-key" },
      h("label", { for: "door-key" }, "Key"),
      this.#field,
      h(
        "p",
        { class: "condition-note", id: "door-key-help" },
        "It stays on this page and is gone when the page is closed.",
      ),
    );
  }

  /** Null = none was typed. */
  get value(): string | null {
    return this.#field.value.trim() || null;
  }

  focus(): void {
    this.#field.focus();
  }
}
