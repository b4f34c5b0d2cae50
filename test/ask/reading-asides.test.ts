import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import { type Case, phrasingSet, readCase, readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
});

const onTail = (text: string, after: Parameters<typeof readOn>[2] = null) => readOn(tail, text, after);
const DIMPLED = { form: "treatment", slots: { row: "RIB-3.top", treatment: "dimple" } };

/** Questions and statements with a reading of their own, from all kits; shown by their words. */
const questions: readonly Case[] = phrasingSet("work")
  .filter(({ phrasing }) => typeof phrasing.read !== "string" && phrasing.after === undefined)
  // A topic to look up in the notes is free words: it takes in what follows it.
  .filter(({ phrasing }) => typeof phrasing.read === "string" || phrasing.read.form !== "notes")
  .filter((one) => readCase(one).kind === "read")
  .map((one) => ({ ...one, [fc.toStringMethod]: () => one.phrasing.ask }));

/** What says nothing of the work. */
const CHATTER = [
  "Blimey",
  "Right",
  "Hang on",
  "Oh dear",
  "No rush",
  "Just curious",
  "Hold on a minute",
  "Silly me",
  "My dad is here again",
  "I'm at the bench with a cuppa",
  "Sorry to bother you",
  "The inspector is coming this Friday",
] as const;

/** "Right" after a statement asks whether it is so. */
const ROUNDING_OFF = CHATTER.filter((aside) => aside !== "Right");

/** What may bear on the question beside it. */
const TELLING = [
  "I've set everything on rib 5",
  "If rib 3 is domed",
  "We countersank it instead",
  "Assuming the twist is checked",
  "I opened those to 4 mm",
  "Without the web doubler",
  "Only the last two",
  "Leaving rib 2 off",
] as const;

describe("what is said beside a question", () => {
  test.each(CHATTER)("%s: the question is read as it is by itself", (aside) => {
    expect(onTail(`${aside}, is rib 3's top row dimpled?`)).toMatchObject({ kind: "read", asked: DIMPLED });
    expect(onTail(`${aside}. Is rib 3's top row dimpled?`)).toMatchObject({ kind: "read", asked: DIMPLED });
  });

  test.each(TELLING)("%s: is not dropped", (aside) => {
    for (const mark of [",", "."]) {
      const outcome = onTail(`${aside}${mark} which holes of rib 3's top row are dimpled?`);
      expect(outcome).toMatchObject({ kind: "doubt" });
    }
  });

  test.each([
    "Curious woodworker here",
    "Got the puller loaded",
    "Reading papers over a cup of tea",
    "The drill press is warm",
    "Before I go home",
    "The kettle's boiled",
  ])("%s: a question that names its own place is answered, and what was not used is told", (aside) => {
    const outcome = onTail(`${aside}: is rib 3's top row dimpled?`);
    expect(outcome).toMatchObject({ kind: "read", asked: DIMPLED });
    expect(outcome.kind === "read" && outcome.unused.length).toBeGreaterThan(0);
  });

  test.each([
    "Gizmo bracket: is it dimpled?",
    "Gizmo bracket: which holes are dimpled?",
    "The gizmo bracket, what must be set before the top skin closes?",
    "On the gizmo: is rib 3's top row dimpled?",
    "Gizmo nearly, rib 3's top row is set",
  ])("what may be the thing that is asked about is not left out: %s", (text) => {
    expect(onTail(text).kind).toBe("doubt");
    expect(onTail(text, { form: "treatment", slots: { part: "RIB-5" } }).kind).toBe("doubt");
  });

  test.each([
    ["rib 3's top row is set, the heads look good", "tell"],
    ["the twist is checked, works a treat", "tell"],
    ["rib 3's top row is set, came out nice", "tell"],
    ["rib 3's top row is set, three came out nice", null],
    ["rib 3's top row is set, most look good", null],
    ["rib 3's top row is set, does it look good", null],
    ["rib 3's top row is set, not that it looks good", null],
  ])("pleased with it or not: %s", (text, form) => {
    const outcome = onTail(text);
    expect(outcome.kind === "read" ? outcome.asked.form : null).toBe(form);
  });

  test("of the trade: the question by itself is one tap away, and what it leaves out is named", () => {
    const outcome = onTail("I opened those to 4 mm. Is rib 3's top row dimpled?");
    expect(outcome).toMatchObject({ kind: "doubt", doubt: { code: "unread" } });
    expect(outcome.kind === "doubt" && outcome.choices[0]).toEqual(DIMPLED);
    expect(outcome.kind === "doubt" && outcome.unread).toContain("4 mm");
  });

  test("words of an aside that mean nothing here are told", () => {
    expect(onTail("My wife says I'm obsessed, is rib 3's top row dimpled?")).toMatchObject({
      kind: "read",
      asked: DIMPLED,
      unused: ["wife", "says", "obsessed"],
    });
  });

  test("a mishap told beside a question that is not about it is asked back", () => {
    expect(onTail("I think I messed up rib 2. What now?").kind).toBe("doubt");
    expect(onTail("I slipped, is rib 3's top row dimpled?").kind).toBe("doubt");
  });

  test("a statement that its own aside takes back states nothing", () => {
    for (const doubted of ["I hope", "I think", "I suppose", "or so I believe", "but I'm not sure"])
      expect(onTail(`rib 6 is primed, ${doubted}`).kind).toBe("doubt");
    expect(onTail("rib 6 is primed, hooray")).toMatchObject({ kind: "read", asked: { form: "tell" } });
  });

  test("whoever speaks of an inspector is answered; whoever asks what he decides is not", () => {
    expect(onTail("The inspector is here, is rib 3's top row dimpled?")).toMatchObject({ asked: DIMPLED });
    expect(onTail("The inspector is here, is it legal?")).toMatchObject({ doubt: { code: "elsewhere" } });
    expect(onTail("I'm bleeding, is rib 3's top row dimpled?")).toMatchObject({
      doubt: { code: "elsewhere" },
    });
  });

  test.each([
    ["I've deburred rib 2. Silly me.", "I've deburred rib 2"],
    ["I'm at the bench with a cuppa. they've deburred rib 2", "they've deburred rib 2"],
    ["Hang on. top skin on now, yes or no?", "top skin on now, yes or no?"],
    ["what should I do to RIB-4.top.3? Hang on.", "what should I do to RIB-4.top.3?"],
    ["Sorry to bother you. they've deburred rib 2", "they've deburred rib 2"],
    [
      "please hold on a minute, what stops me setting RIB-1.bottom.4?",
      "what stops me setting RIB-1.bottom.4?",
    ],
  ])("sentences are not run together where one is enough: %s", (text, alone) => {
    const wanted = onTail(alone);
    expect(wanted.kind).toBe("read");
    expect(onTail(text)).toMatchObject({ kind: "read", asked: wanted.kind === "read" ? wanted.asked : null });
  });

  test("for any question: chatter before it changes nothing that is read, or it is asked back", () => {
    fc.assert(
      fc.property(fc.constantFrom(...questions), fc.constantFrom(...CHATTER), (one, aside) => {
        const alone = readCase(one);
        const beside = readOn(one.shelf, `${aside}. ${one.phrasing.ask}`);
        if (alone.kind === "read" && beside.kind === "read") expect(beside.asked).toEqual(alone.asked);
        else expect(beside.kind).toBe("doubt");
      }),
      { numRuns: 150 },
    );
  });

  test("for any question: chatter after it changes nothing that is read, or it is asked back", () => {
    fc.assert(
      fc.property(fc.constantFrom(...questions), fc.constantFrom(...ROUNDING_OFF), (one, aside) => {
        const alone = readCase(one);
        const { ask } = one.phrasing;
        const beside = readOn(one.shelf, `${ask}${/[.?!]$/.test(ask) ? "" : "."} ${aside}.`);
        if (alone.kind === "read" && beside.kind === "read") expect(beside.asked).toEqual(alone.asked);
        else expect(beside.kind).toBe("doubt");
      }),
      { numRuns: 150 },
    );
  });
});

describe("a tag at the end", () => {
  test.each(["isn't it?", "right?", "yes or no?", "you reckon?", "would you say?", "y/n"])(
    "rib 3's top row is dimpled, %s asks",
    (tag) => {
      expect(onTail(`rib 3's top row is dimpled, ${tag}`)).toMatchObject({ kind: "read", asked: DIMPLED });
    },
  );
});

describe("a why of another place", () => {
  const whyNot = { form: "why-not", slots: { part: "RIB-4", treatment: "dimple" } };

  test("takes what the question before asked about", () => {
    for (const text of ["okay, and why not the web doubler?", "n why not web doubler"])
      expect(onTail(text, whyNot)).toMatchObject({
        asked: { form: "why-not", slots: { part: "WEB-DOUBLER", treatment: "dimple" } },
      });
    const why = { form: "why", slots: { hole: "RIB-5.top.8", treatment: "dimple" } };
    expect(onTail("huh, and how come RIB-2.top.8 too?", why)).toMatchObject({
      asked: { form: "why", slots: { hole: "RIB-2.top.8", treatment: "dimple" } },
    });
  });

  test("that names what it asks about is a question of its own", () => {
    expect(onTail("why is the front spar countersunk?", whyNot)).toMatchObject({
      asked: { form: "why", slots: { part: "FRONT-SPAR", treatment: "countersink" } },
    });
  });
});
