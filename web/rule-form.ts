import type { Family } from "../server/facts/types.js";
import type { Bench } from "./bench.js";
import { claimFields, departureFields, overrideFields } from "./claim-fields.js";
import { ConditionTree, type TreeEvents } from "./condition-tree.js";
import { button, h } from "./dom.js";
import { PlacedFields, type Told } from "./placed-fields.js";
import {
  blankEvent,
  type Draft,
  idFrom,
  isFields,
  type Path,
  partAt,
  pointerOf,
  textOf,
  withPart,
} from "./rule-draft.js";
import type { MatchesShown, RuleVocabulary } from "./wire.js";

const EXAMPLES = [
  [true, "The rule must hold at"],
  [false, "The rule must not hold at"],
] as const;

/** A rule to be filled in, without any JSON. */
export class RuleForm {
  readonly element = h("div", { class: "rule-form" });
  readonly #bench: Bench;
  readonly #changed: (draft: Draft) => void;
  readonly #fields = new PlacedFields("rule");
  readonly #tree: ConditionTree;
  readonly #events: TreeEvents;
  #vocabulary: RuleVocabulary | null = null;
  #draft: Draft = {};
  /** An id that is in the shop book already names the rule for good. */
  #idIsFixed = false;

  /** @param changed  told of every change made in the form */
  constructor(bench: Bench, changed: (draft: Draft) => void) {
    this.#bench = bench;
    this.#changed = changed;
    this.#events = {
      now: (path) => partAt(this.#draft, path),
      set: (path, part, redraw) => this.#set(path, part, redraw),
    };
    this.#tree = new ConditionTree(this.#fields, this.#events);
    bench.selected.watch(() => this.#offerChosen());
  }

  /** Shows a draft that was changed elsewhere. */
  show(draft: Draft, vocabulary: RuleVocabulary, idIsFixed: boolean): void {
    this.#vocabulary = vocabulary;
    this.#draft = draft;
    this.#idIsFixed = idIsFixed;
    this.#draw();
  }

  /** @returns what has no field of its own */
  tell(told: readonly Told[]): readonly Told[] {
    return this.#fields.tell(told);
  }

  count(matches: MatchesShown): void {
    this.#tree.count(matches);
  }

  /** Adds holes as examples; one that is there already is turned to the other side. */
  addExamples(holes: readonly string[], fires: boolean): void {
    const list: readonly unknown[] = Array.isArray(this.#draft.examples) ? this.#draft.examples : [];
    const kept = list.filter((one) => !holes.includes(textOf(partAt(one, ["hole"]))));
    this.#set(["examples"], [...kept, ...holes.map((hole) => ({ hole, fires }))], true);
  }

  #set(path: Path, part: unknown, redraw: boolean): void {
    this.#draft = withPart(this.#draft, path, part);
    this.#changed(this.#draft);
    if (redraw) this.#draw();
  }

  #draw(): void {
    const vocabulary = this.#vocabulary;
    if (!vocabulary) return;
    const focused = this.element.contains(document.activeElement) ? document.activeElement : null;
    const inSection = focused?.closest<HTMLElement>(".rule-section")?.dataset.section;
    const draft = this.#draft;
    this.#fields.clear();
    this.element.replaceChildren(
      section("What it is called", ...this.#names(draft, vocabulary)),
      section("Where it holds", this.#tree.draw(draft.conditions, vocabulary)),
      section("What it says there", ...claimFields(draft, vocabulary, this.#fields, this.#events)),
      section("Why, and on whose word", ...this.#basis(draft)),
      section("Examples", ...this.#examples(draft)),
      section(
        "Other rules",
        ...overrideFields(draft, vocabulary, this.#fields, this.#events),
        ...departureFields(draft, vocabulary, this.#fields, this.#events),
      ),
    );
    this.#offerChosen();
    // What was in hand may be gone: then the section it was in.
    const same = focused?.id ? document.getElementById(focused.id) : null;
    const near = this.element.querySelector<HTMLElement>(`[data-section="${inSection ?? ""}"] h3`);
    if (focused) (same ?? near)?.focus();
  }

  #names(draft: Draft, { families }: RuleVocabulary): readonly HTMLElement[] {
    const title = h("input", {
      type: "text",
      maxlength: 160,
      autocomplete: "off",
      value: textOf(draft.title),
      input: () => {
        const isOwn = !this.#idIsFixed && textOf(this.#draft.id) === idFrom(textOf(this.#draft.title));
        this.#set(["title"], title.value, false);
        if (!isOwn) return;
        id.value = idFrom(title.value);
        this.#set(["id"], id.value, false);
      },
    });
    const id = h("input", {
      type: "text",
      maxlength: 60,
      autocomplete: "off",
      autocapitalize: "none",
      spellcheck: "false",
      value: textOf(draft.id),
      readonly: this.#idIsFixed,
      input: () => this.#set(["id"], id.value, false),
    });
    const family = h(
      "select",
      {
        change: () => {
          this.#draft = withPart(this.#draft, ["event"], blankEvent(family.value as Family));
          this.#set(["family"], family.value, true);
        },
      },
      !families.some((one) => one.family === draft.family) &&
        h("option", { value: textOf(draft.family), selected: true }, textOf(draft.family)),
      ...families.map((one) =>
        h(
          "option",
          { value: one.family, selected: one.family === draft.family },
          `${one.family}: ${one.said}`,
        ),
      ),
    );
    return [
      this.#fields.field("Title: what it says, in one line", "/title", title),
      this.#fields.field("Sort of rule", "/family", family),
      this.#fields.field(
        this.#idIsFixed ? "Short name (stays as it is)" : "Short name: letters, digits, hyphens",
        "/id",
        id,
      ),
    ];
  }

  #basis(draft: Draft): readonly HTMLElement[] {
    const why = h("textarea", {
      rows: 3,
      maxlength: 2000,
      input: () => this.#set(["why"], why.value, false),
    });
    why.value = textOf(draft.why);
    const line = (label: string, name: string, more: Readonly<Record<string, string | number>> = {}) => {
      const input = h("input", {
        type: "text",
        maxlength: 160,
        value: textOf(partAt(draft, ["basis", name])),
        ...more,
        input: () =>
          this.#set(
            ["basis", name],
            input.value === "" && (name === "dated" || name === "revision") ? undefined : input.value,
            false,
          ),
      });
      return this.#fields.field(label, `/basis/${name}`, input);
    };
    return [
      this.#fields.field("Why", "/why", why),
      line("Document: where it is written down", "document"),
      line("Place in it", "place"),
      line("Date (if any)", "dated", { type: "date" }),
    ];
  }

  #examples(draft: Draft): readonly HTMLElement[] {
    const list: readonly unknown[] = Array.isArray(draft.examples) ? draft.examples : [];
    const names = this.#bench.on.value?.names;
    const add = h("fieldset", {
      class: "several",
      id: this.#fields.idOf("/examples"),
      tabindex: -1,
    });
    add.append(
      h("legend", { class: "unseen" }, "Add chosen holes as examples"),
      h("p", { class: "chosen-examples" }),
      h(
        "div",
        { class: "buttons" },
        ...EXAMPLES.map(([fires]) =>
          button(
            fires ? "It must hold there" : "It must not hold there",
            () => this.addExamples(this.#bench.selected.value, fires),
            { "data-example": String(fires) },
          ),
        ),
      ),
      this.#fields.place("/examples", add),
    );
    return [
      add,
      ...EXAMPLES.map(([fires, said]) => {
        const these = list.flatMap((one, i) => (partAt(one, ["fires"]) === fires ? [[one, i] as const] : []));
        return h(
          "div",
          { class: "rule-part" },
          h("p", { class: "label" }, said),
          these.length === 0 ? h("p", {}, "no hole yet") : null,
          h(
            "ul",
            { class: "examples" },
            ...these.map(([one, i]) => this.#example(one, i, names?.hole.bind(names) ?? ((hole) => hole))),
          ),
        );
      }),
    ];
  }

  #example(one: unknown, i: number, nameOf: (hole: string) => string): HTMLElement {
    const hole = partAt(one, ["hole"]);
    const facts = partAt(one, ["facts"]);
    const said =
      typeof hole === "string"
        ? nameOf(hole)
        : `an invented hole: ${Object.entries(isFields(facts) ? facts : {})
            .map(([name, value]) => `${name} ${String(value)}`)
            .join(", ")}`;
    const path = ["examples", i];
    const why = h("input", {
      type: "text",
      maxlength: 2000,
      placeholder: "why (if it needs saying)",
      "aria-label": `Why: ${said}`,
      id: this.#fields.idOf(pointerOf([...path, "why"])),
      value: textOf(partAt(one, ["why"])),
      input: () => this.#set([...path, "why"], why.value === "" ? undefined : why.value, false),
    });
    return h(
      "li",
      { class: "example" },
      h("span", { class: "example-hole" }, said),
      why,
      button("✕", () => this.#set(path, undefined, true), {
        class: "remove",
        "aria-label": `Take out the example ${said}`,
      }),
      this.#fields.place(pointerOf(path), why),
    );
  }

  /** The buttons for examples follow what is chosen on the map. */
  #offerChosen(): void {
    const holes = this.#bench.selected.value;
    const words = this.element.querySelector(".chosen-examples");
    const names = this.#bench.on.value?.names;
    if (!words || !names) return;
    words.textContent =
      holes.length === 0
        ? "Choose holes on the map, then say whether the rule must hold there."
        : `Chosen on the map: ${names.holes(holes)}`;
    for (const one of this.element.querySelectorAll<HTMLButtonElement>("[data-example]"))
      one.disabled = holes.length === 0;
  }
}

function section(title: string, ...body: readonly (HTMLElement | null)[]): HTMLElement {
  return h(
    "section",
    { class: "rule-section", "data-section": title },
    h("h3", { tabindex: -1 }, title),
    ...body,
  );
}
