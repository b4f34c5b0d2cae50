import { h } from "./dom.js";

const KEPT_AS = "tailroom.who";
/** As long as the server takes. */
const MOST_LETTERS = 80;

/** Who is working here: the name that marks are recorded under, kept in this browser. */
export class Who {
  readonly element: HTMLElement;
  readonly #field: HTMLInputElement;

  constructor() {
    this.#field = h("input", {
      id: "who",
      type: "text",
      maxlength: MOST_LETTERS,
      autocomplete: "name",
      placeholder: "builder",
      change: () => keep(this.#field.value.trim()),
    });
    this.#field.value = kept();
    this.element = h("p", { class: "who" }, h("label", { for: "who" }, "Who is working?"), this.#field);
  }

  /** Null = nobody said; the book then says "builder". */
  get name(): string | null {
    return this.#field.value.trim() || null;
  }
}

/** A browser that keeps nothing must not keep the page from working. */
function kept(): string {
  try {
    return localStorage.getItem(KEPT_AS)?.slice(0, MOST_LETTERS) ?? "";
  } catch {
    return "";
  }
}

function keep(name: string): void {
  try {
    localStorage.setItem(KEPT_AS, name);
  } catch {
    // The field still holds it until the page is left.
  }
}
