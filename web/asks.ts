import type { Reading, Slots } from "../server/ask/types.js";
import { fetchSuggestions } from "./api.js";
import type { Bench } from "./bench.js";
import { button, h } from "./dom.js";

/** Questions that make sense about what is pointed at, as the work stands; the server knows which. */
export class Asks {
  readonly element = h("div", { class: "buttons asks", role: "group", "aria-label": "Ask about" });
  readonly #bench: Bench;
  readonly #ask: (reading: Reading) => void;
  #key = "";

  constructor(bench: Bench, ask: (reading: Reading) => void) {
    this.#bench = bench;
    this.#ask = ask;
  }

  /** Asks the server for them, once for the same thing at the same state of the work. */
  about(slots: Slots): void {
    const on = this.#bench.on.value;
    if (!on) return;
    const { kit, id } = on.assembly;
    const key = JSON.stringify([kit.id, id, on.work.version, slots]);
    if (key === this.#key) return;
    this.#key = key;
    this.element.setAttribute("aria-busy", "true");
    void fetchSuggestions(kit.id, id, slots)
      // Without them everything can still be typed; the next tap tries again.
      .catch(() => {
        if (this.#key === key) this.#key = "";
        return [];
      })
      .then((readings) => {
        if (this.#key !== key && this.#key !== "") return;
        this.element.replaceChildren(
          h("span", { class: "label" }, "Ask"),
          ...readings.map((reading) =>
            button(reading.short, () => this.#ask(reading), {
              class: "chip",
              title: reading.said,
              "data-does": reading.said,
            }),
          ),
        );
        this.element.removeAttribute("aria-busy");
      });
  }
}
