/**
 * An answer hangs on a program that has not been solved yet. Whoever asks solves it and asks again: answering
 * itself neither waits nor searches. It is no fault of the question and never reaches the builder.
 */
export class Unsolved extends Error {
  constructor(readonly program: string) {
    super("a program has to be solved before this can be answered");
    this.name = "Unsolved";
  }
}
