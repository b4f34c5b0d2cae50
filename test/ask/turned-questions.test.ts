import { beforeAll, describe, expect, it } from "vitest";
import { ask } from "../../server/ask/ask.js";
import type { FormSpec } from "../../server/ask/form.js";
import { verdictAsPut } from "../../server/ask/forms/sense.js";
import { offersFor } from "../../server/ask/offers.js";
import { loadForms } from "../../server/ask/questions.js";
import type { Answer, Job, Slots } from "../../server/ask/types.js";
import type { Neighbour } from "../../server/kit/types.js";
import { NO_WORK, withMarks } from "../../server/kit/work.js";
import { phrasingSet } from "../questions/phrasings.js";
import { allGatesDone, filesIn, jobFromDisk, rowMarks } from "../support/job.js";
import { answer, textOf } from "./forms/answer.js";

let forms: readonly FormSpec[];
let tail: Job;
let door: Job;
let jobs: readonly Job[];
beforeAll(async () => {
  forms = loadForms(filesIn("kb/questions", ".json"));
  tail = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
  const marks = ["WEB-DOUBLER.upper", "WEB-DOUBLER.lower", "RIB-3.rear"].flatMap((row) =>
    rowMarks(tail, row, "set"),
  );
  jobs = [
    tail,
    door,
    await jobFromDisk({ marks: [...allGatesDone(tail), ...marks] }),
    await jobFromDisk({ kit: "vetch-six", marks: allGatesDone(door) }),
  ];
});

const asked = (job: Job, question: string, context?: { form: string; slots: Slots }): Answer =>
  ask(job, context ? { question, context } : { question }, forms);

const OPENS = /^(Yes|No)\b/;
const isPlain = (verdict: string | undefined): boolean => verdict === "yes" || verdict === "no";

/** A first line without the yes or the no that it opens with. */
const fact = ({ headline }: Pick<Answer, "headline">): string =>
  headline
    .replace(/^(Yes: |No, )/, "")
    .replace(/^(Wait|No)(?=:| for)/, "Not now")
    .toLowerCase();

/** The same asked both ways: as the form puts it, and so that a yes says that it will not do. */
const PAIRS = {
  tail: [
    [
      "do flush heads clear the gap seal on rib 3's top row?",
      "do flush heads hit the gap seal on rib 3's top row?",
    ],
    [
      "does a domed head clear the gap seal on rib 3's top row?",
      "does a domed head foul the gap seal on rib 3's top row?",
    ],
    ["does rib 7's top row clear the gap seal?", "does the gap seal rub on rib 7's top row?"],
    ["does rib 3 top hole 4 clear?", "does rib 3 top hole 4 touch anything?"],
    [
      "is the edge distance enough on rib 3's top row for a 4.8 mm rivet?",
      "is rib 3's top row too close to the edge for a 4.8 mm rivet?",
    ],
    [
      "is the edge distance enough on rib 3's top row for a 4 mm rivet?",
      "is rib 3's top row short on edge for a 4 mm rivet?",
    ],
    ["does PR-32-6 fit rib 4's top row?", "is a PR-32-6 too short for rib 4's top row?"],
    ["does PR-40-8 fit rib 3's top row?", "is a PR-40-8 too long for rib 3's top row?"],
    ["is a 4.1 mm drill right for rib 3 top hole 8?", "is a 4.1 mm drill oversize for rib 3 top hole 8?"],
    ["is a 4.1 mm drill right for rib 3 top hole 4?", "is a 4.1 mm drill too big for rib 3 top hole 4?"],
    ["can I close the servo mount?", "is it too early to close the servo mount?"],
    ["can I close the servo mount now?", "would it hurt if I close the servo mount now?"],
    ["may I close the servo mount?", "do I have to wait with closing the servo mount?"],
    ["may I close the servo mount?", "should I hold off closing the servo mount?"],
    ["can I pin rib 3's top row?", "is it too soon to pin rib 3's top row?"],
    ["can I dimple rib 3's top row?", "am I too early to dimple rib 3's top row?"],
    ["can I rivet rib 3's top row?", "is it premature to rivet rib 3's top row?"],
  ],
  door: [
    [
      "do the heads clear the door seal on the inner skin?",
      "do the heads foul the door seal on the inner skin?",
    ],
    [
      "do universal heads clear the door seal on the aft frame?",
      "do universal heads touch the door seal on the aft frame?",
    ],
    [
      "is the edge distance enough on gusset 1's upright row?",
      "are the rivets on gusset 1's upright row too close together?",
    ],
    ["does SU-4-5 fit gusset 1's upright row?", "is an SU-4-5 too short for gusset 1's upright row?"],
    ["can I put the latch bracket on?", "is it too early to put the latch bracket on?"],
    ["can I rivet gusset 3?", "is it too soon to rivet gusset 3?"],
  ],
} as const;

describe("a question put the other way round", () => {
  it("has the same facts in its first line, and no yes that was a yes before", () => {
    const seen = new Set<string>();
    for (const job of jobs) {
      const pairs = job.kit.id === tail.kit.id ? PAIRS.tail : PAIRS.door;
      for (const [straight, turned] of pairs) {
        const [one, other] = [asked(job, straight), asked(job, turned)];
        expect([one.outcome, other.outcome], turned).toEqual(["answered", "answered"]);
        const { sense, ...slots } = other.reading?.slots ?? {};
        expect(slots, turned).toEqual(one.reading?.slots);
        expect(sense, turned).toMatch(/^(against|open)$/);
        if (one.reading?.form !== "edge" || sense === "against")
          expect(other.headline, turned).not.toMatch(OPENS);
        expect(fact(other), turned).toBe(fact(one));
        if (isPlain(one.verdict)) expect(other.verdict, turned).not.toBe(one.verdict);
        else expect(other.verdict, turned).toBe(one.verdict);
        seen.add(`${sense} ${one.verdict} ${other.verdict}`);
      }
    }
    expect([...seen].sort()).toEqual(
      expect.arrayContaining([
        "against no undefined",
        "against no yes",
        "against undecided undecided",
        "against yes no",
        "open no undefined",
        "open yes undefined",
      ]),
    );
  });

  it("too early: the first line says to wait, where what speaks against it passes", () => {
    expect(asked(tail, "is it too early to close the top skin?").headline).toMatch(/^Wait: it would wall in/);
    expect(asked(tail, "may I close the top skin?").headline).toMatch(/^No, not now: it would wall in/);
  });

  it("is read back as it was put", () => {
    expect(asked(tail, "do flush heads hit the gap seal on rib 3's top row?").reading?.said).toBe(
      "Does a flush head foul the elevator's gap seal at the top flange row of rib 3?",
    );
    expect(asked(tail, "is it too early to close the servo mount?").reading?.said).toBe(
      "Is it too early to close the trim-servo mount?",
    );
    expect(asked(tail, "is a PR-32-6 too short for rib 4's top row?").reading?.said).toMatch(
      /^How does PR-32-6 /,
    );
  });

  /** Words by which a text asks for what will not do, or so that neither yes nor no is plain; found apart from the reader. */
  const TURNED =
    /\b(foul|hit|touch|rub|catch|scrap|strike|collide|press on|interfer|in the way|^do(es)? .* near the|too (early|soon|big|short|long|small|close)|tight|jumping the gun|premature|hurt|mind( \w+)? if|short on edge|hold off|hold back|wait)/i;

  /** Asks for a thing or a measure: neither yes nor no need answer it. */
  const WHICH = /\b(what|which|how|where)('s)?\b/i;

  it("never has a verdict that contradicts the work, in any phrasing of these forms; and any other has the work's own", () => {
    const counts = { turned: 0, straight: 0, which: 0 };
    const asks = new Set(
      forms.filter(({ slots }) => slots.some(({ type }) => type === "sense")).map(({ id }) => id),
    );
    expect([...asks].sort()).toEqual(["clearance", "edge", "fastener", "may-i", "tools"]);
    for (const { phrasing, shelf } of phrasingSet("work")) {
      const { ask: question, after, read } = phrasing;
      if (after || typeof read === "string" || !asks.has(read.form)) continue;
      for (const job of jobs.filter(
        ({ kit, assembly }) => kit.id === shelf.kit.id && assembly.id === shelf.assembly.id,
      )) {
        const told = asked(job, question);
        if (told.outcome !== "answered" || told.reading?.form !== read.form) continue;
        const { sense, ...slots } = told.reading.slots;
        const core = ask(job, { form: read.form, slots }, forms).verdict;
        // "Can I …, or is it too soon?" asks whether it may be done.
        const isTurned = TURNED.test(question.replace(/,? or (is|should|must) .*$/i, ""));
        expect(sense !== undefined, question).toBe(isTurned);
        counts[isTurned ? "turned" : "straight"]++;
        if (WHICH.test(question) && isPlain(core) && told.verdict === undefined) {
          counts.which++;
          expect(told.headline, question).not.toMatch(OPENS);
          continue;
        }
        if (!isTurned || !isPlain(core)) {
          expect(told.verdict, question).toBe(core);
          continue;
        }
        expect(told.verdict, question).not.toBe(core);
        expect(told.headline, question).not.toMatch(OPENS);
      }
    }
    expect(counts.turned).toBeGreaterThan(50);
    expect(counts.which).toBeGreaterThan(20);
    expect(counts.straight).toBeGreaterThan(500);
  });
});

describe("what a verdict says of a question put the other way round", () => {
  it("an undecided one stays undecided, and a conflict a conflict", () => {
    for (const sense of ["for", "against", "open", "must"] as const)
      for (const verdict of ["undecided", "conflict", undefined] as const)
        for (const isFault of [true, false]) expect(verdictAsPut(verdict, sense, isFault)).toBe(verdict);
  });

  const HOLE = "RIB-3.top.3";
  const near = (gapMm: number | null): Job => {
    const neighbour: Neighbour = {
      id: "ELEVATOR-GAP-SEAL",
      name: "gap seal",
      gapMm,
      toleranceMm: 0.1,
      headMarginMm: 1,
      positions: [],
    };
    const holes = tail.assembly.holes.map((hole) => (hole.id === HOLE ? { ...hole, neighbour } : hole));
    return { ...tail, assembly: { ...tail.assembly, holes } };
  };
  const both = (job: Job): readonly unknown[] =>
    [{}, { sense: "against" }, { sense: "open" }].map(
      (sense) => answer(job, "clearance", { hole: HOLE, ...sense }).verdict,
    );

  it("a head of 1.3 mm fouls in a gap of 1.2 mm, and clears in one of 9 mm", () => {
    expect(both(near(1.2))).toEqual(["no", "yes", undefined]);
    expect(both(near(9))).toEqual(["yes", "no", undefined]);
  });

  it("a head that lacks only its margin does not clear, and is not said to foul or not to foul", () => {
    expect(both(near(2.2))).toEqual(["no", undefined, undefined]);
  });

  it("whether it fouls is not decided where the gap is not known", () => {
    expect(both(near(null))).toEqual(["undecided", "undecided", "undecided"]);
  });

  it("a rivet that is set already is not too early, though it may not be set", async () => {
    const set = await jobFromDisk({ marks: rowMarks(tail, "WEB-DOUBLER.upper", "set") });
    const told = answer(set, "may-i", { act: "set", hole: "WEB-DOUBLER.upper.1", sense: "against" });
    expect(told.verdict).toBeUndefined();
    expect(told.headline).toBe("Not now: it is set already.");
  });

  it("a hole held until the twist is checked is too early", () => {
    const told = answer(tail, "may-i", { act: "set", row: "RIB-1.bottom", sense: "against" });
    expect(told.verdict).toBe("yes");
    expect(told.headline).toMatch(/^Wait: it stays open until the twist is checked/);
  });
});

describe("forms that a yes or a no could be read the wrong way in", () => {
  it("whether a hole is not dimpled is told as what is done there", () => {
    for (const job of jobs) {
      for (const hole of ["RIB-3.top.4", "RIB-3.top.8"].filter((id) =>
        job.assembly.holes.some((one) => one.id === id),
      )) {
        const told = answer(job, "treatment", { hole, treatment: "dimple", not: "yes" });
        expect(told.verdict).toBeUndefined();
        expect(told.headline).not.toMatch(OPENS);
        expect(told.headline).toMatch(hole.endsWith("4") ? /as punched/ : /dimple/);
      }
    }
    const told = asked(tail, "can rib 3 top hole 4 go without dimpling?");
    expect(told.verdict).toBeUndefined();
    expect(told.headline).toMatch(/leave as punched/);
  });

  it.each([
    "is hole 4 of rib 3's top row cracked?",
    "must I fix the cracked hole 4 of rib 3's top row?",
    "does it matter if I close the servo mount first?",
    "is anything stopping me from closing the servo mount?",
    "is there a problem with closing the servo mount now?",
    "does rib 3's top row come near the gap seal?",
    "is rib 3's top row too close to the gap seal?",
  ])("%s is answered without a yes or a no", (question) => {
    const told = asked(tail, question);
    expect(told.outcome).toBe("answered");
    expect(isPlain(told.verdict)).toBe(false);
    expect(told.headline).not.toMatch(OPENS);
  });

  it.each(["is that wrong?", "am I wrong?", "or am I mistaken?"])(
    "a statement with “%s” is asked back: a yes would say either",
    (tag) => expect(asked(tail, `rib 3 top hole 4 is dimpled, ${tag}`).outcome).not.toBe("answered"),
  );

  it("a way back, a repair and turning over are never answered with a yes or a no", async () => {
    const walled = await jobFromDisk({ marks: rowMarks(tail, "SERVO-MOUNT.outer", "set") });
    for (const job of [...jobs, walled]) {
      const { verdict } = answer(job, "turn-over", {});
      expect(isPlain(verdict)).toBe(false);
      for (const { id } of job.assembly.parts) {
        expect(isPlain(answer(job, "rework", { part: id, first: "yes" }).verdict), id).toBe(false);
        expect(isPlain(answer(job, "repair", { part: id, damage: "cracked" }).verdict), id).toBe(false);
      }
    }
    expect(textOf(answer(walled, "rework", {}))).toMatch(/drill out/i);
  });
});

describe("which, what and how much", () => {
  it("is answered by the thing or the measure, without a yes or a no", () => {
    for (const [which, polar, verdict] of [
      ["what fouls the gap seal on rib 3's top row?", "does rib 3's top row foul the gap seal?", "no"],
      [
        "which heads foul the gap seal on rib 3's top row?",
        "do the heads foul the gap seal on rib 3's top row?",
        "no",
      ],
      ["how much clearance is there on rib 3's top row?", "is there clearance on rib 3's top row?", "yes"],
      [
        "how close to the edge are the holes of rib 3's top row?",
        "is rib 3's top row too close to the edge for a 4 mm rivet?",
        "no",
      ],
      ["which holes of rib 3's top row take a PR-32-5?", "does rib 3's top row take a PR-32-5?", "no"],
    ] as const) {
      expect(asked(tail, polar).verdict, polar).toBe(verdict);
      const told = asked(tail, which);
      expect(told.outcome, which).toBe("answered");
      expect(told.verdict, which).toBeUndefined();
      expect(told.headline, which).not.toMatch(OPENS);
    }
  });

  it("leaves open what is not decided", () => {
    expect(asked(tail, "what fouls the gap seal?").verdict).toBe("undecided");
  });

  it("does not take the answer from a question of yes or no that opens with what or when", () => {
    expect(asked(tail, "what about rib 3's top row, does it clear the gap seal?").verdict).toBe("yes");
    expect(asked(tail, "when it moves does rib 3's top row clear the gap seal?").verdict).toBe("yes");
  });
});

describe("whether something must be done now", () => {
  const ASKED = [
    "must I set the web doubler's upper row now?",
    "do I have to rivet the web doubler's upper row now?",
    "does the upper row of the web doubler have to be riveted now?",
    "do I need to set the web doubler's upper row yet?",
  ];

  it("is not answered with a yes where a rivet may be set: it must be before the part that would close it off", () => {
    const bare = { ...tail, work: withMarks(NO_WORK, allGatesDone(tail)) };
    const before = answer(tail, "before-closing", { part: "SERVO-MOUNT" });
    expect(before.holes).toContain("WEB-DOUBLER.upper.1");
    for (const question of ASKED) {
      const told = asked(bare, question);
      expect(told.reading?.said, question).toBe("Must I set the upper row of the rib 3 web doubler now?");
      expect(told.verdict, question).toBeUndefined();
      expect(told.headline, question).toMatch(
        /may be set now\. They must be set before the trim-servo mount closes\.$/,
      );
      expect(told.followUps[0], question).toMatchObject({
        form: "before-closing",
        slots: { part: "SERVO-MOUNT" },
      });
    }
  });

  it("is not answered with a no where it may not be set yet, and the reason is told", () => {
    const told = asked(tail, "must I rivet rib 1's bottom row now?");
    expect(told.verdict).toBeUndefined();
    expect(told.headline).toMatch(/^Not now: it stays open until the twist is checked/);
  });

  it("that a part may be closed is no must", () => {
    const ready = { ...(jobs[2] as Job), work: withMarks(NO_WORK, allGatesDone(tail)) };
    const told = answer(ready, "may-i", { act: "close", part: "WEB-DOUBLER", sense: "must" });
    expect(told.headline).not.toMatch(OPENS);
    expect(told.verdict).toBeUndefined();
    expect(told.headline).toMatch(/That it may does not say that it must/);
  });

  it("whether one should is asked as whether one may", () => {
    expect(asked(tail, "should I close the top skin now?").reading?.slots.sense).toBeUndefined();
  });

  it("whether one has to wait is asked against it, as before", () => {
    expect(asked(tail, "do I have to wait with closing the servo mount?").reading?.slots.sense).toBe(
      "against",
    );
  });
});

describe("a question after one put the other way round", () => {
  const early = { form: "may-i", slots: { act: "close", part: "SERVO-MOUNT", sense: "against" } };

  it("is put the same way only where it is the same question", () => {
    expect(asked(tail, "and the top skin?", early).reading?.slots).toEqual({
      act: "close",
      part: "TOP-SKIN",
      sense: "against",
    });
    expect(asked(tail, "can I close the top skin?", early).reading?.slots).toEqual({
      act: "close",
      part: "TOP-SKIN",
    });
    expect(asked(tail, "why?", early).reading).toMatchObject({
      form: "why-not",
      slots: { act: "close", part: "SERVO-MOUNT" },
    });
    expect(asked(tail, "why?", early).reading?.slots.sense).toBeUndefined();
  });

  it("is not put the other way once it asks whether something will do", () => {
    const short = { form: "edge", slots: { row: "RIB-3.top", size: "4.8 mm", sense: "against" } };
    const told = asked(tail, "would that also do for a 4 mm rivet?", short);
    expect(told.reading).toMatchObject({ form: "edge", slots: { size: "4 mm", sense: "open" } });
    expect(isPlain(told.verdict)).toBe(false);
  });

  it("clears by its own words", () => {
    const foul = { form: "clearance", slots: { row: "RIB-3.top", sense: "against" } };
    const told = asked(tail, "does a flush head clear on rib 4's top row?", foul);
    expect(told.reading?.slots).toEqual({ head: "flush", row: "RIB-4.top" });
  });

  it("what is offered to ask next is put straight", () => {
    for (const job of jobs)
      for (const [, turned] of job.kit.id === tail.kit.id ? PAIRS.tail : PAIRS.door)
        for (const { slots } of asked(job, turned).followUps) expect(slots.sense).toBeUndefined();
  });

  it("how it is put is shown where it is turned, and can be left out", () => {
    const chip = (slots: Slots) =>
      offersFor(tail, "clearance", slots, forms).chips.find(({ slot }) => slot === "sense");
    expect(chip({ row: "RIB-3.top" })).toBeUndefined();
    const turned = chip({ row: "RIB-3.top", sense: "against" });
    expect(turned).toMatchObject({ value: "the other way round", without: { row: "RIB-3.top" } });
    expect(turned?.offers.map(({ asks }) => asks)).toContain(
      "Does the head clear what comes near it at the top flange row of rib 3?",
    );
  });
});
