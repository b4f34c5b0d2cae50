import type { Suggestion } from "../server/ask/suggest.js";
import type { Answer, Reading, Slots } from "../server/ask/types.js";
import type { Mark } from "../server/kit/work.js";
import { type AnswerActions, answerView, spokenAnswer } from "./answer.js";
import { fetchOffers, postQuestion } from "./api.js";
import type { Bench } from "./bench.js";
import { button, h } from "./dom.js";
import { problemView, spokenProblem } from "./problem-view.js";
import type { Asked } from "./wire.js";

/** Older turns than these leave the page. */
const MOST_TURNS = 40;

/** A question as it is asked: its words, and the reading when it needs no reading any more. */
export interface Question {
  readonly words: string;
  readonly form: string | null;
  readonly slots: Slots;
}

interface Turn {
  question: Question;
  readonly element: HTMLElement;
  readonly body: HTMLElement;
  readonly heading: HTMLElement;
  /** What was sent; the reading once there is one. */
  asked: Asked;
  /** Shop rule that counts for it as if it were in force. */
  readonly trying: string | null;
  answer: Answer | null;
}

export interface ConversationEvents {
  /** A turn came into view, new or revisited; its question carries the reading once there is one. */
  readonly shown: (question: Question, answer: Answer | null) => void;
  readonly showHoles: (holes: readonly string[]) => void;
  readonly record: (marks: readonly Mark[]) => Promise<boolean>;
  readonly say: (words: string) => void;
  /** The question could not be sent: its words go back to the box. */
  readonly unsent: (words: string) => void;
}

/** Questions and answers, oldest first. */
export class Conversation {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #events: ConversationEvents;
  readonly #welcome: HTMLElement;
  readonly #starters = h("ul", { class: "follow-ups", "aria-label": "Questions to begin with" });
  readonly #banner = h("div", { class: "trying", role: "status" });
  #trying: string | null = null;
  #turns: readonly Turn[] = [];
  #current: Turn | null = null;

  constructor(bench: Bench, events: ConversationEvents) {
    this.#bench = bench;
    this.#events = events;
    this.#welcome = h("section", { class: "welcome", "aria-label": "Where to begin" });
    this.element = h(
      "section",
      { class: "conversation", "aria-label": "Questions and answers" },
      this.#banner,
      this.#welcome,
    );
    bench.on.watch((on) => on && this.#markOutdated(on.work.version));
  }

  /** Forgets all turns and makes room for questions to begin with. */
  begin(title: string): void {
    for (const { element } of this.#turns) element.remove();
    this.#turns = [];
    this.#current = null;
    this.#welcome.replaceChildren(
      h("h2", {}, title),
      h(
        "p",
        {},
        "Ask in your own words, or begin with one of these. Every answer shows the rules it rests on.",
      ),
      this.#starters,
    );
  }

  /**
   * From now on questions are answered as if a shop rule were in force; null = as things stand.
   * @param called  what the rule is called
   * @param stop    what the way back does
   */
  tryRule(rule: string | null, called: string, stop: () => void): void {
    this.#trying = rule;
    this.#banner.replaceChildren(
      ...(rule === null
        ? []
        : [
            h("p", {}, `Answers count “${called}” as if it were in force. It is not.`),
            button("Answer as things stand", stop),
          ]),
    );
  }

  /** Offers questions to begin with as the work stands; those offered before go. */
  offer(starters: readonly Suggestion[], ask: (reading: Reading) => void): void {
    this.#starters.replaceChildren(
      ...starters.map((reading) =>
        h(
          "li",
          {},
          button(reading.short, () => ask(reading), { class: "chip", title: reading.said }),
        ),
      ),
    );
  }

  /** Brings back a turn that was asked before. @returns false when there is none for that question */
  revisit(question: Question): boolean {
    const turn = this.#turns.findLast((one) => isSame(one.question, question) && one.trying === this.#trying);
    if (turn) this.#show(turn);
    return turn !== undefined;
  }

  /** Nothing asked is in view. */
  leave(): void {
    this.#current?.element.classList.remove("is-current");
    this.#current = null;
    this.element.scrollTo({ top: 0 });
  }

  /** Asks and shows the answer, or what went wrong. */
  async ask(question: Question, moveFocus: boolean): Promise<void> {
    const context = this.#current?.answer?.reading ?? null;
    const turn = this.#newTurn(question, askedOf(question, context));
    if (moveFocus) turn.heading.focus({ preventScroll: true });
    await this.#answer(turn);
  }

  async #answer(turn: Turn): Promise<void> {
    const on = this.#bench.on.value;
    if (!on) return;
    turn.element.setAttribute("aria-busy", "true");
    turn.body.replaceChildren(h("p", { class: "waiting" }, "Looking it up …"));
    try {
      const answer = await postQuestion(on.assembly.kit.id, on.assembly.id, turn.asked, turn.trying);
      turn.answer = answer;
      if (answer.reading && (answer.outcome === "answered" || answer.outcome === "proposal")) {
        const { form, slots } = answer.reading;
        turn.question = { words: turn.question.words, form, slots };
        turn.asked = { form, slots };
      }
      turn.body.replaceChildren(answerView(answer, on.names, this.#actions()));
      this.#events.say(spokenAnswer(answer));
      this.#markOutdated(this.#bench.on.value?.work.version ?? 0);
      if (turn === this.#current) this.#show(turn);
    } catch (error) {
      turn.body.replaceChildren(problemView(error, () => void this.#answer(turn)));
      this.#events.say(spokenProblem(error));
      if (turn.question.form === null) this.#events.unsent(turn.question.words);
    } finally {
      turn.element.removeAttribute("aria-busy");
    }
  }

  #newTurn(question: Question, asked: Asked): Turn {
    const heading = h("h2", { class: "question", tabindex: -1 }, question.words);
    const body = h("div", { class: "turn-body" });
    const trying = this.#trying;
    const element = h(
      "article",
      { class: trying === null ? "turn" : "turn is-tried" },
      heading,
      trying !== null && h("p", { class: "tried-mark" }, `As if the shop rule “${trying}” were in force`),
      body,
    );
    const turn: Turn = { question, element, body, heading, asked, trying, answer: null };
    for (const old of this.#turns.slice(0, -(MOST_TURNS - 1))) old.element.remove();
    this.#turns = [...this.#turns.slice(-(MOST_TURNS - 1)), turn];
    this.element.append(element);
    this.#show(turn);
    return turn;
  }

  #show(turn: Turn): void {
    this.#current?.element.classList.remove("is-current");
    this.#current = turn;
    turn.element.classList.add("is-current");
    const list = this.element;
    const top = turn.element.getBoundingClientRect().top - list.getBoundingClientRect().top;
    list.scrollTo({ top: list.scrollTop + top - 8 });
    this.#events.shown(turn.question, turn.answer);
  }

  #actions(): AnswerActions {
    return {
      ask: (reading) =>
        void this.ask({ words: reading.said, form: reading.form, slots: reading.slots }, true),
      offers: async ({ form, slots }) => {
        const on = this.#bench.on.value;
        if (!on) throw new Error("No assembly is open.");
        return fetchOffers(on.assembly.kit.id, on.assembly.id, form, slots);
      },
      showHoles: this.#events.showHoles,
      record: this.#events.record,
    };
  }

  /** An answer rests on the work as it was; once that has moved on, the answer says so. */
  #markOutdated(version: number): void {
    for (const turn of this.#turns) {
      if (!turn.answer || turn.answer.version >= version || turn.body.querySelector(".outdated")) continue;
      turn.body.prepend(
        h(
          "p",
          { class: "outdated" },
          "The shop book has moved on since this answer. ",
          button("Ask again", () => void this.#answer(turn), { class: "chip" }),
        ),
      );
    }
  }
}

function askedOf({ words, form, slots }: Question, context: Reading | null): Asked {
  if (form !== null) return { form, slots };
  return context ? { question: words, context } : { question: words };
}

function isSame(one: Question, other: Question): boolean {
  const key = ({ words, form, slots }: Question): string =>
    JSON.stringify([words, form, Object.entries(slots).sort(([a], [b]) => (a < b ? -1 : 1))]);
  return key(one) === key(other);
}
