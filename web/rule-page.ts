import { fetchDiff } from "./api.js";
import { button, h } from "./dom.js";
import { problemView } from "./problem-view.js";
import { sayPlace, sayStep, sayWhen, stateMark } from "./rule-states.js";
import type { ShopRule } from "./wire.js";
import { counted } from "./words.js";

export interface PageEvents {
  readonly edit: () => void;
  readonly propose: () => void;
  readonly withdraw: () => void;
  readonly retire: () => void;
  /** Answers questions as if it were in force. */
  readonly ask: () => void;
  readonly leave: () => void;
}

/** One shop rule through its life: where it stands, what can be done now, its history and its revisions. */
export function rulePage(
  rule: ShopRule,
  more: HTMLElement | null,
  events: PageEvents,
): readonly HTMLElement[] {
  const newest = rule.revisions.at(-1);
  const isDraft = rule.status === "draft" || rule.status === "returned";
  const tries = rule.status !== "in force" && rule.status !== "retired";
  return [
    h(
      "div",
      { class: "room-head" },
      h("h2", { tabindex: -1, id: "rule-title" }, newest?.rule.title ?? rule.id),
      button("All shop rules", events.leave),
    ),
    h("p", {}, stateMark(rule), h("span", { class: "label" }, ` · ${rule.id}`)),
    h(
      "div",
      { class: "buttons" },
      isDraft &&
        button(`Propose revision ${newest?.revision ?? 1} to the mentor`, events.propose, {
          class: "primary",
        }),
      rule.proposed !== null && button("Take the proposal back", events.withdraw),
      button(rule.status === "in force" ? "Change it (a new revision)" : "Go on writing", events.edit),
      tries && button("Ask as if it were in force", events.ask),
      rule.inForce !== null && button("Retire it", events.retire),
    ),
    ...(more ? [more] : []),
    history(rule),
    ...revisions(rule),
  ];
}

function history({ history: steps, revisions: all }: ShopRule): HTMLElement {
  const lines = [
    ...all.map(({ revision, by, at, version }) => ({
      version,
      said: `${sayWhen(at)}: revision ${revision} written by ${by}`,
      comments: [] as ShopRule["history"][number]["comments"],
      more: null as string | null,
    })),
    ...steps.map(({ step, revision, by, at, version, comments, reference, refused }) => ({
      version,
      said: `${sayWhen(at)}: revision ${revision} ${sayStep(step)} by ${by}${refused === null ? "" : ` (did not count: ${refused})`}`,
      comments,
      more: reference === null ? null : `Kit maker's agreement: ${reference}`,
    })),
  ].sort((a, b) => b.version - a.version);
  return h(
    "section",
    { class: "rule-section" },
    h("h3", {}, "History"),
    h(
      "ol",
      { class: "check-list", reversed: true },
      ...lines.map(({ said, comments, more }) =>
        h(
          "li",
          {},
          said,
          more !== null && h("p", { class: "comment" }, more),
          ...comments.map(({ at, text }) => h("p", { class: "comment" }, `${sayPlace(at)}: ${text}`)),
        ),
      ),
    ),
  );
}

/** What changed between any two revisions. */
function revisions({ id, kit, revisions: all }: ShopRule): readonly HTMLElement[] {
  if (all.length < 2) return [];
  const room = h("div", { role: "status", "aria-live": "polite" });
  const pick = (label: string, name: string, chosen: number): [HTMLSelectElement, HTMLElement] => {
    const select = h(
      "select",
      { id: `diff-${name}`, change: () => void compare() },
      ...all.map(({ revision, by, at }) =>
        h(
          "option",
          { value: revision, selected: revision === chosen },
          `revision ${revision}, ${by}, ${sayWhen(at)}`,
        ),
      ),
    );
    return [select, h("div", { class: "rule-field" }, h("label", { for: select.id }, label), select)];
  };
  const [from, fromRow] = pick("From", "from", all.length - 1);
  const [to, toRow] = pick("to", "to", all.length);
  let latest: symbol | null = null;
  const compare = async (): Promise<void> => {
    const asked = Symbol("diff");
    latest = asked;
    try {
      const changes = await fetchDiff(kit, id, Number(from.value), Number(to.value));
      if (latest !== asked) return;
      room.replaceChildren(
        h(
          "p",
          { class: "label" },
          changes.length === 0 ? "They say the same." : counted(changes.length, "change"),
        ),
        h("ul", { class: "check-list diff" }, ...changes.map(({ said }) => h("li", {}, said))),
      );
    } catch (error) {
      if (latest === asked) room.replaceChildren(problemView(error, () => void compare()));
    }
  };
  void compare();
  return [
    h(
      "section",
      { class: "rule-section" },
      h("h3", {}, "What changed"),
      h("div", { class: "diff-pick" }, fromRow, toRow),
      room,
    ),
  ];
}
