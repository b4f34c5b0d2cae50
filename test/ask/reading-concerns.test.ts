import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import type { Asked } from "../../server/ask/reading/clipped.js";
import { nameIndex } from "../../server/ask/reading/names.js";
import { holesAt, whereOf } from "../../server/ask/reading/where.js";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;
let door: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
  door = shelfOf("vetch-six", "cargo-door-frame");
});

const onTail = (text: string, after: Asked | null = null) => readOn(tail, text, after);

function choicesOf(text: string, after: Asked | null = null, shelf = tail): readonly Asked[] {
  const outcome = readOn(shelf, text, after);
  expect(outcome.kind, JSON.stringify(outcome)).toBe("doubt");
  return outcome.kind === "doubt" ? outcome.choices : [];
}

describe("the order of two preps is asked for, and not what one of them is", () => {
  test.each([
    "dimple before or after priming rib 3",
    "do I deburr rib 3 before priming it",
    "is rib 3 primed before dimpling?",
    "what comes first on rib 3, dimple or deburr",
    "do I prime first, then dimple rib 3",
    "may I dimple rib 3 once it is primed, or before",
  ])("%s: the plan until it is on and the notes are offered", (text) => {
    const choices = choicesOf(text);
    expect(choices[0]).toEqual({ form: "plan", slots: { part: "RIB-3" } });
    expect(choices[1]).toMatchObject({ form: "notes" });
    expect(
      choices.every(
        ({ slots }) => slots.gate === undefined && slots.treatment === undefined && slots.act === undefined,
      ),
    ).toBe(true);
  });

  test.each(["do I deburr before priming", "countersink or deburr first", "is it deburr, then dimple?"])(
    "%s: without a part the notes come first",
    (text) => {
      expect(choicesOf(text).map(({ form }) => form)).toEqual(["notes", "plan"]);
    },
  );

  test("of enlarging and dimpling the treatment tells the order", () => {
    expect(choicesOf("do I enlarge before dimpling rib 3's top row")[0]).toEqual({
      form: "treatment",
      slots: { row: "RIB-3.top" },
    });
  });

  test.each([
    ["dimple or countersink?", "notes"],
    ["when do I dimple rib 3", "plan"],
    ["is rib 3 primed", "progress"],
  ])("%s: asks for no order", (text, form) => {
    expect(onTail(text)).toMatchObject({ kind: "read", asked: { form } });
  });
});

describe("rivets are left over", () => {
  test.each([
    "a box of PR-32-6 left over, did I forget them",
    "I've some PR-32-6 over, have I missed a hole",
    "PR-32-6 left over, what did I miss?",
  ])("%s: how many are still needed comes before where they go", (text) => {
    expect(choicesOf(text)).toEqual([
      { form: "count", slots: { rivet: "PR-32-6", left: "yes" } },
      { form: "progress", slots: {} },
      { form: "fastener", slots: { rivet: "PR-32-6" } },
    ]);
  });

  test.each([
    "I have six rivets left over, which did I miss",
    "two spare rivets here, what have I forgotten?",
  ])("%s: what is left is offered", (text) => {
    expect(choicesOf(text)).toEqual([{ form: "progress", slots: {} }]);
  });

  test("where they go is asked", () => {
    expect(choicesOf("got 3 PR-32-5 left over, where do they go")[0]).toEqual({
      form: "fastener",
      slots: { rivet: "PR-32-5" },
    });
  });

  test.each([
    ["how many PR-32-6 are left", { rivet: "PR-32-6", left: "yes" }],
    ["ten percent spare rivets for rib 3", { part: "RIB-3", spares: "10" }],
  ])("%s: is counted", (text, slots) => {
    expect(onTail(text)).toMatchObject({ kind: "read", asked: { form: "count", slots } });
  });
});

describe("what is told of a rivet beside a question whether something may be done", () => {
  const CLOSE = { form: "may-i", slots: { act: "close", part: "TOP-SKIN" } };
  const FAULTS = [
    ["one rivet on rib 3 is loose", { form: "notes", slots: { topic: "bad rivet" } }],
    ["I sheared a rivet in rib 3", { form: "notes", slots: { topic: "bad rivet" } }],
    ["a rivet is missing on rib 3", { form: "progress", slots: { part: "RIB-3" } }],
    ["I forgot a rivet on rib 3", { form: "progress", slots: { part: "RIB-3" } }],
    ["there's a wrong rivet in rib 3's top row", { form: "fastener", slots: { row: "RIB-3.top" } }],
    ["RIB-3.top.3 fell out", { form: "tell", slots: { state: "unset", hole: "RIB-3.top.3" } }],
    ["RIB-3.top.3 is oval", { form: "repair", slots: { damage: "oblong", hole: "RIB-3.top.3" } }],
    ["a hole on rib 3 is oversize", { form: "repair", slots: { damage: "oversize" } }],
  ] as const;

  test.each(FAULTS)("%s: is not dropped, and what helps is offered", (fault, choice) => {
    for (const text of [`${fault}, can I close the top skin?`, `Can I close the top skin? ${fault}`]) {
      const choices = choicesOf(text);
      expect(choices).toContainEqual(choice);
      expect(choices).toContainEqual(CLOSE);
    }
  });

  test.each(["one loose rivet", "a rivet's missing", "I forgot one", "one of them is sheared"])(
    "%s: never leaves a plain yes or no",
    (fault) => {
      expect(onTail(`${fault}, can I close the top skin?`).kind).toBe("doubt");
      expect(onTail(`Can the top skin go on, ${fault}?`).kind).toBe("doubt");
    },
  );

  test.each(["I forgot my glasses", "my dog is missing", "I lost my pencil"])("%s: is no work", (aside) => {
    expect(onTail(`${aside}, can I close the top skin?`)).toMatchObject({ kind: "read", asked: CLOSE });
  });
});

describe("what is left out is never answered for", () => {
  test.each([
    ["what goes in the rear spar apart from the top row", "REAR-SPAR.top"],
    ["what goes into the rear spar other than its top row", "REAR-SPAR.top"],
    ["what goes in the rear spar with the exception of the top row", "REAR-SPAR.top"],
    ["apart from the top row what goes in the rear spar", "REAR-SPAR.top"],
    ["which rivets does rib 3 take other than its bottom row", "RIB-3.bottom"],
  ])("%s: the rivets of the rest", (text, row) => {
    const outcome = onTail(text);
    expect(outcome).toMatchObject({ kind: "read", asked: { form: "fastener" } });
    const holes = outcome.kind === "read" ? (outcome.asked.slots.holes ?? []) : [];
    expect(holes.length).toBeGreaterThan(1);
    expect(holes.filter((hole) => hole.startsWith(`${row}.`))).toEqual([]);
  });

  test.each(["what stays open apart from rib 3", "why does everything stay open except rib 3"])(
    "%s: nor offered",
    (text) => {
      expect(choicesOf(text).filter(({ slots }) => slots.part === "RIB-3")).toEqual([]);
    },
  );

  test("nor looked up in the notes", () => {
    expect(onTail("notes on everything except dimpling").kind).toBe("doubt");
  });
});

test.each([
  ["what goes in the rear spar", { part: "REAR-SPAR" }],
  ["what should go into rib 3's top row", { row: "RIB-3.top" }],
  ["what belongs in RIB-3.top.7", { hole: "RIB-3.top.7" }],
])("%s: a rivet", (text, slots) => {
  expect(onTail(text)).toMatchObject({ kind: "read", asked: { form: "fastener", slots } });
});

describe("going on after parts were pinned", () => {
  const PINNED: Asked = { form: "tell", slots: { state: "pinned", part: "RIB-3" } };
  const MAY_PIN: Asked = { form: "may-i", slots: { act: "pin", part: "RIB-3" } };
  const PIN_4 = { form: "may-i", slots: { act: "pin", part: "RIB-4" } };

  test.each(["can I carry on with rib 4", "may I go on with rib 4 now", "can I do rib 4 as well"])(
    "%s: is pinning",
    (text) => {
      for (const before of [PINNED, MAY_PIN])
        expect(onTail(text, before)).toMatchObject({ kind: "read", asked: PIN_4 });
    },
  );

  test("carry on with rib 4: pinning is offered, and no setting", () => {
    for (const before of [PINNED, MAY_PIN]) {
      const choices = choicesOf("carry on with rib 4", before);
      expect(choices[0]).toEqual(PIN_4);
      expect(choices.some(({ slots }) => slots.act === "set")).toBe(false);
    }
  });

  test("who asks about setting asks about setting", () => {
    expect(onTail("may I rivet rib 4 then", PINNED)).toMatchObject({ asked: { slots: { act: "set" } } });
  });
});

describe("a number of parts beside the question", () => {
  test("that the kit does not have is not dropped", () => {
    for (const text of [
      "Before I batch all five ribs: are they really the same?",
      "I've got five ribs here, are they all the same?",
    ]) {
      const outcome = onTail(text);
      expect(outcome.kind === "doubt" && outcome.unread).toContain("five");
    }
  });

  test("that it has says no more", () => {
    expect(onTail("I've got seven ribs here, are they all the same?")).toMatchObject({
      kind: "read",
      asked: { form: "odd-ones", slots: { family: "RIBS" } },
    });
  });
});

test("what bothers a seal comes near it", () => {
  expect(readOn(door, "what bothers the seal")).toMatchObject({
    kind: "read",
    asked: { form: "clearance", slots: { neighbour: "DOOR-SEAL" } },
  });
});

test("a choice never lists the holes of a family or a part one by one", () => {
  const verbs = ["dimpled", "set", "primed", "riveted", "countersunk", "the same", "open"];
  const words = fc.tuple(
    fc.constantFrom("say", "suppose", "what if", "imagine", "with", "why would"),
    fc.constantFrom("the ribs", "the hinges", "rib 3", "the top skin", "all ribs", "ribs and hinges"),
    fc.constantFrom(...verbs),
    fc.constantFrom(", what then", ", now what", " or so", ", same as the others"),
  );
  const names = nameIndex(tail.kit, tail.assembly);
  const wholes = [
    ...tail.assembly.families.map(({ id }) => ({ kind: "family", id }) as const),
    ...tail.assembly.parts.map(({ id }) => ({ kind: "part", id }) as const),
  ].map((where) => holesAt(where, names).join(" "));
  fc.assert(
    fc.property(words, ([lead, place, verb, end]) => {
      const outcome = onTail(`${lead} ${place} are ${verb}${end}`);
      const choices = outcome.kind === "doubt" ? outcome.choices : [];
      for (const { slots } of choices) {
        const where = whereOf(slots);
        if (where?.kind !== "holes") continue;
        const ids = holesAt(where, names);
        expect(ids.length <= 12 || !wholes.includes(ids.join(" "))).toBe(true);
        expect(ids.length).toBeLessThanOrEqual(60);
      }
    }),
    { numRuns: 60 },
  );
});

describe("what is told as forgotten beside a question", () => {
  test.each([
    ["I forgot hole 3 of rib 3's top row, is it dimpled?", "I forgot"],
    ["I've forgotten hole 3 of rib 3's top row, is it dimpled?", "I've forgotten"],
    ["I forgot a rivet in rib 3, what comes next?", "I forgot"],
    ["I forgot the rivet in hole 3 of rib 3's top row, is it dimpled?", "I forgot"],
  ])("%s: is named as not used", (text, unused) => {
    expect(onTail(text)).toMatchObject({ kind: "read", unused: [unused] });
  });

  test.each([
    ["I forgot how rib 3's top row is treated", "treatment"],
    ["I forgot the treatment of rib 3's top row", "treatment"],
    ["I forgot which rivet goes in rib 3's top row", "fastener"],
    ["I forgot, which rivet goes in rib 3's top row?", "fastener"],
  ])("%s: what was forgotten is what is asked", (text, form) => {
    expect(onTail(text)).toMatchObject({
      kind: "read",
      asked: { form, slots: { row: "RIB-3.top" } },
      unused: [],
    });
  });
});

describe("a fault of a rivet told beside a question whether something may be done", () => {
  const CLOSE = { form: "may-i", slots: { act: "close", part: "SERVO-MOUNT" } };
  const BAD = { form: "notes", slots: { topic: "bad rivet" } };

  test.each([
    ["the stem broke off", BAD],
    ["I bent a rivet", BAD],
    ["a rivet in rib 3's top row snapped off", BAD],
    ["I am one rivet short", { form: "progress", slots: {} }],
    ["we are one rivet short on rib 3", { form: "progress", slots: { part: "RIB-3" } }],
    ["RIB-3.top.3 broke off", { form: "tell", slots: { state: "unset", hole: "RIB-3.top.3" } }],
  ])("%s: is asked back with what helps, and is no question of strength", (fault, helps) => {
    for (const text of [`May I close the servo mount? ${fault}`, `${fault}, can I close the servo mount?`]) {
      expect(onTail(text), text).toMatchObject({ kind: "doubt", doubt: { code: "unread" } });
      expect(choicesOf(text)[0], text).toEqual(helps);
      expect(choicesOf(text).at(-1), text).toEqual(CLOSE);
    }
  });

  test.each([
    "May I close the servo mount? I bent a rivet, is it strong enough?",
    "May I close the servo mount? will a bent rivet hold the load",
    "If a rivet broke, may I close the servo mount?",
    "May I close the servo mount? Rib 3 is bent",
    "May I close the servo mount with a bent rivet?",
    "one rivet short, is the rib strong enough?",
    "can I fly with a bent rivet?",
  ])("%s: is refused", (text) => {
    expect(onTail(text)).toMatchObject({ kind: "doubt", doubt: { code: "elsewhere" } });
  });
});

test.each([
  "Are all ribs the same except rib 4?",
  "are the ribs all alike apart from rib 4",
  "bar rib 4, are all ribs treated the same?",
])("%s: which of them differ, and rib 4 itself, are offered", (text) => {
  expect(choicesOf(text)).toEqual([
    { form: "odd-ones", slots: { family: "RIBS" } },
    { form: "odd-ones", slots: { part: "RIB-4" } },
  ]);
});

test.each(["Although", "Even though"])(
  "%s something is not done: it is told of its own part, and the question is its own",
  (word) => {
    expect(choicesOf(`${word} rib 3 is not primed, can I rivet rib 4's top row?`)).toEqual([
      { form: "tell", slots: { part: "RIB-3", gate: "prime", done: "no" } },
      { form: "may-i", slots: { act: "set", row: "RIB-4.top" } },
    ]);
  },
);
