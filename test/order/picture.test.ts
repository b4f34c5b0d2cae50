import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { pictureWords } from "../../server/ask/wording/order-plan.js";
import {
  layOut,
  type Picture,
  type PictureBox,
  type PictureWords,
  svgOf,
} from "../../server/order/picture.js";
import { planOf } from "../../server/order/plan.js";
import type { Plan } from "../../server/order/plan-types.js";
import { anyBench, standing } from "../support/any-bench.js";
import { GAP_MEASURED, jobFromDisk } from "../support/job.js";

const words: PictureWords = {
  title: "Bench",
  subtitle: "the order of work",
  part: (id) => id,
  rivets: ({ row, holes }) => `${row}: ${holes.length}`,
  turnOver: ({ side }) => `turn ${side}`,
  layer: (number) => `layer ${number}`,
  getReady: "get ready",
  putOn: "put on",
  takeOff: "take off",
  closes: "closes",
  anyTime: "any time",
  before: (part) => `before ${part}`,
  legend: [],
  notes: [],
};

/** A small reader of XML: throws unless tags close in order and no sign stands where it must not. */
function elementsOf(xml: string): string[] {
  const names: string[] = [];
  const open: string[] = [];
  let rest = xml;
  while (rest !== "") {
    const tag = /^<(\/?)([a-zA-Z]+)((?:\s+[a-zA-Z:-]+="[^"<]*")*)\s*(\/?)>/.exec(rest);
    const text = /^[^<]+/.exec(rest);
    if (tag) {
      const [all, closing, name = "", , empty] = tag;
      if (closing) {
        if (open.pop() !== name) throw new Error(`</${name}> closes nothing`);
      } else {
        names.push(name);
        if (!empty) open.push(name);
      }
      rest = rest.slice(all.length);
    } else if (text) {
      if (/&(?!(amp|lt|gt|quot);)/.test(text[0])) throw new Error(`a bare & in ${text[0]}`);
      rest = rest.slice(text[0].length);
    } else throw new Error(`no XML: ${rest.slice(0, 60)}`);
  }
  if (open.length > 0) throw new Error(`never closed: ${open.join(" ")}`);
  return names;
}

const overlap = (a: PictureBox, b: PictureBox): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

function check(plan: Plan, picture: Picture): void {
  const { boxes, lines, width, height } = picture;
  expect(boxes.flatMap(({ steps }) => steps).sort((a, b) => a - b)).toEqual(plan.steps.map((_, i) => i + 1));
  boxes.forEach((box, i) => {
    expect(box.x >= 0 && box.x + box.width <= width && box.y >= 0 && box.y + box.height <= height).toBe(true);
    for (const other of boxes.slice(i + 1)) expect(overlap(box, other)).toBe(false);
  });
  for (const { from, to, laneX } of lines) {
    expect(to.y).toBeGreaterThan(from.y);
    expect(laneX > to.x + to.width && laneX < from.x).toBe(true);
  }
}

describe("the picture of a plan", () => {
  it("shows every step once, in boxes that stand clear of each other, and leads every line down to a closing", () => {
    let drawn = 0;
    fc.assert(
      fc.property(anyBench({ setShare: 1, holes: 12 }), (bench) => {
        const plan = planOf(standing(bench));
        const picture = layOut(plan, [], words);
        check(plan, picture);
        drawn += picture.lines.length;
        elementsOf(svgOf(picture, words));
      }),
      { numRuns: 150 },
    );
    expect(drawn).toBeGreaterThan(5);
  });

  it("lines that run side by side have lanes of their own", () => {
    const here = standing({
      holes: Object.fromEntries([
        ["frame.b.1", { through: ["frame"], approaches: { straight: [] } }],
        ...["a", "b", "c"].map((name) => [
          `rib.${name}.1`,
          { through: ["rib", name], approaches: { straight: [`cover${name}`] } },
        ]),
        ...["a", "b", "c"].map((name) => [
          `cover${name}.rim.1`,
          { through: [`cover${name}`, "frame"], approaches: { straight: [] } },
        ]),
      ]),
    });
    const { lines } = layOut(planOf(here), [], words);
    expect(lines).toHaveLength(3);
    expect(new Set(lines.map(({ laneX }) => laneX)).size).toBe(3);
  });

  it("shows any name as it is, never as markup", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 40 }), (name) => {
        const here = standing({ holes: { "rib.a.1": { through: ["rib"], approaches: { straight: [] } } } });
        const named = { ...words, title: name, subtitle: name, part: () => name, notes: [name] };
        const names = elementsOf(svgOf(layOut(planOf(here), [], named), named));
        expect(new Set(names)).toEqual(
          new Set(["svg", "title", "desc", "defs", "marker", "path", "rect", "text", "g"]),
        );
      }),
    );
  });

  it("is the same for the same plan, and can be drawn of nothing to do", () => {
    const here = standing({
      holes: { "rib.a.1": { through: ["rib"], approaches: { a: [] }, state: "set" } },
    });
    const empty = planOf(here);
    expect(empty.status).toBe("done");
    expect(svgOf(layOut(empty, [], words), words)).toBe(svgOf(layOut(planOf(here), [], words), words));
    elementsOf(svgOf(layOut(empty, [], words), words));
  });
});

describe("the picture of the tailplane", () => {
  it("has the kit's closings as its spine, from the doubler to the top skin", async () => {
    const job = await jobFromDisk({ moreRules: [GAP_MEASURED] });
    const plan = planOf(job);
    const said = pictureWords(job, plan);
    const picture = layOut(plan, job.assembly.closings, said);
    check(plan, picture);
    const spine = picture.boxes.filter(({ kind }) => kind === "closing").map(({ part }) => part);
    expect(spine[0]).toBe("WEB-DOUBLER");
    expect(spine.at(-1)).toBe("TOP-SKIN");
    const lines = picture.lines.map(({ to }) => to.part);
    expect(lines).toContain("SERVO-MOUNT");
    expect(lines).toContain("TOP-SKIN");
    const svg = svgOf(picture, said);
    elementsOf(svg);
    // Nothing is told by colour: two greys and paper are all there is.
    expect(new Set(svg.match(/#[0-9a-f]{6}/g))).toEqual(new Set(["#1c211f", "#ffffff", "#5a5f57"]));
    expect(svg).toContain("The kit maker's data");
  });
});
