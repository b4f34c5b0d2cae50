import type { Reading, Slots } from "../server/ask/types.js";
import type { HoleState } from "../server/kit/work.js";
import type { Bench, OnBench } from "./bench.js";
import { button, h } from "./dom.js";
import type { Marking } from "./marking.js";
import { stateOf } from "./marks.js";
import { counted, sayLook } from "./words.js";

const STATES: readonly HoleState[] = ["set", "pinned", "unset"];

/** What can be asked about chosen holes and marked on them, and the way back from the last marks. */
export class HolePanel {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #marking: Marking;
  readonly #ask: (reading: Reading) => void;

  constructor(bench: Bench, marking: Marking, ask: (reading: Reading) => void) {
    this.#bench = bench;
    this.#marking = marking;
    this.#ask = ask;
    this.element = h("section", { class: "hole-panel", "aria-label": "Chosen holes" });
    const draw = (): void => this.#draw();
    bench.on.watch(draw);
    bench.selected.watch(draw);
    bench.undoable.watch(draw);
  }

  #draw(): void {
    const on = this.#bench.on.value;
    if (!on) return;
    const holes = this.#bench.selected.value;
    const focused = this.element.contains(document.activeElement)
      ? document.activeElement?.getAttribute("data-does")
      : null;
    const undo = this.#undo();
    if (holes.length > 0) this.element.replaceChildren(...this.#chosen(holes, on, undo));
    else this.element.replaceChildren(...(undo ? [h("div", { class: "buttons" }, undo)] : []));
    if (focused) this.#refocus(focused);
  }

  #chosen(holes: readonly string[], on: OnBench, undo: HTMLElement | null): HTMLElement[] {
    const [only] = holes;
    const words =
      only !== undefined && holes.length === 1
        ? `${on.names.hole(only)}: ${sayLook(on.rulings.get(only), stateOf(on.work, only), on.names)}`
        : `${counted(holes.length, "hole")} chosen: ${on.names.holes(holes)}`;
    return [
      h(
        "div",
        { class: "chosen" },
        h("p", {}, words),
        button("Whole row", () => this.#bench.select([...holes, ...on.names.sameRows(holes)]), {
          "data-does": "row",
        }),
        button("Clear", () => this.#bench.select([]), { "data-does": "clear" }),
      ),
      h(
        "div",
        { class: "buttons", role: "group", "aria-label": "Mark as" },
        h("span", { class: "label" }, "Mark as"),
        ...STATES.map((state) =>
          button(
            state,
            () => void this.#marking.record(holes.map((hole) => ({ kind: "hole", hole, state }))),
            {
              "data-does": state,
              disabled: holes.every((hole) => stateOf(on.work, hole) === state),
            },
          ),
        ),
        undo,
      ),
      h(
        "div",
        { class: "buttons asks", role: "group", "aria-label": "Ask about" },
        h("span", { class: "label" }, "Ask"),
        ...questionsAbout(holes).map((reading) =>
          button(reading.said, () => this.#ask(reading), { class: "chip", "data-does": reading.said }),
        ),
      ),
    ];
  }

  #undo(): HTMLElement | null {
    const undoable = this.#bench.undoable.value;
    if (undoable === null) return null;
    return button(`Undo: ${undoable}`, () => void this.#marking.undo(), {
      class: "undo",
      "data-does": "undo",
    });
  }

  /** Keeps the keyboard where it was; if that button is gone, on the first one left. */
  #refocus(does: string): void {
    const all = [...this.element.querySelectorAll<HTMLButtonElement>("button:not(:disabled)")];
    (all.find((one) => one.dataset.does === does) ?? all[0])?.focus();
  }
}

/** Questions that make sense for chosen holes. */
function questionsAbout(holes: readonly string[]): readonly Reading[] {
  const [only] = holes;
  const slots: Slots = only !== undefined && holes.length === 1 ? { hole: only } : { holes };
  const [it, them] = holes.length === 1 ? ["it", "this hole"] : ["them", "these holes"];
  return [
    { form: "treatment", slots, said: "What is done here?" },
    { form: "why", slots, said: "Why?" },
    { form: "may-i", slots: { act: "set", ...slots }, said: `May I set ${it}?` },
    { form: "may-i", slots: { act: "dimple", ...slots }, said: `May I dimple ${it}?` },
    { form: "may-i", slots: { act: "pin", ...slots }, said: `May I pin ${it}?` },
    { form: "stay-open", slots, said: holes.length === 1 ? "Does it stay open?" : "Which stay open?" },
    { form: "changed", slots, said: `Did a notice change ${them}?` },
  ];
}
