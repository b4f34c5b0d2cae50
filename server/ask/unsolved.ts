import type { ReworkAsked } from "../order/rework-asked.js";
import type { Standing } from "../order/types.js";

/**
 * An answer hangs on a way back that has not been worked out yet. Whoever asks has it worked out and asks again:
 * answering itself neither waits nor searches. It is no fault of the question and never reaches the builder.
 */
export class Unsolved extends Error {
  constructor(
    readonly standing: Standing,
    readonly asked: ReworkAsked,
  ) {
    super("a way back has to be worked out before this can be answered");
    this.name = "Unsolved";
  }
}
