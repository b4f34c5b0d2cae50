import type { Offers, SlotOffers } from "../server/ask/offers.js";
import type { Reading, Slots } from "../server/ask/types.js";
import { fetchForms, fetchOffers, Refusal } from "./api.js";
import type { Bench, OnBench } from "./bench.js";
import { button, h } from "./dom.js";
import { problemView } from "./problem-view.js";
import type { FormShown } from "./wire.js";

/** Puts a question together by choosing: what one wants to know, then each thing that it is about. */
export class Chooser {
  readonly element: HTMLDialogElement;
  readonly #bench: Bench;
  readonly #ask: (reading: Reading) => void;
  readonly #purpose = h("select", {
    id: "choose-form",
    change: () => void this.#choose(this.#purpose.value, {}),
  });
  readonly #slots = h("div", { class: "choose-slots" });
  readonly #said = h("p", { class: "choose-said", role: "status", "aria-live": "polite" });
  readonly #go = button("Ask", () => this.#send(), { class: "primary" });
  #forms: readonly FormShown[] = [];
  #offers: Offers | null = null;
  /** What the choices so far are about. */
  #assembly: OnBench["assembly"] | undefined;
  /** The latest choice; an answer to an earlier one comes too late. */
  #asking: symbol | null = null;

  constructor(bench: Bench, ask: (reading: Reading) => void) {
    this.#bench = bench;
    this.#ask = ask;
    this.element = h(
      "dialog",
      { class: "chooser-dialog", "aria-labelledby": "choose-title" },
      h("h2", { id: "choose-title" }, "Choose a question"),
      h(
        "div",
        { class: "choose-row" },
        h("label", { for: "choose-form" }, "What do you want to know?"),
        this.#purpose,
      ),
      this.#slots,
      this.#said,
      h(
        "div",
        { class: "buttons" },
        this.#go,
        button("Close", () => this.element.close()),
      ),
    );
  }

  /** Opens with the question last chosen, brought up to the present state. */
  async open(): Promise<void> {
    this.element.showModal();
    try {
      if (this.#forms.length === 0) await this.#fill();
      const { assembly } = this.#bench.on.value ?? {};
      // Another assembly does not have what was chosen on the one before.
      const isSame = this.#assembly === assembly && this.#offers?.form === this.#purpose.value;
      this.#assembly = assembly;
      await this.#choose(this.#purpose.value, isSame ? (this.#offers?.slots ?? {}) : {});
    } catch (error) {
      this.#slots.replaceChildren(problemView(error, () => void this.open()));
    }
  }

  async #fill(): Promise<void> {
    this.#forms = (await fetchForms()).filter(({ statement }) => !statement);
    this.#purpose.replaceChildren(
      ...this.#forms.map(({ id, purpose }) => h("option", { value: id }, purpose)),
    );
  }

  async #choose(form: string, slots: Slots): Promise<void> {
    const on = this.#bench.on.value;
    if (!on) return;
    const asking = Symbol(form);
    this.#asking = asking;
    try {
      const offers = await fetchOffers(on.assembly.kit.id, on.assembly.id, form, slots);
      if (this.#asking === asking) this.#draw(offers);
    } catch (error) {
      if (this.#asking !== asking) return;
      this.#go.disabled = true;
      // What was typed stays where it can be mended.
      if (error instanceof Refusal && this.#offers?.form === form)
        this.#said.textContent = `${error.message} ${error.fix ?? ""}`;
      else this.#slots.replaceChildren(problemView(error, () => void this.#choose(form, slots)));
    }
  }

  #draw(offers: Offers): void {
    const focused = this.#slots.contains(document.activeElement) ? document.activeElement?.id : null;
    this.#offers = offers;
    const chips = [...offers.chips].sort((a, b) => placeOrder(a) - placeOrder(b));
    this.#slots.replaceChildren(...chips.map((chip) => this.#slot(chip, offers)));
    this.#said.textContent = offers.said ?? offers.missing.map(({ ask }) => ask).join(" ");
    this.#go.disabled = offers.said === null;
    if (focused) document.getElementById(focused)?.focus();
  }

  #slot(chip: SlotOffers, { form, slots, missing }: Offers): HTMLElement {
    const { slot, label, required, offers, first, typed, without } = chip;
    const id = `choose-${slot}`;
    const isMissing = missing.some((one) => one.slot === slot);
    const name = h(
      "label",
      { for: id },
      label,
      (required || isMissing) && h("span", { class: "needed" }, " (needed)"),
    );
    const value = slots[slot];
    if (typed && typeof value !== "object") {
      return h(
        "div",
        { class: "choose-row" },
        name,
        h("input", {
          id,
          type: "text",
          maxlength: 200,
          value: value ?? "",
          list: offers.length > 0 ? `${id}-list` : null,
          change: (event: Event) => {
            const text = (event.currentTarget as HTMLInputElement).value.trim();
            void this.#choose(form, text === "" ? without : { ...slots, [slot]: text });
          },
        }),
        offers.length > 0 &&
          h("datalist", { id: `${id}-list` }, ...offers.map(({ said }) => h("option", { value: said }))),
      );
    }
    const chosen = offers.findIndex(({ current }) => current);
    const select = h(
      "select",
      {
        id,
        disabled: offers.length === 0,
        change: () => void this.#choose(form, offers[Number(select.value)]?.slots ?? without),
      },
      h("option", { value: "" }, first ?? (offers.length === 0 ? "the kit has none" : "not chosen")),
      ...offers.map(({ said, current }, at) => h("option", { value: at, selected: current }, said)),
    );
    if (chosen < 0) select.value = "";
    return h("div", { class: "choose-row" }, name, select);
  }

  #send(): void {
    const { form, slots, said } = this.#offers ?? {};
    if (form === undefined || slots === undefined || !said) return;
    this.element.close();
    this.#ask({ form, slots, said });
  }
}

const PLACES: readonly string[] = ["act", "part", "row", "hole", "holes", "family"];

/** What is done comes first, then the place from the part down to the hole; all else stays in the form's order. */
function placeOrder({ slot }: SlotOffers): number {
  const at = PLACES.indexOf(slot);
  return at < 0 ? PLACES.length : at;
}
