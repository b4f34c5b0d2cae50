import { newKey, postRevision, postStep, Refusal, type RuleAct } from "./api.js";
import type { Who } from "./who.js";
import type { Lived, RuleComment } from "./wire.js";

/** A step in a rule's life, and what it is about. */
export interface StepTaken {
  readonly kit: string;
  readonly rule: string;
  readonly step: "propose" | "withdraw" | "accept" | "return" | "retire";
  readonly revision: number;
  readonly hash: string;
  readonly comments?: readonly RuleComment[];
  readonly reference?: string;
}

/** What is done to rules, one act at a time; an act that may have gone through is sent again as the same act. */
export class RuleActs {
  readonly #who: Who;
  /** Keys of acts of which nobody knows whether they went through, by what they were. */
  readonly #unsure = new Map<string, string>();
  #isUnderWay = false;

  constructor(who: Who) {
    this.#who = who;
  }

  /** @param version  of the shop book that the draft was begun on. @returns null when another act is under way */
  keep(kit: string, rule: object, version: number): Promise<Lived | null> {
    return this.#once(`keep ${kit} ${JSON.stringify(rule)}`, version, null, (act) =>
      postRevision(kit, rule, act),
    );
  }

  /** @param mentorKey  for accepting and sending back; it is not kept */
  take(
    { kit, rule, step, ...what }: StepTaken,
    version: number,
    mentorKey: string | null,
  ): Promise<Lived | null> {
    return this.#once(`${step} ${kit} ${rule} ${JSON.stringify(what)}`, version, mentorKey, (act) =>
      postStep(kit, rule, step, what, act),
    );
  }

  async #once(
    what: string,
    version: number,
    mentorKey: string | null,
    send: (act: RuleAct) => Promise<Lived>,
  ): Promise<Lived | null> {
    if (this.#isUnderWay) return null;
    this.#isUnderWay = true;
    const key = this.#unsure.get(what) ?? newKey();
    try {
      const lived = await send({ key, version, mentorKey, by: this.#who.name });
      this.#unsure.delete(what);
      return lived;
    } catch (error) {
      if (error instanceof Refusal && error.status < 500) this.#unsure.delete(what);
      else this.#unsure.set(what, key);
      throw error;
    } finally {
      this.#isUnderWay = false;
    }
  }
}
