import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import { type Case, phrasingSet, readCase, readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
});

const onTail = (text: string) => readOn(tail, text);
const DIMPLED = { form: "treatment", slots: { part: "RIB-4", treatment: "dimple" } };

const questions: readonly Case[] = phrasingSet("work")
  .filter(({ phrasing }) => typeof phrasing.read !== "string" && phrasing.after === undefined)
  .filter(({ phrasing }) => typeof phrasing.read === "string" || phrasing.read.form !== "notes")
  .filter((one) => readCase(one).kind === "read")
  .map((one) => ({ ...one, [fc.toStringMethod]: () => one.phrasing.ask }));

/** What opens a text and says nothing. */
const OPENERS = [
  "I mean",
  "listen",
  "umm",
  "uhhh",
  "hmmm",
  "ahem",
  "yes",
  "yeah",
  "excuse me",
  "pardon me",
  "come on",
  "dear me",
];
/** What agrees where it stands alone, and asks "may I" before "to" and "if". */
const AGREEING = ["ok", "okay", "alright", "right", "fine", "good", "great", "now"];

describe("what only opens a text", () => {
  test.each([...OPENERS, ...AGREEING])("%s: the question is read as it is by itself", (opener) => {
    for (const mark of [",", ""])
      expect(onTail(`${opener}${mark} which holes on rib 4 are dimpled`)).toMatchObject({
        kind: "read",
        asked: DIMPLED,
      });
  });

  test.each(["ok", "okay", "alright", "fine", "good"])("%s to: asks whether it may be done", (word) => {
    expect(onTail(`${word} to dimple rib 4?`)).toMatchObject({
      asked: { form: "may-i", slots: { act: "dimple" } },
    });
  });

  test("an agreeing word before a statement does not make it a question", () => {
    for (const text of [
      "ok, rib 6's top row is pinned",
      "ok rib 6's top row is pinned",
      "right, rib 6's top row is pinned",
    ])
      expect(onTail(text)).toMatchObject({
        kind: "read",
        asked: { form: "tell", slots: { state: "pinned" } },
      });
  });

  test("an agreeing word after a statement without a question mark may ask or state: both are offered", () => {
    for (const text of ["rib 3's top row riveted ok", "RIB-3.top.1 set, okay"]) {
      const outcome = onTail(text);
      expect(outcome).toMatchObject({ kind: "doubt", doubt: { code: "two-readings" } });
      expect(outcome.kind === "doubt" && outcome.choices.map(({ form }) => form)).toEqual(["tell", "may-i"]);
    }
  });

  test("say: opens a question, and supposes before a statement", () => {
    expect(onTail("say, can I set rib 4's top row now?")).toMatchObject({
      asked: { form: "may-i", slots: { act: "set", row: "RIB-4.top" } },
    });
    expect(onTail("say the ribs are dimpled, what then?").kind).toBe("doubt");
  });

  test("so and just before a condition do not cut it off", () => {
    const before = { form: "stay-open", slots: { milestone: "hinges-lined-up" } };
    for (const word of ["so", "just", "so just"])
      expect(onTail(`${word} until the hinges are lined up, what is not to be bucked?`)).toMatchObject({
        asked: before,
      });
  });

  test("a side is no opener", () => {
    expect(onTail("right skin is primed").kind).toBe("doubt");
    expect(onTail("right side dimpled?").kind).toBe("doubt");
  });

  test("for any question: what opens a text does not change what is read; without its comma an agreeing word may be asked back", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...questions),
        fc.constantFrom(...OPENERS, ...AGREEING),
        fc.boolean(),
        (one, opener, comma) => {
          const { asked } = readCase(one) as Extract<ReturnType<typeof readCase>, { kind: "read" }>;
          const outcome = readOn(one.shelf, `${opener}${comma ? "," : ""} ${one.phrasing.ask}`);
          if (outcome.kind === "read") expect(outcome.asked).toEqual(asked);
          else expect(comma || OPENERS.includes(opener)).toBe(false);
        },
      ),
      { numRuns: 200 },
    );
  });
});
