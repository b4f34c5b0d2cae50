import { button, h } from "./dom.js";
import { problemView } from "./problem-view.js";

/** What a room tells or asks about an act, in one place above what is being worked on. */
export class RoomTold {
  readonly element = h("div", { class: "room-told", role: "alert" });

  say(words: string): void {
    this.element.replaceChildren(h("p", { class: "room-said" }, words));
  }

  /** @param again  does it once more; null = it cannot simply be done again */
  tell(error: unknown, again: (() => void) | null): void {
    this.element.replaceChildren(problemView(error, again));
    this.element.scrollIntoView({ block: "nearest" });
  }

  clear(): void {
    this.element.replaceChildren();
  }

  ask(question: string, yes: () => void): void {
    const answer = button("Yes", () => {
      this.clear();
      yes();
    });
    this.#put(question, null, answer);
    answer.focus();
  }

  /** Asks for the reason too: it is written down beside the act. */
  askWhy(question: string, yes: (why: string) => void): void {
    const problem = h("p", { class: "rule-problem", id: "why-act-problem", hidden: true }, "Say why first.");
    const field = h("textarea", { id: "why-act", rows: 2, maxlength: 2000, "aria-describedby": problem.id });
    const answer = button("Yes", () => {
      const why = field.value.trim();
      problem.hidden = why !== "";
      field.setAttribute("aria-invalid", String(why === ""));
      if (why === "") {
        field.focus();
        return;
      }
      this.clear();
      yes(why);
    });
    const row = h("div", { class: "rule-field" }, h("label", { for: field.id }, "Why"), field, problem);
    this.#put(question, row, answer);
    field.focus();
  }

  #put(question: string, more: HTMLElement | null, yes: HTMLElement): void {
    const buttons = h(
      "div",
      { class: "buttons" },
      yes,
      button("No", () => this.clear()),
    );
    const room = h("div", { class: "room-ask" }, h("p", {}, question), more, buttons);
    this.element.replaceChildren(room);
    room.scrollIntoView({ block: "nearest" });
  }
}
