import { fetchMatches, fetchPreview } from "./api.js";
import type { Bench } from "./bench.js";
import { button, h } from "./dom.js";
import type { Told } from "./placed-fields.js";
import { problemView } from "./problem-view.js";
import { checksView, sayFinding, sayInShort } from "./rule-checks.js";
import { type Draft, isBlank, isFields, readJson, textOf, writeJson } from "./rule-draft.js";
import { RuleForm } from "./rule-form.js";
import { seenOf } from "./rule-seen.js";
import type { PreviewShown, ProblemShown, RuleVocabulary } from "./wire.js";
import { counted } from "./words.js";

/** A pause in typing after which it is looked at; the plan takes longer, so it waits longer. */
const PAUSE_MS = 300;
const PLAN_PAUSE_MS = 1500;
/** Far more than the server takes. */
const MOST_FILE_BYTES = 200_000;

export interface DeskEvents {
  readonly showHoles: (holes: readonly string[]) => void;
  /** Keeps the draft as the next revision. @returns whether it is in the shop book */
  readonly save: (draft: Draft) => Promise<boolean>;
  readonly leave: () => void;
  /** Told of every change, so that nothing typed is lost with the page. */
  readonly changed: (draft: Draft) => void;
}

/** Where a rule is written: a form and its JSON in step, and what the rule would do. */
export class RuleDesk {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #events: DeskEvents;
  readonly #form: RuleForm;
  readonly #heading = h("h2", { tabindex: -1 });
  readonly #json: HTMLTextAreaElement;
  readonly #jsonWrong = h("p", { class: "rule-problem", id: "rule-json-problem", role: "status" });
  readonly #several = h("div", { class: "buttons" });
  readonly #checks = h("div", { class: "checks-body" });
  readonly #short = h("p", { class: "desk-short", role: "status", "aria-live": "polite" });
  readonly #save: HTMLButtonElement;
  #vocabulary: RuleVocabulary | null = null;
  #draft: Draft = {};
  #idIsFixed = false;
  /** What is blank is not called wrong before somebody wants to keep it. */
  #saveWanted = false;
  #preview: PreviewShown | null = null;
  #pause = 0;
  #planPause = 0;
  /** The latest look; the reply to an earlier one comes too late. */
  #looking: symbol | null = null;

  constructor(bench: Bench, events: DeskEvents) {
    this.#bench = bench;
    this.#events = events;
    this.#form = new RuleForm(bench, (draft) => {
      this.#take(draft);
      this.#json.value = writeJson(draft);
      this.#jsonIs(null);
    });
    this.#json = h("textarea", {
      id: "rule-json",
      class: "rule-json",
      rows: 18,
      spellcheck: "false",
      autocapitalize: "none",
      autocomplete: "off",
      input: () => this.#readTyped(),
      dragover: (event: DragEvent) => event.preventDefault(),
      drop: (event: DragEvent) => {
        const file = event.dataTransfer?.files[0];
        if (!file) return;
        event.preventDefault();
        void this.#readFile(file);
      },
    });
    const file = h("input", {
      id: "rule-file",
      type: "file",
      accept: ".json,application/json",
      change: () => {
        const [chosen] = file.files ?? [];
        if (chosen) void this.#readFile(chosen);
        file.value = "";
      },
    });
    this.#save = button("Keep as a draft", () => void this.#keep(), { class: "primary" });
    this.element = h(
      "div",
      { class: "desk" },
      h(
        "div",
        { class: "room-head" },
        this.#heading,
        button("Back to the rules", () => events.leave()),
      ),
      h(
        "div",
        { class: "desk-sheets" },
        this.#form.element,
        h(
          "section",
          { class: "rule-section desk-json" },
          h("h3", {}, "The same as JSON"),
          h("label", { for: "rule-json" }, "For those who would rather type it, or drop a file here"),
          this.#json,
          this.#jsonWrong,
          this.#several,
          h("p", {}, h("label", { for: "rule-file" }, "From a file "), file),
        ),
      ),
      h(
        "section",
        { class: "rule-section desk-checks", "aria-label": "What it would do" },
        h("h3", {}, "What it would do"),
        this.#checks,
      ),
      h("div", { class: "desk-foot" }, this.#short, h("div", { class: "buttons" }, this.#save)),
    );
    bench.on.watch((on) => {
      if (on && this.#vocabulary && this.element.isConnected) this.#soon();
    });
  }

  /** Begins with a draft. @param idIsFixed  it is a revision of a rule that is in the shop book */
  open(draft: Draft, vocabulary: RuleVocabulary, idIsFixed: boolean): void {
    this.#vocabulary = vocabulary;
    this.#idIsFixed = idIsFixed;
    this.#saveWanted = false;
    this.#preview = null;
    this.#several.replaceChildren();
    this.#checks.replaceChildren();
    this.#short.textContent = "";
    this.#heading.textContent = idIsFixed ? "Change a shop rule" : "Write a shop rule";
    this.#shown(draft);
    this.#heading.focus();
  }

  /** Lets go of the draft: nothing of it stays on the map. */
  close(): void {
    clearTimeout(this.#pause);
    clearTimeout(this.#planPause);
    this.#looking = null;
    this.#vocabulary = null;
    this.#bench.ruleSeen.value = null;
  }

  addExamples(holes: readonly string[], fires: boolean): void {
    this.#form.addExamples(holes, fires);
  }

  /** Shows a draft that did not come from the form. */
  #shown(draft: Draft): void {
    this.#json.value = writeJson(draft);
    this.#jsonIs(null);
    if (this.#vocabulary) this.#form.show(draft, this.#vocabulary, this.#idIsFixed);
    this.#take(draft);
  }

  #take(draft: Draft): void {
    this.#draft = draft;
    this.#events.changed(draft);
    this.#soon();
  }

  #readTyped(): void {
    const read = readJson(this.#json.value);
    if ("wrong" in read) {
      this.#jsonIs(`${read.wrong} Line ${read.line}, column ${read.column}. The form keeps what it had.`);
      return;
    }
    this.#jsonIs(null);
    this.#offer(read.rules, false);
  }

  async #readFile(file: File): Promise<void> {
    if (file.size > MOST_FILE_BYTES) {
      this.#jsonIs(`${file.name} is too long for a rule file.`);
      return;
    }
    const text = await file.text();
    const read = readJson(text);
    if ("wrong" in read) {
      this.#jsonIs(`${file.name}: ${read.wrong} Line ${read.line}, column ${read.column}.`);
      return;
    }
    this.#offer(read.rules, true);
  }

  /** One rule is taken as it is; of several one is chosen. */
  #offer(rules: readonly Draft[], isFile: boolean): void {
    const [only] = rules;
    this.#several.replaceChildren();
    if (rules.length === 1 && only) {
      if (isFile) this.#json.value = writeJson(only);
      this.#jsonIs(null);
      if (this.#vocabulary) this.#form.show(only, this.#vocabulary, this.#idIsFixed);
      this.#take(only);
      return;
    }
    this.#several.replaceChildren(
      h("p", {}, `There are ${rules.length} rules in it. Which one?`),
      ...rules.map((rule) =>
        button(textOf(rule.title) || textOf(rule.id) || "one without a title", () => {
          this.#several.replaceChildren();
          this.#shown(rule);
        }),
      ),
    );
  }

  #jsonIs(wrong: string | null): void {
    this.#jsonWrong.textContent = wrong ?? "";
    if (wrong === null) this.#json.removeAttribute("aria-invalid");
    else this.#json.setAttribute("aria-invalid", "true");
    this.#json.setAttribute("aria-describedby", this.#jsonWrong.id);
  }

  #soon(): void {
    clearTimeout(this.#pause);
    clearTimeout(this.#planPause);
    this.#looking = null;
    this.element.setAttribute("aria-busy", "true");
    this.#pause = window.setTimeout(() => void this.#look(false), PAUSE_MS);
    this.#planPause = window.setTimeout(() => void this.#look(true), PLAN_PAUSE_MS);
  }

  async #look(withPlan: boolean): Promise<void> {
    const on = this.#bench.on.value;
    if (!on) return;
    const looking = Symbol("look");
    this.#looking = looking;
    const { id, kit } = on.assembly;
    const draft = this.#draft;
    const conditions = isFields(draft.conditions) ? draft.conditions : {};
    try {
      const [matches, preview] = await Promise.all([
        fetchMatches(kit.id, id, conditions),
        fetchPreview(kit.id, id, draft, withPlan),
      ]);
      if (this.#looking !== looking) return;
      this.#preview = preview;
      this.#form.count(matches);
      this.#tellAll();
      this.#bench.ruleSeen.value = seenOf(textOf(draft.title), preview, matches);
      this.element.removeAttribute("aria-busy");
    } catch (error) {
      if (this.#looking !== looking) return;
      this.element.removeAttribute("aria-busy");
      this.#checks.replaceChildren(problemView(error, () => void this.#look(withPlan)));
    }
  }

  /** Says everything beside its field, and the rest below. @returns how many things keep it from being kept */
  #tellAll(): number {
    const preview = this.#preview;
    if (!preview) return 0;
    const { problems, findings } = preview;
    const isWanting = ({ code, pointer }: ProblemShown): boolean =>
      code === "EXAMPLES_MISSING" || isBlank(this.#draft, pointer);
    const wanting = problems.filter(isWanting);
    const told = (this.#saveWanted ? problems : problems.filter((one) => !isWanting(one))).map(
      (one): Told => ({
        pointer: one.pointer,
        words:
          isWanting(one) && one.code !== "EXAMPLES_MISSING"
            ? "Still to be written."
            : `${one.detail} ${one.fix}`,
      }),
    );
    const found = findings.filter(({ severity }) => severity !== "note");
    const left = this.#form.tell([
      ...told,
      ...found.map((one): Told => ({ pointer: one.pointer, words: sayFinding(one) })),
    ]);
    const unsaid = left.filter(({ words }) => !found.some((one) => sayFinding(one) === words));
    this.#checks.replaceChildren(...checksView(preview, unsaid, this.#events.showHoles));
    const wrong = problems.length - wanting.length;
    this.#say(
      [
        sayInShort(preview),
        wrong > 0 && `${counted(wrong, "thing")} wrong`,
        wanting.length > 0 && `${counted(wanting.length, "thing")} still to be written`,
      ]
        .filter(Boolean)
        .join("; "),
    );
    return problems.length;
  }

  #say(words: string): void {
    const said = words === "" ? "" : `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
    if (this.#short.textContent !== said) this.#short.textContent = said;
  }

  async #keep(): Promise<void> {
    this.#saveWanted = true;
    this.#save.disabled = true;
    try {
      if (!this.#preview || this.#looking === null) await this.#look(false);
      if (this.#tellAll() > 0) {
        this.element.querySelector<HTMLElement>("[aria-invalid=true]")?.focus();
        return;
      }
      await this.#events.save(this.#draft);
    } finally {
      this.#save.disabled = false;
    }
  }
}
