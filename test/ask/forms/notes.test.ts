import { beforeAll, describe, expect, it } from "vitest";
import { NO_NOTES } from "../../../server/ask/notes.js";
import type { Job } from "../../../server/ask/types.js";
import { jobFromDisk } from "../../support/job.js";
import { answer, problemOf } from "./answer.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

describe("notes on a topic", () => {
  it("give the best note first, marked as a note and with its text rendered", () => {
    const told = answer(job, "notes", { topic: "how do I drill out a pulled rivet?" });
    expect(told.headline).toMatch(/^Note: “Drilling out a pulled rivet”\. /);
    expect(told.rows[0]).toMatchObject({ kind: "note", note: "drilling-out-pulled-rivets", holes: [] });
    expect(told.rows[0]?.html).toBe(job.notes.get("drilling-out-pulled-rivets")?.html);
    expect(told.trace.every(({ kind }) => kind === "note")).toBe(true);
    expect(told.verdict).toBeUndefined();
  });

  it("on the sort of rivet that the kit has come first, unless the other sort is asked for", async () => {
    const solid = await jobFromDisk({ kit: "vetch-six" });
    const first = (on: Job, topic: string) => answer(on, "notes", { topic }).rows[0]?.note;
    expect(first(job, "drill out a rivet")).toBe("drilling-out-pulled-rivets");
    expect(first(solid, "drill out a rivet")).toBe("drilling-out-solid-rivets");
    expect(first(job, "drill out a solid rivet")).toBe("drilling-out-solid-rivets");
  });

  it("on drilling carry eye and ear protection; on paper work they don't", () => {
    expect(answer(job, "notes", { topic: "countersinking" }).cautions.join(" ")).toContain(
      "eye and ear protection",
    );
    expect(answer(job, "notes", { topic: "reading notices" }).cautions.join(" ")).not.toContain(
      "eye and ear",
    );
  });

  it("carry the sources of every note shown, numbered as the note cites them", () => {
    const { rows, sources } = answer(job, "notes", { topic: "oversize hole" });
    for (const { note } of rows) {
      const own = sources.filter((source) => source.note === note);
      const cited = job.notes.get(String(note))?.sources ?? [];
      expect(own.length).toBe(Math.max(1, cited.length));
      for (const [i, { document, place, standing }] of cited.entries()) {
        expect(own[i]?.document).toBe(document);
        expect(own[i]?.place).toContain(place);
        expect(own[i]?.place).toContain(`[${i + 1}]`);
        expect(own[i]?.place.includes("as quoted by a secondary source")).toBe(standing === "secondary");
      }
    }
  });

  it("without a source say that they are common practice", () => {
    const { sources } = answer(job, "notes", { topic: "reading the kit's notices" });
    expect(sources.find(({ note }) => note === "reading-notices")?.document).toBe(
      "common practice, no source",
    );
  });

  it("that share no word with the topic are not made up", () => {
    const told = answer(job, "notes", { topic: "zebra" });
    expect(told).toMatchObject({ rows: [], trace: [], sources: [] });
    expect(told.headline).toMatch(/^There is no note on “zebra”\./);
  });

  it("are none on an empty shelf", () => {
    expect(answer({ ...job, notes: NO_NOTES }, "notes", { topic: "twist" }).headline).toBe(
      "There is no note on “twist”.",
    );
  });

  it("any text may be the topic; it is said back short", () => {
    const told = answer(job, "notes", { topic: "~*:^+- ".repeat(200) });
    expect(told.rows).toEqual([]);
    expect(told.headline.length).toBeLessThan(400);
    expect(problemOf(job, "notes", {}).code).toBe("SLOT_MISSING");
  });
});
