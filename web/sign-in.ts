import {
  type Holder,
  holderOf,
  isKeyNeeded,
  type Refusal,
  whenKeyIsGone,
  whenKeyIsWanted,
  writeWith,
} from "./api.js";
import { button, h } from "./dom.js";
import { KeyField } from "./key-field.js";
import { problemView } from "./problem-view.js";
import { Watched } from "./watched.js";

/** Who writes, where the program asks for a key; out of sight where everybody at this machine may write. */
export class SignIn {
  readonly element: HTMLDetailsElement;
  /** Whose key is used; null = nobody has signed in. */
  readonly holder = new Watched<Holder | null>(null);
  readonly #summary = h("summary");
  readonly #key = new KeyField("writers-key", "Your key");
  readonly #told = h("div", { role: "alert" });
  readonly #out = button("Sign out", () => this.#leave());

  constructor() {
    const form = h(
      "form",
      {
        class: "sign-in-form",
        submit: (event: Event) => {
          event.preventDefault();
          void this.#enter();
        },
      },
      this.#key.element,
      // Neither HTTPS nor this machine itself.
      !isSecureContext &&
        h(
          "p",
          { class: "condition-note" },
          "Nothing is encrypted on the way to this address, the key included: keep to a network of your own.",
        ),
      h("p", { class: "buttons" }, h("button", { type: "submit", class: "primary" }, "Sign in"), this.#out),
      this.#told,
    );
    this.element = h("details", { class: "sign-in", hidden: true }, this.#summary, form);
    this.holder.watch((holder) => {
      this.#summary.textContent = holder
        ? `Signed in: ${holder.name}, ${holder.role}`
        : "Reading only: sign in to write";
      this.#out.hidden = holder === null;
    });
    whenKeyIsWanted(() => this.#want());
    whenKeyIsGone((why) => this.#lose(why));
    // Where it is not known, the program says so when something is to be written.
    void isKeyNeeded()
      .then((isNeeded) => {
        this.element.hidden = !isNeeded;
      })
      .catch(() => undefined);
  }

  async #enter(): Promise<void> {
    const key = this.#key.value;
    if (key === null) {
      this.#key.focus();
      return;
    }
    this.#told.replaceChildren();
    try {
      this.holder.value = await holderOf(key);
      writeWith(key);
      this.#key.clear();
      this.element.open = false;
      this.#summary.focus();
    } catch (error) {
      this.#told.replaceChildren(problemView(error, null));
      this.#key.focus();
    }
  }

  #leave(): void {
    writeWith(null);
    this.holder.value = null;
    this.#key.focus();
  }

  /** The key counts no longer. The focus stays where somebody may be typing. */
  #lose(why: Refusal): void {
    this.#told.replaceChildren(
      problemView(why, null),
      h(
        "p",
        {},
        "You are signed out. What you have typed is still there: sign in here with a key that counts, then send it again.",
      ),
    );
    this.holder.value = null;
    this.#want();
  }

  /** Something was refused for want of a key. */
  #want(): void {
    this.element.hidden = false;
    this.element.open = true;
  }
}
