import type { Reading } from "../server/ask/types.js";
import type { HoleState } from "../server/kit/work.js";
import { Asks } from "./asks.js";
import type { Bench, OnBench } from "./bench.js";
import { button, h } from "./dom.js";
import type { Marking } from "./marking.js";
import { stateOf } from "./marks.js";
import type { NoteForm } from "./note-form.js";
import { capital, counted, sayLook } from "./words.js";

const STATES: readonly HoleState[] = ["set", "pinned", "unset"];

/** What can be asked about chosen holes and marked on them, and the way back from the last marks. */
export class HolePanel {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #marking: Marking;
  readonly #asks: Asks;
  readonly #note: NoteForm;

  constructor(bench: Bench, marking: Marking, note: NoteForm, ask: (reading: Reading) => void) {
    this.#note = note;
    this.#bench = bench;
    this.#marking = marking;
    this.#asks = new Asks(bench, ask);
    this.element = h("section", { class: "hole-panel", "aria-label": "Chosen holes" });
    const draw = (): void => this.#draw();
    bench.on.watch(draw);
    bench.selected.watch(draw);
    bench.part.watch(draw);
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
    const part = this.#bench.part.value;
    const [only] = holes;
    if (only !== undefined && holes.length === 1) this.#note.about({ hole: only }, on.names.hole(only));
    else if (part !== null) this.#note.about({ part }, on.names.part(part));
    if (holes.length > 0) this.#asks.about(holes.length === 1 && only ? { hole: only } : { holes });
    else if (part !== null) this.#asks.about({ part });
    if (holes.length > 0) this.element.replaceChildren(...this.#chosen(holes, on, undo));
    else if (part !== null) this.element.replaceChildren(...this.#pointed(part, on, undo));
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
      this.#asks.element,
      ...(holes.length === 1 ? [this.#note.element] : []),
    ];
  }

  /** A part that was tapped on the map. */
  #pointed(part: string, on: OnBench, undo: HTMLElement | null): HTMLElement[] {
    const holes = on.assembly.rows.filter((row) => row.part === part).flatMap((row) => row.holes);
    return [
      h(
        "div",
        { class: "chosen" },
        h("p", {}, capital(on.names.part(part))),
        holes.length > 0 &&
          button("Choose its holes", () => this.#bench.select(holes), { "data-does": "holes" }),
        button("Clear", () => this.#bench.select([]), { "data-does": "clear" }),
      ),
      ...(undo ? [h("div", { class: "buttons" }, undo)] : []),
      this.#asks.element,
      this.#note.element,
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

  /** Takes the keyboard to what can be asked and done about what is chosen. */
  focus(): void {
    this.element.querySelector<HTMLElement>("button:not(:disabled)")?.focus();
  }

  /** Keeps the keyboard where it was; if that button is gone, on the first one left. */
  #refocus(does: string): void {
    const all = [...this.element.querySelectorAll<HTMLButtonElement>("button:not(:disabled)")];
    (all.find((one) => one.dataset.does === does) ?? all[0])?.focus();
  }
}
