import { newKey, postNote, Refusal, Unreachable } from "./api.js";
import type { Bench } from "./bench.js";
import { h } from "./dom.js";
import type { Notices } from "./notices.js";
import type { Who } from "./who.js";

const MOST_LETTERS = 2000;

/** What a remark is on: one hole, one part, or with neither the assembly. */
export type NoteAbout = { readonly hole: string } | { readonly part: string } | Record<string, never>;

/** A remark for the shop book; it stays written until it is in the book. */
export class NoteForm {
  readonly element: HTMLDetailsElement;
  readonly #bench: Bench;
  readonly #notices: Notices;
  readonly #who: Who;
  readonly #field: HTMLTextAreaElement;
  readonly #summary = h("summary", {});
  readonly #send = h("button", { type: "submit" }, "Write it down");
  #about: NoteAbout = {};
  /** Sending the same words again after a lost connection writes them down once. */
  #key = newKey();

  constructor(bench: Bench, notices: Notices, who: Who) {
    this.#bench = bench;
    this.#notices = notices;
    this.#who = who;
    this.#field = h("textarea", {
      rows: 2,
      maxlength: MOST_LETTERS,
      required: true,
      input: () => {
        this.#key = newKey();
      },
    });
    const form = h(
      "form",
      {
        submit: (event: Event) => {
          event.preventDefault();
          void this.#write();
        },
      },
      h("label", {}, h("span", {}, "Remark for the shop book"), this.#field),
      this.#send,
    );
    this.element = h("details", { class: "note-form" }, this.#summary, form);
  }

  /** @param called  what it is on, in words */
  about(about: NoteAbout, called: string): void {
    if (JSON.stringify(about) !== JSON.stringify(this.#about)) {
      this.#about = about;
      this.#field.value = "";
      this.#key = newKey();
      this.element.open = false;
    }
    this.#summary.textContent = `Write a remark on ${called}`;
  }

  async #write(): Promise<void> {
    const on = this.#bench.on.value;
    const text = this.#field.value.trim();
    if (!on || text === "" || this.#send.disabled) return;
    this.#send.disabled = true;
    const about = this.#about;
    try {
      await postNote(on.assembly.kit.id, on.assembly.id, about, text, { key: this.#key, by: this.#who.name });
      this.#notices.tell("The remark is in the shop book; it stands in the build record.");
      if (about === this.#about) {
        this.#field.value = "";
        this.#key = newKey();
        this.element.open = false;
        this.#summary.focus();
      }
    } catch (error) {
      if (error instanceof Refusal)
        this.#notices.tell(`${error.message} ${error.fix ?? ""} Nothing was written down.`);
      else if (error instanceof Unreachable)
        this.#notices.tell(
          `${error.message} Perhaps nothing was written down; sending it again counts once.`,
        );
      else throw error;
    } finally {
      this.#send.disabled = false;
    }
  }
}
