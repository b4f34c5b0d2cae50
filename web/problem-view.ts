import { Refusal, Unreachable } from "./api.js";
import { button, h } from "./dom.js";

/** What went wrong, why, and what to do; `again` repeats what failed. */
export function problemView(error: unknown, again: (() => void) | null): HTMLElement {
  const retry = again && h("p", { class: "buttons" }, button("Try again", again));
  if (error instanceof Refusal) {
    return h(
      "div",
      { class: "problem" },
      h("p", { class: "problem-what" }, error.message),
      error.fix && h("p", {}, h("span", { class: "label" }, "What to do "), error.fix),
      error.others.length > 0 && h("ul", {}, ...error.others.map((other) => h("li", {}, other))),
      h("p", { class: "problem-code" }, h("code", {}, error.code), error.where && ` at ${error.where}`),
      error.status >= 500 && retry,
    );
  }
  const what =
    error instanceof Unreachable ? error.message : "The page failed on this. Nothing was recorded.";
  return h(
    "div",
    { class: "problem" },
    h("p", { class: "problem-what" }, what),
    h("p", {}, "Check that the program is still running and that this device is on the shop's network."),
    retry,
  );
}

/** The same in one breath. */
export function spokenProblem(error: unknown): string {
  if (error instanceof Refusal) return `${error.message} ${error.fix ?? ""}`;
  return error instanceof Unreachable ? error.message : "The page failed on this.";
}
