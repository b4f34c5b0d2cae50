import type { Reading } from "../server/ask/types.js";
import { recordAddress } from "./api.js";
import { Asks } from "./asks.js";
import type { Bench, OnBench } from "./bench.js";
import { button, h } from "./dom.js";
import type { Marking } from "./marking.js";
import { isPrepDone, stateOf } from "./marks.js";
import type { NoteForm } from "./note-form.js";
import type { Who } from "./who.js";
import type { PartShown } from "./wire.js";
import { counted } from "./words.js";

/** What can be done from within the list beside marking and asking. */
export interface PartActions {
  readonly showHoles: (holes: readonly string[]) => void;
  readonly pointAt: (part: string) => void;
  /** For remarks on the whole assembly. */
  readonly note: NoteForm;
}

/** The assembly's parts with their prep gates, and the milestones; each box is a mark in the shop book. */
export class PartsList {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #list = h("div");
  readonly #record = h("a", { class: "record-link" }, "Build record");
  readonly #marking: Marking;
  readonly #ask: (reading: Reading) => void;
  readonly #showHoles: (holes: readonly string[]) => void;
  readonly #pointAt: (part: string) => void;
  readonly #note: NoteForm;

  constructor(
    bench: Bench,
    marking: Marking,
    who: Who,
    ask: (reading: Reading) => void,
    { showHoles, pointAt, note }: PartActions,
  ) {
    this.#bench = bench;
    this.#marking = marking;
    this.#ask = ask;
    this.#showHoles = showHoles;
    this.#pointAt = pointAt;
    this.#note = note;
    const head = h("div", { class: "parts-head" }, who.element, this.#record, note.element);
    this.element = h("section", { class: "parts", "aria-label": "Parts and milestones" }, head, this.#list);
    bench.on.watch((on) => on && this.#draw(on));
  }

  #draw(on: OnBench): void {
    const { assembly } = on;
    const focused = this.element.contains(document.activeElement) ? document.activeElement?.id : null;
    const inOrder = assembly.closings.flatMap((id) => assembly.parts.find((part) => part.id === id) ?? []);
    const others = assembly.parts.filter(({ id }) => !assembly.closings.includes(id));
    const opened = new Set(
      [...this.element.querySelectorAll<HTMLElement>("details[open]")].map(({ dataset }) => dataset.part),
    );
    this.#note.about({}, assembly.name);
    this.#record.href = recordAddress(assembly.kit.id, assembly.id);
    this.#list.replaceChildren(
      h("h2", {}, "Milestones"),
      ...(assembly.milestones.length === 0 ? [h("p", {}, "This assembly has none.")] : []),
      h(
        "ul",
        { class: "checks" },
        ...assembly.milestones.map(({ id, name }) => this.#milestone(id, name, on)),
      ),
      h("h2", {}, "Parts"),
      h(
        "ul",
        { class: "part-list" },
        ...[...inOrder, ...others].map((part) => h("li", {}, this.#part(part, on, opened.has(part.id)))),
      ),
    );
    if (focused) document.getElementById(focused)?.focus();
  }

  #part(part: PartShown, on: OnBench, open: boolean): HTMLElement {
    const holes = on.assembly.rows.filter((row) => row.part === part.id).flatMap((row) => row.holes);
    const set = holes.filter((hole) => stateOf(on.work, hole) === "set").length;
    const done = part.prep.filter((gate) => isPrepDone(on.work, part.id, gate)).length;
    const state = [
      part.prep.length > 0 && `prep ${done} of ${part.prep.length}`,
      holes.length > 0 && `${set} of ${counted(holes.length, "rivet")} set`,
    ].filter(Boolean);
    const asks = new Asks(this.#bench, this.#ask);
    asks.element.setAttribute("aria-label", `Ask about ${part.name}`);
    const details = h(
      "details",
      {
        class: "part",
        open,
        "data-part": part.id,
        toggle: () => details.open && asks.about({ part: part.id }),
      },
      h(
        "summary",
        {},
        h("span", { class: "part-name" }, part.name),
        h("span", { class: "part-state" }, state.join(" · ")),
      ),
      h(
        "p",
        { class: "part-stuff" },
        [part.kind, part.material, on.names.length(part.thicknessMm)].join(", "),
      ),
      h("ul", { class: "checks" }, ...part.prep.map((gate) => this.#gate(part, gate, on))),
      asks.element,
      h(
        "div",
        { class: "buttons" },
        button("Point at it on the map", () => this.#pointAt(part.id), {
          class: "chip",
          "aria-label": `Point at ${part.name} on the map`,
        }),
        holes.length > 0 &&
          button("Choose its holes", () => this.#showHoles(holes), {
            class: "chip",
            "aria-label": `Choose the holes of ${part.name} on the map`,
          }),
      ),
    );
    return details;
  }

  #gate(part: PartShown, gate: string, { work, names }: OnBench): HTMLElement {
    const isDone = isPrepDone(work, part.id, gate);
    return check(`gate-${part.id}-${gate}`, names.thing(gate), isDone, `${part.name}: `, () =>
      this.#marking.record([{ kind: "prep", part: part.id, gate, done: !isDone }]),
    );
  }

  #milestone(id: string, name: string, { work }: OnBench): HTMLElement {
    const isReached = work.milestones.includes(id);
    return check(`milestone-${id}`, name, isReached, "", () =>
      this.#marking.record([{ kind: "milestone", milestone: id, reached: !isReached }]),
    );
  }
}

/** A box that shows what is recorded; it changes only when the shop book does. */
function check(
  id: string,
  label: string,
  checked: boolean,
  about: string,
  change: () => Promise<boolean>,
): HTMLElement {
  const box = h("input", { type: "checkbox", id, checked });
  box.addEventListener("change", async () => {
    if (!(await change())) box.checked = checked;
  });
  return h(
    "li",
    {},
    h("label", { for: id }, box, about && h("span", { class: "unseen" }, about), h("span", {}, label)),
  );
}
