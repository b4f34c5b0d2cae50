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

/** Sentences of their own that say nothing of the work: somebody, the weather, the hour, the house. */
const IDLE = [
  "The kids are at grandma's and I have the whole evening",
  "I promised the wife I would be in by nine",
  "The shop in town closes at noon",
  "Got the radio on and a fresh pot of tea",
  "My mate Kevin says hello",
  "Finally a weekend without visitors",
  "The forum is no help, as usual",
  "My brother-in-law the engineer is standing right behind me",
  "It's pouring outside and the garage roof leaks",
  "The dog ate my printout",
  "Ten past eleven and I really should be in bed",
  "The neighbours are away so I can make noise",
  "The postman comes at ten",
  "I have Thursday and Friday off",
  "I know it's silly, but it keeps me awake",
  "The charger light just went green",
  "The cat is asleep on the plans and I don't dare move her",
  "Nobody at the club could tell me",
  "I could kick myself",
  "I can't feel my fingers any more",
  "There is football on at eight and I want to be done by then",
  "The landlord has just switched off the heating",
  "It took me three evenings to tidy the bench",
  "I'm typing this with one thumb",
  "It's my birthday, so humour me",
  "This is all quite new to me",
  "The lamp over the bench keeps flickering",
  "We had a power cut all morning",
  "We are three people round one bench tonight",
  "The inspector is dropping by for coffee",
] as const;

/** Sentences of their own that tell of the work, make a condition, or say which of several is meant. */
const BEARING = [
  "My son drilled it while I was out",
  "The holes look a bit big to me",
  "I only want to know about the last three",
  "The inspector wants solid ones",
  "Assume the nose skin is already on",
  "I have not primed it",
  "I did everything up to the last step",
  "My helper swapped two of them",
  "It is made of steel, mine",
  "Someone bent the flange",
  "Hold on until the glue is dry",
  "I made it myself from scrap",
  "The kit's are used up",
  "I can't get the bar in",
  "The skin is thicker than in the plan",
  "The dimple die slipped",
  "There is paint in the holes",
  "They sent me the old one",
  "I filed it down a little",
  "There is a gap under it",
  "There are burrs everywhere",
  "It's on upside down",
  "I don't have a dimple die",
  "The squeezer does not reach",
  "Nothing lines up",
  "We did the other side first",
  "I hammered it flat",
  "It's from another kit",
  "My mentor has set the others",
  "Unless the notice says otherwise",
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

describe("a sentence of its own beside a question", () => {
  const whole = questions.filter(({ phrasing }) => phrasing.ask.trim().endsWith("?"));

  test.each(IDLE)("%s: says nothing of the work, and the question is read without it", (idle) => {
    for (const text of [`${idle}. Is rib 3's top row dimpled?`, `Is rib 3's top row dimpled? ${idle}.`])
      expect(onTail(text)).toMatchObject({ kind: "read", asked: DIMPLED });
  });

  test.each(BEARING)("%s: may bear on the question, which is asked back", (told) => {
    for (const text of [`${told}. Is rib 3's top row dimpled?`, `Is rib 3's top row dimpled? ${told}.`])
      expect(onTail(text).kind).toBe("doubt");
  });

  test("for any question: an idle sentence changes nothing that is read, or it is asked back", () => {
    fc.assert(
      fc.property(fc.constantFrom(...whole), fc.constantFrom(...IDLE), fc.boolean(), (one, idle, before) => {
        const alone = readCase(one);
        const { ask } = one.phrasing;
        const beside = readOn(one.shelf, before ? `${idle}. ${ask}` : `${ask} ${idle}.`);
        if (alone.kind === "read" && beside.kind === "read") expect(beside.asked).toEqual(alone.asked);
        else expect(beside.kind).toBe("doubt");
      }),
      { numRuns: 200 },
    );
  });

  test("for any question of holes, rivets, tools and marks: a sentence that bears on it is never left out", () => {
    // Those on damage, reach and turning take some of these sentences up themselves.
    const plain = whole.filter(
      ({ phrasing: { read } }) =>
        typeof read !== "string" &&
        /^(treatment|fastener|count|tools|progress|stay-open|why)$/.test(read.form),
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...plain),
        fc.constantFrom(...BEARING),
        fc.boolean(),
        (one, told, before) => {
          const alone = readCase(one);
          const { ask } = one.phrasing;
          const beside = readOn(one.shelf, before ? `${told}. ${ask}` : `${ask} ${told}.`);
          if (beside.kind === "read" && alone.kind === "read")
            expect({ ...beside.asked, left: beside.unused }, ask).not.toMatchObject({ ...alone.asked });
        },
      ),
      { numRuns: 200 },
    );
  });

  test.each([
    ["The servo mount is on the bench under a blanket", true],
    ["I've dug the servo mount out from behind the freezer", true],
    ["I have the servo mount in one hand and the phone in the other", true],
    ["The servo mount has been standing in the hall and people hang their coats on it", true],
    ["The servo mount is on the bench, bent like a banana", false],
    ["The servo mount is upside down on the bench", false],
    ["The servo mount is not here yet", false],
    ["The servo mount has paint on it", false],
    ["I made the servo mount from scrap", false],
    ["My son trimmed the servo mount", false],
    ["The servo mount is steel", false],
  ])("%s: where a part is gives the place that is asked about, how it is does not", (told, isRead) => {
    const outcome = onTail(`${told}. What has to be set before it goes on?`);
    expect(outcome.kind).toBe(isRead ? "read" : "doubt");
    if (outcome.kind === "read")
      expect(outcome.asked).toEqual({ form: "before-closing", slots: { part: "SERVO-MOUNT" } });
  });

  test.each([
    ["I could kick myself", true],
    ["I have Thursday off", true],
    ["I can't feel my fingers", true],
    ["I think", false],
    ["Could be tomorrow", false],
    ["Most of it anyway", false],
    ["Not all", false],
    ["I am not sure though", false],
  ])("%s: after a statement, takes something off it only where it speaks of it", (told, isRead) => {
    expect(onTail(`Rib 6 is deburred. ${told}.`).kind).toBe(isRead ? "read" : "doubt");
  });
});

describe("work that is told, and a question after it", () => {
  test.each([
    "we set the web doubler last night, what's next",
    "I've set the web doubler, what's next?",
    "we set rib 3, what's left",
    "I primed rib 3 yesterday, what's next",
  ])("%s: both are offered, what was done first", (text) => {
    const outcome = onTail(text);
    expect(outcome).toMatchObject({ kind: "doubt", doubt: { code: "two-things" } });
    expect(outcome.kind === "doubt" && outcome.choices.map(({ form }) => form)[0]).toBe("tell");
  });
});

test("a last sentence is one without its full stop too", () => {
  for (const end of [".", "", " um"])
    expect(onTail(`Is rib 3's top row dimpled? The postman comes at ten${end}`)).toMatchObject({
      asked: DIMPLED,
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
