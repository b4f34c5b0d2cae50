import { h } from "./dom.js";

/** Something to be said beside a field. */
export interface Told {
  readonly pointer: string;
  readonly words: string;
}

type Control = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement | HTMLFieldSetElement;

interface Placed {
  readonly pointer: string;
  readonly control: Control;
  readonly problem: HTMLElement;
}

/** Fields that each stand for a place in a document, so that what is wrong there is said beside them. */
export class PlacedFields {
  readonly #prefix: string;
  #placed: Placed[] = [];

  /** @param prefix  of all ids, so that two forms on the page do not mix them up */
  constructor(prefix: string) {
    this.#prefix = prefix;
  }

  /** Forgets all fields: the form is drawn anew. */
  clear(): void {
    this.#placed = [];
  }

  /** The id of what stands for a place; keeps the keyboard where it was when the form is drawn anew. */
  idOf(pointer: string): string {
    return `${this.#prefix}${pointer.replaceAll("/", "-")}`;
  }

  /** A control under its label, with room for what is wrong there. */
  field(label: string, pointer: string, control: Control, ...more: readonly (Node | null)[]): HTMLElement {
    const id = control.id || this.idOf(pointer);
    control.id = id;
    return h(
      "div",
      { class: "rule-field" },
      h("label", { for: id }, label),
      control,
      ...more,
      this.place(pointer, control),
    );
  }

  /** Room for what is wrong at a place, for a control that has a label of its own. */
  place(pointer: string, control: Control): HTMLElement {
    const problem = h("p", { class: "rule-problem", id: `${control.id}-problem` });
    problem.hidden = true;
    this.#placed.push({ pointer, control, problem });
    return problem;
  }

  /**
   * Says each thing beside the field that is nearest to its place.
   * @returns what has no field
   */
  tell(all: readonly Told[]): readonly Told[] {
    const words = new Map<Placed, string[]>();
    const left: Told[] = [];
    for (const told of all) {
      const field = this.#nearest(told.pointer);
      if (!field) left.push(told);
      else words.set(field, [...(words.get(field) ?? []), told.words]);
    }
    for (const placed of this.#placed) {
      const { control, problem } = placed;
      const said = [...new Set(words.get(placed) ?? [])].join(" ");
      // Only what changes is touched: it is read out.
      if (problem.textContent !== said) problem.textContent = said;
      problem.hidden = said === "";
      if (said === "") {
        control.removeAttribute("aria-invalid");
        control.removeAttribute("aria-describedby");
      } else {
        control.setAttribute("aria-invalid", "true");
        control.setAttribute("aria-describedby", problem.id);
      }
    }
    return left;
  }

  #nearest(pointer: string): Placed | null {
    let best: Placed | null = null;
    for (const one of this.#placed) {
      const fits = pointer === one.pointer || pointer.startsWith(`${one.pointer}/`);
      if (fits && one.pointer !== "" && (!best || one.pointer.length > best.pointer.length)) best = one;
    }
    return best;
  }
}
