import type { Mark } from "../server/kit/work.js";
import { newKey, Refusal, Unreachable } from "./api.js";
import { type Act, type Bench, MarkedAgain, Overtaken } from "./bench.js";
import { sayMarks } from "./marks.js";
import type { Notices } from "./notices.js";
import type { Who } from "./who.js";

/** Records marks and tells what came of it; offers the way back, or another try. */
export class Marking {
  readonly #bench: Bench;
  readonly #notices: Notices;
  readonly #who: Who;
  /** One act at a time: a second tap while the first is on its way is not a second act. */
  #underWay = false;

  constructor(bench: Bench, notices: Notices, who: Who) {
    this.#bench = bench;
    this.#notices = notices;
    this.#who = who;
  }

  /** @returns whether the marks are in the shop book */
  record(marks: readonly Mark[]): Promise<boolean> {
    return this.#send({ marks, key: newKey(), by: this.#who.name });
  }

  async undo(): Promise<void> {
    if (this.#underWay) return;
    this.#underWay = true;
    try {
      this.#notices.tell(`Undone: ${await this.#bench.undo(this.#who.name)}.`);
    } catch (error) {
      this.#notices.tell(this.#sayFailure(error, "undone"), [
        { label: "Try again", take: () => void this.undo() },
      ]);
    } finally {
      this.#underWay = false;
    }
  }

  async #send(act: Act): Promise<boolean> {
    if (this.#underWay) return false;
    this.#underWay = true;
    try {
      const warnings = await this.#bench.record(act);
      this.#notices.tell(
        `Recorded: ${sayMarks(act.marks)}.`,
        [{ label: "Undo", take: () => void this.undo() }],
        warnings,
      );
      return true;
    } catch (error) {
      const again = (): void =>
        void (error instanceof Unreachable ? this.#send(act) : this.record(act.marks));
      this.#notices.tell(this.#sayFailure(error, "recorded"), [{ label: "Try again", take: again }]);
      return false;
    } finally {
      this.#underWay = false;
    }
  }

  #sayFailure(error: unknown, done: string): string {
    if (error instanceof Overtaken)
      return `${error.message} The map now shows it. Nothing of yours was ${done}.`;
    if (error instanceof MarkedAgain) return `${error.message} Nothing was ${done}.`;
    if (error instanceof Refusal) return `${error.message} ${error.fix ?? ""} (${error.code})`;
    if (error instanceof Unreachable)
      return `${error.message} Perhaps nothing was ${done}; trying again does no harm: it counts once.`;
    throw error;
  }
}
