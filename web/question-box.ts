import { byId } from "./dom.js";

/** The box that questions are typed into. Enter sends; Shift and Enter begins a new line. */
export class QuestionBox {
  readonly #box: HTMLTextAreaElement;

  constructor(send: (words: string) => void) {
    const form = byId("ask") as HTMLFormElement;
    this.#box = byId("question") as HTMLTextAreaElement;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const words = this.#box.value.trim();
      if (words === "") return this.#box.focus();
      this.#box.value = "";
      this.#grow();
      send(words);
    });
    this.#box.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
      event.preventDefault();
      form.requestSubmit();
    });
    this.#box.addEventListener("input", () => this.#grow());
  }

  /** Puts words back that could not be sent, unless something else was typed meanwhile. */
  giveBack(words: string): void {
    if (this.#box.value === "") this.#box.value = words;
    this.#grow();
  }

  #grow(): void {
    this.#box.style.height = "auto";
    this.#box.style.height = `${this.#box.scrollHeight + 2}px`;
  }
}
