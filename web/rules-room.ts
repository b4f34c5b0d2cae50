import {
  fetchPreview,
  fetchQueue,
  fetchReview,
  fetchRules,
  fetchVocabulary,
  postAnswer,
  Refusal,
} from "./api.js";
import type { Bench } from "./bench.js";
import { button, h } from "./dom.js";
import { KeyField } from "./key-field.js";
import { problemView, spokenProblem } from "./problem-view.js";
import { RoomTold } from "./room-told.js";
import { RuleActs, type StepTaken } from "./rule-acts.js";
import { checksView } from "./rule-checks.js";
import { RuleDesk } from "./rule-desk.js";
import { blankRule, type Draft, isFields, readJson, textOf } from "./rule-draft.js";
import { rulePage } from "./rule-page.js";
import { type Decision, reviewView } from "./rule-review.js";
import { seenOf } from "./rule-seen.js";
import { sayWhen, stateMark } from "./rule-states.js";
import type { SignIn } from "./sign-in.js";
import { putBack, typedIn } from "./typed.js";
import type { Who } from "./who.js";
import type { ReviewShown, RulesShown, ShopRule, WaitingShown } from "./wire.js";
import { counted } from "./words.js";

const KEPT_AS = "tailroom.rule";

export interface RoomEvents {
  readonly showHoles: (holes: readonly string[]) => void;
  /** A rule was opened or left; null = the list or the desk. */
  readonly opened: (rule: string | null) => void;
  /** Questions are to be answered as if it were in force. */
  readonly askAsIf: (rule: ShopRule) => void;
  readonly say: (words: string) => void;
}

/** The room of the shop's own rules: all of them, the desk where one is written, and each one's page. */
export class RulesRoom {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #signIn: SignIn;
  readonly #events: RoomEvents;
  readonly #desk: RuleDesk;
  readonly #acts: RuleActs;
  /** A mentor's: it opens what only a mentor may do, and is let go of as soon as that is done. */
  readonly #mentorKey = new KeyField("mentor-key", "Your mentor's key");
  readonly #told = new RoomTold();
  readonly #body = h("div", { class: "room-body" });
  readonly #examples = h("div", { class: "hole-panel example-bar" });
  #isShown = false;
  #rules: RulesShown | null = null;
  #queue: readonly WaitingShown[] = [];
  /** The rule whose page is open. */
  #open: string | null = null;
  #isWriting = false;
  /** What is being written is a revision of a rule that is in the shop book. */
  #idIsFixed = false;
  /** How many revisions the rule had when its writing was begun: nobody's newer one is passed over unseen. */
  #begunOn = 0;
  /** What the page that is open was drawn from: drawing it again would lose what is being typed. */
  #drawn = "";
  /** Which revision it shows. */
  #drawnAbout = "";
  #fetching: symbol | null = null;
  #kit: string | null = null;

  constructor(bench: Bench, who: Who, signIn: SignIn, events: RoomEvents) {
    this.#bench = bench;
    this.#signIn = signIn;
    this.#events = events;
    this.#acts = new RuleActs(who);
    this.#desk = new RuleDesk(bench, {
      showHoles: events.showHoles,
      save: (draft) => this.#keep(draft),
      leave: () => this.#leaveDesk(),
      changed: (draft) => this.#remember(draft),
    });
    this.element = h(
      "section",
      { class: "rules-room", "aria-label": "Shop rules" },
      this.#told.element,
      this.#body,
    );
    bench.on.watch((on) => {
      if (on && this.#kit !== on.assembly.kit.id) {
        this.#kit = on.assembly.kit.id;
        this.#rules = null;
        this.#drawn = "";
        if (this.#isWriting) this.#leaveDesk();
      }
      if (this.#isShown) void this.#fetch();
    });
    bench.selected.watch(() => this.#offerExamples());
    signIn.holder.watch(() => void this.#draw());
  }

  /** What belongs under the map: chosen holes as examples of the rule that is being written. */
  get exampleBar(): HTMLElement {
    return this.#examples;
  }

  /** @param rule  whose page is wanted; null = the list, or the desk if something is being written */
  show(isShown: boolean, rule: string | null): void {
    const isNew = this.#isShown !== isShown || this.#open !== rule;
    this.#isShown = isShown;
    if (this.#open !== rule) {
      this.#mentorKey.clear();
      this.#open = rule;
      this.#drawn = "";
      if (rule !== null && this.#isWriting) {
        this.#isWriting = false;
        this.#desk.close();
        this.#offerExamples();
      }
    }
    if (isShown && isNew) void this.#fetch();
  }

  async #fetch(): Promise<void> {
    const kit = this.#kit;
    if (kit === null) return;
    const fetching = Symbol(kit);
    this.#fetching = fetching;
    try {
      const [rules, queue] = await Promise.all([fetchRules(kit), fetchQueue(kit)]);
      if (this.#fetching !== fetching) return;
      this.#rules = rules;
      this.#queue = queue;
      await this.#draw();
    } catch (error) {
      if (this.#fetching === fetching) this.#tell(error, () => void this.#fetch());
    }
  }

  async #draw(): Promise<void> {
    const rules = this.#rules;
    if (!rules || this.#isWriting || !this.#isShown) return;
    const rule = rules.shop.find(({ id }) => id === this.#open) ?? null;
    const { value: holder } = this.#signIn.holder;
    const drawn = JSON.stringify([
      this.#kit,
      this.#open,
      holder,
      rule ?? [rules.shop, rules.problems, this.#queue],
    ]);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    const hadFocus = this.#body.contains(document.activeElement);
    if (rule) await this.#drawRule(rule);
    else {
      this.#bench.ruleSeen.value = null;
      this.#drawList(rules);
    }
    if (hadFocus) this.#body.querySelector<HTMLElement>("h2")?.focus();
  }

  #drawList(rules: RulesShown): void {
    const { shop, problems } = rules;
    const kept = recall(this.#kit ?? "");
    this.#body.replaceChildren(
      h(
        "div",
        { class: "room-head" },
        h("h2", { tabindex: -1 }, "Shop rules"),
        button("Write a rule", () => void this.#write(blankRule(), false), { class: "primary" }),
      ),
      h(
        "p",
        {},
        "Rules of your own for this kit. They count once a mentor has accepted them; until then they can be tried.",
      ),
      ...(kept
        ? [
            h(
              "p",
              { class: "kept-draft" },
              `Not kept in the shop book yet: “${textOf(kept.draft.title) || "a rule without a title"}”. `,
              button("Go on writing", () => void this.#write(kept.draft, kept.idIsFixed)),
              button("Throw it away", () => {
                forget(this.#kit ?? "");
                this.#drawn = "";
                void this.#draw();
              }),
            ),
          ]
        : []),
      ...problems.map((problem) => h("p", { class: "problem" }, problem)),
      ...this.#waiting(),
      h("h3", {}, "All of them"),
      shop.length === 0
        ? h("p", {}, "There are none yet.")
        : h("ul", { class: "rule-list" }, ...shop.map((rule) => this.#row(rule))),
      this.#handIn(),
    );
  }

  #waiting(): readonly HTMLElement[] {
    if (this.#queue.length === 0) return [];
    return [
      h("h3", {}, `Waiting for a mentor (${this.#queue.length})`),
      h(
        "ol",
        { class: "rule-list queue" },
        ...this.#queue.map(({ rule, title, revision, proposedBy, proposedAt }) =>
          h(
            "li",
            {},
            button(`Review: ${title}`, () => this.#events.opened(rule), { class: "row-where" }),
            h("span", { class: "label" }, ` revision ${revision}, ${proposedBy}, ${sayWhen(proposedAt)}`),
          ),
        ),
      ),
    ];
  }

  #row(rule: ShopRule): HTMLElement {
    const newest = rule.revisions.at(-1);
    return h(
      "li",
      {},
      button(newest?.rule.title ?? rule.id, () => this.#events.opened(rule.id), { class: "row-where" }),
      h(
        "p",
        {},
        stateMark(rule),
        h(
          "span",
          { class: "label" },
          ` · ${counted(rule.revisions.length, "revision")}, last by ${newest?.by ?? "nobody"}, ${sayWhen(newest?.at ?? "")}`,
        ),
      ),
    );
  }

  /** Takes in the file that a mentor far away sent back. */
  #handIn(): HTMLElement {
    const file = h("input", {
      id: "answer-file",
      type: "file",
      accept: ".json,application/json",
      change: () => {
        const [chosen] = file.files ?? [];
        if (chosen) void this.#takeIn(chosen);
        file.value = "";
      },
    });
    return h(
      "section",
      { class: "rule-section" },
      h("h3", {}, "Answer of a mentor elsewhere"),
      h("p", {}, h("label", { for: "answer-file" }, "The file that came back, signed "), file),
    );
  }

  async #takeIn(file: File): Promise<void> {
    const read = readJson(await file.text());
    const answer = "rules" in read ? read.rules[0] : undefined;
    if (!answer) {
      this.#say(`${file.name} is not an answer file.`);
      return;
    }
    try {
      const { rule } = await postAnswer(answer);
      await this.#done(`Taken in: ${rule.revisions.at(-1)?.rule.title ?? rule.id}.`, rule.id);
    } catch (error) {
      this.#tell(error, null);
    }
  }

  async #drawRule(rule: ShopRule): Promise<void> {
    const kit = this.#kit ?? "";
    let review: ReviewShown | null = null;
    let failed: HTMLElement | null = null;
    if (rule.proposed !== null) {
      try {
        review = await fetchReview(kit, rule.id);
      } catch (error) {
        failed = problemView(error, null);
      }
      if (this.#open !== rule.id || this.#isWriting) return;
    }
    const revision = rule.revisions.at(-1);
    const step = (
      name: StepTaken["step"],
      number: number | null,
      done: string,
      sure: string | null = null,
    ) => {
      const about = rule.revisions.find((one) => one.revision === number);
      if (!about) return;
      const what = { kit, rule: rule.id, step: name, revision: about.revision, hash: about.hash };
      if (sure === null) void this.#take(what, done);
      else
        this.#told.askWhy(sure, (text) => void this.#take({ ...what, comments: [{ at: null, text }] }, done));
    };
    const here = h("section", { class: "rule-section", "aria-busy": "true" });
    const folded = h(
      "details",
      { class: "rule-section" },
      h("summary", {}, "The same for this assembly alone, with the map"),
      here,
    );
    const view = review
      ? reviewView(
          kit,
          review,
          this.#signIn.holder.value?.role === "mentor" ? null : this.#mentorKey,
          (decision) => void this.#decide(rule, review, decision),
          (words) => this.#say(words),
        )
      : failed;
    const body = view ? h("div", {}, view, folded) : here;
    // The same revision drawn for another writer: comments that are half written stay.
    const about = `${kit} ${rule.id} ${review?.hash ?? ""}`;
    const typed = about === this.#drawnAbout ? typedIn(this.#body) : new Map<string, string>();
    this.#drawnAbout = about;
    this.#body.replaceChildren(
      ...rulePage(rule, body, {
        edit: () => void this.#write((revision?.rule ?? blankRule()) as unknown as Draft, true),
        propose: () => step("propose", revision?.revision ?? null, "Proposed: it waits for a mentor."),
        withdraw: () => step("withdraw", rule.proposed, "Taken back: it is a draft again."),
        retire: () =>
          step(
            "retire",
            rule.inForce,
            "Retired: it no longer counts.",
            `Retire “${revision?.rule.title ?? rule.id}”? Answers no longer use it from then on.`,
          ),
        ask: () => this.#events.askAsIf(rule),
        leave: () => this.#events.opened(null),
      }),
    );
    putBack(this.#body, typed);
    await this.#look(rule, here);
  }

  /** What the proposed or newest revision would do in the assembly on the bench, in words and on the map. */
  async #look(rule: ShopRule, room: HTMLElement): Promise<void> {
    const { assembly } = this.#bench.on.value ?? {};
    const revision = rule.revisions.find((one) => one.revision === (rule.proposed ?? rule.revisions.length));
    if (!assembly || !revision) return;
    try {
      const preview = await fetchPreview(assembly.kit.id, assembly.id, revision.rule, true);
      if (this.#open !== rule.id || this.#isWriting || !room.isConnected) return;
      const problems = preview.problems.map(({ pointer, detail, fix }) => ({
        pointer,
        words: `${detail} ${fix}`,
      }));
      room.replaceChildren(
        h("h3", {}, `What revision ${revision.revision} would do in this assembly`),
        ...checksView(preview, problems, this.#events.showHoles),
      );
      this.#bench.ruleSeen.value =
        rule.inForce === revision.revision ? null : seenOf(revision.rule.title, preview);
    } catch (error) {
      if (room.isConnected) room.replaceChildren(problemView(error, () => void this.#look(rule, room)));
    } finally {
      room.removeAttribute("aria-busy");
    }
  }

  async #decide(rule: ShopRule, review: ReviewShown, { step, comments, reference }: Decision): Promise<void> {
    await this.#take(
      {
        kit: this.#kit ?? "",
        rule: rule.id,
        step,
        revision: review.revision,
        hash: review.hash,
        comments,
        ...(reference !== null && { reference }),
      },
      step === "accept" ? "Accepted: it counts from now on." : "Sent back with your comments.",
      this.#mentorKey.value,
    );
  }

  async #take(taken: StepTaken, done: string, mentorKey: string | null = null): Promise<void> {
    try {
      const lived = await this.#acts.take(taken, this.#rules?.version ?? 0, mentorKey);
      if (lived && mentorKey !== null) this.#mentorKey.clear();
      if (lived) await this.#done(done, taken.rule);
    } catch (error) {
      this.#overtaken(error);
    }
  }

  async #keep(draft: Draft): Promise<boolean> {
    const meanwhile = this.#revisionsOf(draft);
    const newest = meanwhile.at(-1);
    if (newest && meanwhile.length !== this.#begunOn) {
      const since = this.#idIsFixed ? "since you began" : "under the same short name";
      this.#told.ask(
        `${newest.by} wrote revision ${newest.revision}, “${newest.rule.title}”, ${since}. Keep yours as the next revision all the same?`,
        () => {
          this.#begunOn = meanwhile.length;
          void this.#keep(draft);
        },
      );
      return false;
    }
    try {
      const lived = await this.#acts.keep(this.#kit ?? "", draft, this.#rules?.version ?? 0);
      if (!lived) return false;
      forget(this.#kit ?? "");
      this.#isWriting = false;
      this.#desk.close();
      this.#offerExamples();
      const { revisions, id } = lived.rule;
      await this.#done(`Kept as revision ${revisions.length}, a draft.`, id);
      return true;
    } catch (error) {
      this.#overtaken(error);
      return false;
    }
  }

  #revisionsOf({ id }: Draft): ShopRule["revisions"] {
    return this.#rules?.shop.find((rule) => rule.id === id)?.revisions ?? [];
  }

  /** Somebody wrote meanwhile: what there is now is shown, and the act can be done again on top of it. */
  #overtaken(error: unknown): void {
    this.#tell(error, null);
    if (error instanceof Refusal && error.status === 412) void this.#fetch();
  }

  async #done(words: string, rule: string): Promise<void> {
    this.#say(words);
    this.#drawn = "";
    this.#events.opened(rule);
    await this.#fetch();
    this.#body.querySelector<HTMLElement>("h2")?.focus();
  }

  async #write(draft: Draft, idIsFixed: boolean): Promise<void> {
    const { assembly } = this.#bench.on.value ?? {};
    if (!assembly) return;
    try {
      const vocabulary = await fetchVocabulary(assembly.kit.id, assembly.id);
      this.#told.clear();
      this.#isWriting = true;
      this.#begunOn = idIsFixed ? this.#revisionsOf(draft).length : 0;
      this.#idIsFixed = idIsFixed;
      this.#events.opened(null);
      this.#body.replaceChildren(this.#desk.element);
      this.#desk.open(draft, vocabulary, idIsFixed);
      this.#offerExamples();
    } catch (error) {
      this.#tell(error, () => void this.#write(draft, idIsFixed));
    }
  }

  #remember(draft: Draft): void {
    if (this.#isWriting && this.#kit !== null) remember(this.#kit, draft, this.#idIsFixed);
  }

  #leaveDesk(): void {
    this.#isWriting = false;
    this.#drawn = "";
    this.#desk.close();
    this.#offerExamples();
    void this.#fetch();
  }

  /** Under the map, since on a phone the form is not in sight there. */
  #offerExamples(): void {
    const holes = this.#bench.selected.value;
    if (!this.#isWriting || holes.length === 0) {
      this.#examples.replaceChildren();
      return;
    }
    const add = (fires: boolean): void => {
      this.#desk.addExamples(holes, fires);
      this.#events.say(`${counted(holes.length, "example")} added.`);
      this.#bench.select([]);
    };
    this.#examples.replaceChildren(
      h(
        "div",
        { class: "buttons", role: "group", "aria-label": "As examples of the rule" },
        h("span", { class: "label" }, "As examples"),
        button("the rule must hold", () => add(true)),
        button("it must not hold", () => add(false)),
      ),
    );
  }

  #say(words: string): void {
    this.#told.say(words);
  }

  #tell(error: unknown, again: (() => void) | null): void {
    this.#told.tell(error, again);
    this.#events.say(spokenProblem(error));
  }
}

interface Kept {
  readonly draft: Draft;
  readonly idIsFixed: boolean;
}

/** A draft that is not in the shop book yet outlives the page. */
function recall(kit: string): Kept | null {
  try {
    const read: unknown = JSON.parse(localStorage.getItem(`${KEPT_AS}.${kit}`) ?? "null");
    return isFields(read) && isFields(read.draft)
      ? { draft: read.draft, idIsFixed: read.idIsFixed === true }
      : null;
  } catch {
    return null;
  }
}

function remember(kit: string, draft: Draft, idIsFixed: boolean): void {
  try {
    localStorage.setItem(`${KEPT_AS}.${kit}`, JSON.stringify({ draft, idIsFixed }));
  } catch {
    // A browser that keeps nothing still holds it until the page is left.
  }
}

function forget(kit: string): void {
  try {
    localStorage.removeItem(`${KEPT_AS}.${kit}`);
  } catch {
    // Then there was nothing kept.
  }
}
