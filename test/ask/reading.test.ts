import { describe, expect, test } from "vitest";
import type { Outcome } from "../../server/ask/reading/read.js";
import type { Slots } from "../../server/ask/types.js";
import { formsAndNotes, readOn, shelfOf } from "../questions/phrasings.js";
import { DOOR, DOOR_KIT } from "../support/door-kit.js";

const tailplane = shelfOf("sedge-two", "tailplane");
const door = { kit: DOOR_KIT, assembly: DOOR, ...formsAndNotes() };

interface Asked {
  readonly form: string;
  readonly slots: Slots;
}

function said(outcome: Outcome): Asked {
  if (outcome.kind === "read") return outcome.asked;
  throw new Error(`asked back: ${JSON.stringify(outcome.doubt)} ${outcome.unread.join(", ")}`);
}

function doubted(outcome: Outcome): Extract<Outcome, { kind: "doubt" }> {
  if (outcome.kind === "doubt") return outcome;
  throw new Error(`read as ${JSON.stringify(outcome.asked)}`);
}

const onTail = (text: string, after: Asked | null = null): Asked => said(readOn(tailplane, text, after));
const askedBack = (text: string, after: Asked | null = null) => doubted(readOn(tailplane, text, after));
const onDoor = (text: string): Asked => said(readOn(door, text));

describe("where a question is about", () => {
  test.each([
    ["FR-2.heel.4", { hole: "FR-2.heel.4" }],
    ["fr-2.HEEL.4", { hole: "FR-2.heel.4" }],
    ["hole 4 on frame 2's heel row", { hole: "FR-2.heel.4" }],
    ["the fourth hole of the heel row on the second frame", { hole: "FR-2.heel.4" }],
    ["frame two heel hole four", { hole: "FR-2.heel.4" }],
    ["frame2 heel 4", { hole: "FR-2.heel.4" }],
    ["hole 2 from the bottom on frame 2's heel row", { hole: "FR-2.heel.4" }],
    ["the last hole of frame 2's inner flange", { hole: "FR-2.heel.5" }],
    ["holes 2-4 on frame 1's crest row", { holes: ["FR-1.crest.2", "FR-1.crest.3", "FR-1.crest.4"] }],
    ["2 to 4 on frame 1's crest row", { holes: ["FR-1.crest.2", "FR-1.crest.3", "FR-1.crest.4"] }],
    ["FR-1.crest.2 to 4", { holes: ["FR-1.crest.2", "FR-1.crest.3", "FR-1.crest.4"] }],
    ["the first three holes of frame 1's crest", { holes: ["FR-1.crest.1", "FR-1.crest.2", "FR-1.crest.3"] }],
    ["all but the last hole of LATCH-A.lug", { holes: ["LATCH-A.lug.1", "LATCH-A.lug.2", "LATCH-A.lug.3"] }],
    ["holes 1, 3 and 4 on LATCH-A.lug", { holes: ["LATCH-A.lug.1", "LATCH-A.lug.3", "LATCH-A.lug.4"] }],
    ["the crest row of frame 5", { row: "FR-5.crest" }],
    ["the last frame's crest row", { row: "FR-5.crest" }],
    ["frame 3", { part: "FR-3" }],
    ["the lock frame", { part: "FR-3" }],
    ["the leftmost frame", { part: "FR-1" }],
    ["the second frame from the right", { part: "FR-4" }],
    ["the upper latch plate", { part: "LATCH-A" }],
    ["the frames", { family: "FRAMES" }],
    ["the latches", { family: "LATCHES" }],
  ])("%s", (place, slots) => {
    expect(onDoor(`what treatment for ${place}?`)).toEqual({ form: "treatment", slots });
  });

  test("several parts are named by all holes through them", () => {
    const { slots } = onDoor("what treatment for frames 2 to 3?");
    expect(slots.holes).toContain("FR-2.crest.1");
    expect(slots.holes).toContain("LATCH-A.lug.1");
    expect(slots.holes).not.toContain("FR-4.crest.1");
  });
});

describe("what does not exist is never answered for something else", () => {
  test.each([
    ["is frame 6 dimpled?", "frame 6"],
    ["is frame 0 dimpled?", "frame 0"],
    ["is the ninth frame dimpled?", "ninth frame"],
    ["may I set FR-2.heel.6?", "FR-2.heel.6"],
    ["may I set FR-2.toe.1?", "FR-2.toe.1"],
    ["may I set hole 7 on frame 1's crest row?", "hole 7 on frame 1's crest row"],
    ["what did notice DN-9 change?", "notice DN-9"],
    ["may I set holes 4 to 9 of FR-1.crest?", "holes 4 to 9 of FR-1.crest"],
  ])("%s", (text, name) => {
    const outcome = doubted(readOn(door, text));
    expect(outcome.doubt).toEqual({ code: "unknown-name", names: [name] });
    expect(outcome.unread).toEqual([name]);
  });

  test("counting from a side that the family is not numbered along is asked back", () => {
    expect(readOn(door, "is the first frame from the top dimpled?").kind).toBe("doubt");
  });

  test("the members that do exist are offered", () => {
    const { choices } = doubted(readOn(door, "is frame 6 dimpled?"));
    expect(choices.map(({ slots }) => slots.part)).toEqual(["FR-1", "FR-2", "FR-3", "FR-4", "FR-5"]);
  });
});

describe("what could be several things is asked back", () => {
  test("a hole number without its row, when the part has several rows", () => {
    const { doubt, choices } = askedBack("can I set hole 3 on rib 4?");
    expect(doubt).toEqual({ code: "which-place", need: "row" });
    expect(choices.map(({ slots }) => slots.hole)).toEqual([
      "RIB-4.top.3",
      "RIB-4.bottom.3",
      "RIB-4.front.3",
      "RIB-4.rear.3",
    ]);
  });

  test("a hole number needs no row when the part has one", () => {
    expect(onDoor("can I set hole 3 on the lower latch plate?").slots.hole).toBe("LATCH-B.lug.3");
  });

  test("a part without its number", () => {
    const { choices } = askedBack("why is the rib flush?");
    expect(choices.map(({ slots }) => slots.part)).toContain("RIB-4");
  });

  test("a closing without its part: parts that are not closed yet are offered, in the manual's order", () => {
    const { doubt, choices } = askedBack("what must be set before closing?");
    expect(doubt).toEqual({ code: "missing", ask: "Which part do you want to close?" });
    expect(choices.map(({ slots }) => slots.part).slice(0, 3)).toEqual([
      "WEB-DOUBLER",
      "SPAR-DOUBLER",
      "SERVO-MOUNT",
    ]);
  });

  test("a statement that may be a question", () => {
    const { doubt, choices } = askedBack("I opened up the holes in the top skin, is the top skin enlarged");
    expect(doubt.code).not.toBe("missing");
    expect(choices.every(({ form }) => form !== "tell")).toBe(true);
  });
});

describe("words that could not be used are named, not dropped", () => {
  test.each([
    ["is rib 3 dimpled before priming?", "before"],
    ["can I close the top skin if rib 3 is set?", "if"],
    ["can I close the top skin without hinge 2?", "without"],
    ["which holes under the servo mount are dimpled?", "under"],
    ["is rib 3 dimpled at 4.0 mm?", "4.0"],
    ["I've set some holes on rib 3's top row", "some"],
    ["which rivet alloy for rib 3?", "alloy"],
    ["are every second hole on rib 3's top row dimpled?", "second"],
    ["is only rib 3 dimpled?", "only"],
  ])("%s", (text, word) => {
    expect(askedBack(text).unread.join(" ")).toContain(word);
  });

  test.each([
    ["is my wing strong enough?", /engineer/],
    ["can I fly it like this?", /inspector/],
    ["what engine should I buy?", /supplier/],
  ])("out of scope says who can answer: %s", (text, who) => {
    const { doubt } = askedBack(text);
    expect(doubt.code === "elsewhere" ? doubt.who : doubt.code).toMatch(who);
  });
});

describe("negation is read", () => {
  test.each([
    "which holes are not dimpled?",
    "which holes aren't dimpled",
    "which holes dont get dimpled",
    "which holes are undimpled",
  ])("%s", (text) => {
    expect(onTail(text)).toEqual({ form: "treatment", slots: { treatment: "dimple", not: "yes" } });
  });

  test("why and why not are different questions", () => {
    expect(onTail("why is rib 5 dimpled?").form).toBe("why");
    expect(onTail("why is rib 5 not dimpled?").form).toBe("why-not");
  });

  test("a negated yes-or-no question could mean either, so it is asked back", () => {
    expect(readOn(tailplane, "can't I close the top skin?").kind).toBe("doubt");
  });
});

describe("spelling", () => {
  test("a slip in an ordinary word is put right and shown", () => {
    const outcome = readOn(tailplane, "wich holes on rib 4 are dimpeld?");
    expect(outcome.kind === "read" && outcome.asked.slots).toEqual({ treatment: "dimple", part: "RIB-4" });
    expect(outcome.corrected).toEqual([
      { from: "wich", to: "which" },
      { from: "dimpeld", to: "dimpled" },
    ]);
  });

  test.each(["RIB-33.top.1", "RlB-3.top.1", "rib-3.tpo.1"])("a code is never put right: %s", (id) => {
    expect(readOn(tailplane, `can I set ${id}?`).kind).toBe("doubt");
  });

  test.each([
    "is the roof rib dimpled?",
    "is the tap skin dimpled?",
    "is the spare dimpled?",
    "is rib 3 dappled?",
  ])("another English word is no slip: %s", (text) => {
    const outcome = askedBack(text);
    expect(outcome.corrected).toEqual([]);
  });

  test("both spellings of a word are read", () => {
    expect(onTail("rib 3's top row has been rivetted")).toMatchObject({
      form: "tell",
    });
    expect(onTail("which ribs differ from their neighbors?")).toEqual(
      onTail("which ribs differ from their neighbours?"),
    );
  });
});

describe("a conversation", () => {
  const dimpled: Asked = { form: "treatment", slots: { part: "RIB-3", treatment: "dimple" } };

  test.each([
    ["and on rib 4?", { part: "RIB-4", treatment: "dimple" }],
    ["what about the bottom?", { row: "RIB-3.bottom", treatment: "dimple" }],
    ["the same for the tip", { part: "RIB-7", treatment: "dimple" }],
    ["and flush?", { part: "RIB-3", head: "flush" }],
    ["and the hinges?", { family: "HINGES", treatment: "dimple" }],
  ])("%s", (text, slots) => {
    expect(onTail(text, dimpled)).toEqual({ form: "treatment", slots });
  });

  test("the row goes along to another rib", () => {
    const row: Asked = { form: "treatment", slots: { row: "RIB-3.top" } };
    expect(onTail("and on rib 4?", row).slots).toEqual({ row: "RIB-4.top" });
    expect(onTail("what about the other side?", row).slots).toEqual({ row: "RIB-3.bottom" });
    expect(onTail("and hole 5?", row).slots).toEqual({ hole: "RIB-3.top.5" });
  });

  test("why asks for the reason of what was asked before", () => {
    expect(onTail("why?", dimpled)).toEqual({ form: "why", slots: { part: "RIB-3", treatment: "dimple" } });
    const close: Asked = { form: "may-i", slots: { act: "close", part: "TOP-SKIN" } };
    expect(onTail("why not?", close)).toEqual({ form: "why-not", slots: { act: "close", part: "TOP-SKIN" } });
  });

  test("it stands for the place named before", () => {
    const close: Asked = { form: "may-i", slots: { act: "close", part: "TOP-SKIN" } };
    expect(onTail("what must be set before I close it?", close)).toEqual({
      form: "before-closing",
      slots: { part: "TOP-SKIN" },
    });
  });

  test("a new subject drops what was asked before", () => {
    expect(onTail("which holes stay open?", dimpled)).toEqual({ form: "stay-open", slots: {} });
  });

  test("a short reply fills what was asked back", () => {
    expect(onTail("the servo mount", { form: "before-closing", slots: {} })).toEqual({
      form: "before-closing",
      slots: { part: "SERVO-MOUNT" },
    });
  });

  test.each(["why?", "and on rib 4?", "what about the bottom?", "undo that", "is it dimpled?", "why not?"])(
    "with nothing before it, it is asked back: %s",
    (text) => {
      expect(readOn(tailplane, text).kind).toBe("doubt");
    },
  );
});

describe("statements of work done", () => {
  test("holes set, pinned and taken out", () => {
    expect(onTail("I've set 1 to 3 on rib 3's top row").slots).toEqual({
      state: "set",
      holes: ["RIB-3.top.1", "RIB-3.top.2", "RIB-3.top.3"],
    });
    expect(onTail("rib 3 top holes 2 and 3 are pinned").slots).toMatchObject({ state: "pinned" });
    expect(onTail("I drilled out RIB-3.top.4").slots).toEqual({ state: "unset", hole: "RIB-3.top.4" });
  });

  test("prep and milestones", () => {
    expect(onTail("rib 2 is deburred").slots).toEqual({ part: "RIB-2", gate: "deburr", done: "yes" });
    expect(onTail("the twist is checked").slots).toEqual({ milestone: "twist-checked", reached: "yes" });
  });

  test("undo turns the statement round", () => {
    const set: Asked = { form: "tell", slots: { state: "set", hole: "RIB-3.top.4" } };
    expect(onTail("undo that", set).slots).toEqual({ state: "unset", hole: "RIB-3.top.4" });
  });

  test.each([
    "is RIB-3.top.4 set?",
    "RIB-3.top.4 is set?",
    "have I set RIB-3.top.4",
    "I will set RIB-3.top.4",
    "I should have set RIB-3.top.4",
    "I have not set RIB-3.top.4",
    "tell me whether rib 2 is deburred",
    "I wonder if the twist is checked",
    "rib 2 must be deburred",
    "I want to set RIB-3.top.4",
    "I think RIB-3.top.4 is set",
    "root fairing",
  ])("no statement of work done: %s", (text) => {
    const outcome = readOn(tailplane, text);
    expect(outcome.kind === "read" ? outcome.asked.form : "asked back").not.toBe("tell");
  });
});

describe("what words belong together", () => {
  test("a pronoun stands for the place that the same sentence named", () => {
    expect(onTail("rib 4's top row, can I dimple it?")).toEqual({
      form: "may-i",
      slots: { act: "dimple", row: "RIB-4.top" },
    });
  });

  test("a row called a row is no side of the assembly", () => {
    expect(askedBack("what is the treatment for the top row").doubt.code).toBe("which-place");
  });

  test("a milestone said not to be reached is told as not reached", () => {
    expect(onTail("the twist hasn't been checked yet").slots).toEqual({
      milestone: "twist-checked",
      reached: "no",
    });
    expect(onTail("the twist has been checked").slots).toEqual({
      milestone: "twist-checked",
      reached: "yes",
    });
  });

  test("what is special about one rib is asked of that rib, not of the family", () => {
    expect(onTail("what's special about rib 4?")).toEqual({ form: "odd-ones", slots: { part: "RIB-4" } });
  });

  test("same as rib 3: compared with what was asked about, else asked back", () => {
    expect(askedBack("same as rib 3?").doubt.code).toBe("missing");
    const before = { form: "treatment", slots: { row: "RIB-4.top" } };
    expect(onTail("same as rib 3?", before).slots).toEqual({ part: "RIB-4", other: "RIB-3" });
    const itself = { form: "treatment", slots: { row: "RIB-3.top" } };
    expect(askedBack("same as rib 3?", itself).doubt.code).toBe("missing");
  });

  test.each([
    "is rib 4, the tip rib, dimpled?",
    "which holes on rib 3 did I dimple?",
    "which hole did I set last",
    "what have I not set on rib 3",
    "rib 3 top without hole 7: dimpled?",
    "what holds the servo mount on",
    "both rows of rib 3 are set",
    "how far is rib 3",
  ])("is asked back: %s", (text) => {
    expect(askedBack(text).kind).toBe("doubt");
  });
});

test("a rivet's code that the kit has is read; one that it has not is said to be missing", () => {
  const code = tailplane.kit.rivets[0]?.code ?? "";
  expect(onTail(`which holes get ${code.toLowerCase()}`)).toEqual({
    form: "fastener",
    slots: { rivet: code },
  });
  expect(askedBack(`what did the notices change for ${code}`).unread).toContain(code);
  expect(askedBack("which holes get ZZ-99-9").doubt.code).toBe("unknown-name");
});

describe("two treatments in one question", () => {
  const both = { treatment: "dimple", orTreatment: "countersink" };
  test.each([
    ["which holes are dimpled or countersunk?", both],
    ["which holes on rib 3 are dimpled or countersunk?", { ...both, part: "RIB-3" }],
    ["list the dimpled or countersunk holes", both],
    ["which holes are neither dimpled nor countersunk?", { ...both, not: "yes" }],
    ["which holes are not dimpled or countersunk?", { ...both, not: "yes" }],
  ])("%s", (text, slots) => {
    expect(onTail(text)).toEqual({ form: "treatment", slots });
  });

  test.each([
    "which holes are dimpled and countersunk?",
    "which holes are dimpled, enlarged or countersunk?",
    "which holes are dimpled but not countersunk?",
  ])("is asked back where one of them would be dropped: %s", (text) => {
    const { unread, doubt } = askedBack(text);
    expect(doubt.code === "two-things" || unread.length > 0).toBe(true);
  });
});

describe("what a builder did is no ruling, and what is only thought is no mark", () => {
  test.each([
    "why did I dimple the top row of rib 4?",
    "why have we countersunk hinge 2's outer column?",
    "maybe rib 3's top row is set",
    "rib 3's top row is probably set",
    "rib 3's top row is nearly set",
    "we turned it over",
    "the assembly has been turned over",
    "what's the drill with rib 3",
    "I made a hole too big on rib 3",
  ])("%s", (text) => {
    askedBack(text);
  });

  test("a hole that is too near the edge is not answered with a yes to the edge being enough", () => {
    expect(onTail("hole 5 in rib 3's bottom row is too close to the edge").form).toBe("repair");
    expect(askedBack("is hole 5 in rib 3's bottom row too close to the edge?").doubt.code).toBe(
      "two-readings",
    );
  });
});

test("what holds a row together for now is a temporary fastener, no order to leave it open", () => {
  expect(onTail("what is rib 6's top row held with?")).toEqual({
    form: "tools",
    slots: { row: "RIB-6.top", tool: "temporary fastener" },
  });
});

test("a part that breaks the pattern is no matter of strength", () => {
  expect(askedBack("which ribs break the pattern, weather permitting").doubt.code).toBe("unread");
});

describe("the order of work, asked in few words", () => {
  test.each([
    ["fewest turn-overs?", "turn-over", {}],
    ["when do I turn it over", "turn-over", {}],
    ["give me the whole order", "plan", {}],
    ["when does the nose skin come on", "plan", { part: "NOSE-SKIN" }],
    ["servo mount's on too early, how do I get back", "rework", { early: "SERVO-MOUNT" }],
    ["how many PR-32-6 are left with 10% spares", "count", { rivet: "PR-32-6", left: "yes", spares: "10" }],
    ["how far from the edge", "edge", {}],
  ])("%s", (text, form, slots) => {
    expect(onTail(text)).toEqual({ form, slots });
  });
});
