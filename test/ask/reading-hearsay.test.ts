import { describe, expect, it } from "vitest";
import { readOn, shelfOf } from "../questions/phrasings.js";

const tail = shelfOf("sedge-two", "tailplane");
const asked = (text: string) => {
  const outcome = readOn(tail, text);
  return outcome.kind === "read" ? outcome.asked : outcome.doubt.code;
};
const DIMPLED = { form: "treatment", slots: { row: "RIB-3.top", treatment: "dimple" } };

describe("what others ask and report", () => {
  it.each(["mum wants to know whether", "my old man is asking if", "Dave wonders if"])(
    "%s the row is dimpled: the same is asked",
    (lead) => expect(asked(`${lead} rib 3's top row is dimpled`)).toEqual(DIMPLED),
  );
  it("what a buddy says to be done is stated; what he only thinks is not", () => {
    expect(asked("my buddy says rib 3 is deburred")).toEqual(asked("rib 3 is deburred"));
    expect(typeof asked("my buddy thinks rib 3 is deburred")).toBe("string");
  });
});

describe("words that say nothing where they stand", () => {
  it.each([
    "is rib 3's top row honestly dimpled?",
    "is rib 3's top row even dimpled?",
    "is rib 3's top row dimpled, captain?",
  ])("%s", (text) => expect(asked(text)).toEqual(DIMPLED));
  it.each([
    "is rib 3's top row mostly dimpled?",
    "are the even holes of rib 3's top row dimpled?",
    "is the captain dimpled?",
  ])("restricts or names something, so it is asked back: %s", (text) =>
    expect(typeof asked(text)).toBe("string"),
  );
  it("rib 3 that is presumably or hardly deburred is not stated to be", () => {
    expect(typeof asked("rib 3 is presumably deburred")).toBe("string");
    expect(typeof asked("rib 3 is hardly deburred")).toBe("string");
  });
  it("a last small word stays where no tag hides it: what to dimple with is a tool", () => {
    expect(asked("I'm at the bench with a cuppa. what do I dimple RIB-3.top.7 with?")).toEqual(
      asked("what do I dimple RIB-3.top.7 with?"),
    );
  });
  it("letters drawn out say no more", () => {
    expect(asked("whyyy is rib 3's top row dimpled")).toEqual(asked("why is rib 3's top row dimpled"));
  });
});
