import { reviewPath } from "./api.js";
import { button, h } from "./dom.js";
import type { KeyField } from "./key-field.js";
import { COMMENTED, sayWhen } from "./rule-states.js";
import type { ReviewShown, RuleComment } from "./wire.js";

/** What a mentor decided. */
export interface Decision {
  readonly step: "accept" | "return";
  readonly comments: readonly RuleComment[];
  readonly reference: string | null;
}

/**
 * A proposal with all that a mentor needs, and the place to answer.
 * @param mentorKey  where the mentor types their key; null = a mentor has signed in
 * @param decide  sends the decision; what comes of it is shown by the caller
 * @param tell    says what keeps a decision from being sent
 */
export function reviewView(
  kit: string,
  review: ReviewShown,
  mentorKey: KeyField | null,
  decide: (decision: Decision) => void,
  tell: (words: string) => void,
): HTMLElement {
  const { shown, rule, text } = review;
  const boxes = new Map<string | null, HTMLTextAreaElement>();
  const comment = (at: string | null, label: string): HTMLElement => {
    const id = `comment${(at ?? "/whole").replaceAll("/", "-")}`;
    const box = h("textarea", { id, rows: 2, maxlength: 2000 });
    boxes.set(at, box);
    return h("div", { class: "rule-field" }, h("label", { for: id }, label), box);
  };
  const reference = h("input", { id: "review-reference", type: "text", maxlength: 2000 });
  const send = (step: Decision["step"]): void => {
    const comments = [...boxes].flatMap(([at, box]): RuleComment[] =>
      box.value.trim() === "" ? [] : [{ at, text: box.value.trim() }],
    );
    if (mentorKey?.value === null) {
      tell("Type your mentor's key first.");
      mentorKey.focus();
    } else if (step === "return" && comments.length === 0) {
      tell("To send it back, write at least one comment.");
      boxes.get(null)?.focus();
    } else decide({ step, comments, reference: reference.value.trim() || null });
  };
  const paper = (what: "sheet" | "file" | "page", words: string): HTMLElement =>
    h(
      "li",
      {},
      h(
        "a",
        {
          href: reviewPath(kit, rule, what),
          ...(what === "sheet" ? { target: "_blank", rel: "noopener" } : { download: true }),
        },
        words,
      ),
    );
  return h(
    "section",
    { class: "review", "aria-label": "Review" },
    h("h3", { tabindex: -1, id: "review-title" }, `Review of revision ${review.revision}`),
    h(
      "p",
      {},
      `Written by ${review.author}; proposed by ${review.proposedBy}, ${sayWhen(review.proposedAt)}. Fingerprint: `,
      h("code", {}, (review.hash.match(/.{4}/g) ?? []).slice(0, 8).join(" ")),
    ),
    part("Said by whoever proposed it", review.comments),
    part("The rule in words", shown.words),
    shown.changes ? part("New against the revision in force", shown.changes, "Nothing.") : null,
    part("What keeps it from coming into force", shown.problems),
    part("Departures from stronger rules", shown.departures, "None."),
    part("What was found about it", shown.findings, "Nothing odd."),
    part("Its examples", shown.examples, "It was not tried."),
    ...shown.impact.flatMap(({ assembly, lines }) => [
      part(`What would be otherwise: ${assembly}`, lines, "Nothing."),
    ]),
    part("Said of it before", shown.earlier),
    h(
      "div",
      { class: "for-mentors" },
      h("h4", {}, "For a mentor elsewhere"),
      h(
        "ul",
        { class: "paper-links" },
        paper("sheet", "Sheet for paper"),
        paper("page", "Page that answers by itself"),
        paper("file", "Review file"),
      ),
    ),
    h(
      "div",
      { class: "answer-form" },
      h("h4", {}, "Your answer"),
      comment(null, "On the rule as a whole"),
      h(
        "details",
        {},
        h("summary", {}, "Comment on one part"),
        ...COMMENTED.filter(([pointer]) => isThere(text[pointer.slice(1) as keyof typeof text])).map(
          ([pointer, words]) => comment(pointer, words),
        ),
      ),
      h(
        "div",
        { class: "rule-field" },
        h("label", { for: reference.id }, "Reference of the kit maker's agreement, if it departs"),
        reference,
      ),
      mentorKey?.element,
      h(
        "div",
        { class: "buttons" },
        button("Accept: it counts from now on", () => send("accept"), { class: "primary" }),
        button("Send back with comments", () => send("return")),
      ),
      h(
        "p",
        { class: "condition-note" },
        "The kit maker's data and current notices govern; departures and repairs are for the inspector or a licensed person to decide.",
      ),
    ),
  );
}

function part(title: string, lines: readonly string[], without: string | null = null): HTMLElement | null {
  if (lines.length === 0 && without === null) return null;
  return h(
    "div",
    { class: "review-part" },
    h("h4", {}, title),
    lines.length === 0
      ? h("p", {}, without)
      : h("ul", { class: "check-list" }, ...lines.map((line) => h("li", {}, line))),
  );
}

function isThere(value: unknown): boolean {
  return value !== undefined && value !== null && !(Array.isArray(value) && value.length === 0);
}
