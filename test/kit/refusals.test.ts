import { describe, expect, it } from "vitest";
import { loadKit } from "../../server/kit/load.js";
import { repeatedKeys } from "../../server/kit/repeated-keys.js";
import { Problem } from "../../server/problem.js";
import type { SourceFile } from "../../server/source.js";
import { ASSEMBLY_PATH, filesOf, KIT_PATH, problemsOf, type SmallKit, smallKit } from "./small-kit.js";

/** One way to spoil the small kit, and the one problem that it must give. */
interface Case {
  readonly title: string;
  /** Spoils the kit in place. */
  readonly spoil: (small: SmallKit) => void;
  readonly code: string;
  /** Pointer into the assembly file, or into the kit file when `inKit`. */
  readonly pointer: string;
  readonly inKit?: boolean;
}

const at = <T>(list: readonly T[] | undefined, i: number): T => {
  const found = list?.[i];
  if (found === undefined) throw new Error(`the small kit has no entry ${i} there`);
  return found;
};
const part = (small: SmallKit, i: number) => at(small.assembly.parts, i);
const sheet = (small: SmallKit, i: number, j: number) => at(part(small, i).sheets, j);
const row = (small: SmallKit, i: number) => at(small.assembly.rows, i);
const rivet = (small: SmallKit, i: number) => at(small.kit.rivets, i);
/** Sets a key that the type does not allow. */
const force = (target: object, key: string, value: unknown): void => {
  Object.defineProperty(target, key, { value, enumerable: true, configurable: true, writable: true });
};

const SKIN = 0;
const LAP = 1;
const RIB = 2;
const BRACKET = 3;

const dangling: Case[] = [
  {
    title: "a row of a part that is not there is refused",
    spoil: (small) => {
      row(small, 1).part = "BRACKETT";
      at(small.assembly.blocks, 0).holes = ["BRACKETT.c.1"];
      at(small.assembly.steps, 0).rows = ["BRACKETT.c"];
    },
    code: "UNKNOWN_PART",
    pointer: "/rows/1/part",
  },
  {
    title: "a layer of a part that is not there is refused",
    spoil: (small) => {
      at(row(small, 0).stack, 1).part = "RIB-9";
    },
    code: "UNKNOWN_PART",
    pointer: "/rows/0/stack/1/part",
  },
  {
    title: "a layer in a sheet that its part does not have is refused",
    spoil: (small) => {
      at(row(small, 0).stack, 1).sheet = "lower-flange";
    },
    code: "UNKNOWN_SHEET",
    pointer: "/rows/0/stack/1/sheet",
  },
  {
    title: "a rivet that the kit does not have is refused",
    spoil: (small) => {
      row(small, 0).rivet = "PR-99-9";
    },
    code: "UNKNOWN_RIVET",
    pointer: "/rows/0/rivet",
  },
  {
    title: "an exception's rivet that the kit does not have is refused",
    spoil: (small) => {
      at(row(small, 0).except, 0).rivet = "PF-99-9";
    },
    code: "UNKNOWN_RIVET",
    pointer: "/rows/0/except/0/rivet",
  },
  {
    title: "an approach that the kit does not have is refused",
    spoil: (small) => {
      row(small, 0).approaches = ["straight", "around-the-corner"];
    },
    code: "UNKNOWN_APPROACH",
    pointer: "/rows/0/approaches/1",
  },
  {
    title: "a prep gate that the kit does not have is refused",
    spoil: (small) => {
      part(small, SKIN).prep = ["deburr", "polish"];
    },
    code: "UNKNOWN_GATE",
    pointer: "/parts/0/prep/1",
  },
  {
    title: "a family member that is no part is refused",
    spoil: (small) => {
      at(small.assembly.families, 0).members.push("SKIN-3");
    },
    code: "UNKNOWN_PART",
    pointer: "/families/0/members/2",
  },
  {
    title: "a gap at a row that is not there is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).row = "SKIN.b";
    },
    code: "UNKNOWN_ROW",
    pointer: "/neighbours/0/gaps/2/row",
  },
  {
    title: "a step that puts on a part that is not there is refused",
    spoil: (small) => {
      at(small.assembly.steps, 1).parts = ["SKIN", "SPAR"];
    },
    code: "UNKNOWN_PART",
    pointer: "/steps/1/parts/1",
  },
  {
    title: "a step that sets a row that is not there is refused",
    spoil: (small) => {
      at(small.assembly.steps, 1).rows = ["SKIN.z"];
    },
    code: "UNKNOWN_ROW",
    pointer: "/steps/1/rows/0",
  },
  {
    title: "a closing of a part that is not there is refused",
    spoil: (small) => {
      small.assembly.closings = ["BRACKET", "LID"];
    },
    code: "UNKNOWN_PART",
    pointer: "/closings/1",
  },
  {
    title: "a stated block at a hole that is not there is refused",
    spoil: (small) => {
      at(small.assembly.blocks, 0).holes = ["BRACKET.c.3"];
    },
    code: "UNKNOWN_HOLE",
    pointer: "/blocks/0/holes/0",
  },
  {
    title: "a stated block of an approach that is not there is refused",
    spoil: (small) => {
      at(small.assembly.blocks, 0).approach = "upside-down";
    },
    code: "UNKNOWN_APPROACH",
    pointer: "/blocks/0/approach",
  },
  {
    title: "a stated block by a part that is not there is refused",
    spoil: (small) => {
      at(small.assembly.blocks, 0).by = "LID";
    },
    code: "UNKNOWN_PART",
    pointer: "/blocks/0/by",
  },
  {
    title: "a stated block of an approach that the hole is not got at by is refused",
    spoil: (small) => {
      at(small.assembly.blocks, 0).approach = "straight";
    },
    code: "BLOCK_WITHOUT_APPROACH",
    pointer: "/blocks/0/holes/0",
  },
];

const duplicates: Case[] = [
  {
    title: "two parts of one id are refused, even if capitals differ",
    spoil: (small) => {
      small.assembly.parts.push({ ...part(small, LAP), id: "lap" });
      at(small.assembly.parts, 4).sheets = [
        { ...sheet(small, LAP, 0), outline: sheet(small, LAP, 0).outline.map(([x, y]) => [x, y, 90]) },
      ];
    },
    code: "DUPLICATE_ID",
    pointer: "/parts/4/id",
  },
  {
    title: "two sheets of one id in a part are refused",
    spoil: (small) => {
      part(small, LAP).sheets.push(sheet(small, LAP, 0));
    },
    code: "DUPLICATE_ID",
    pointer: "/parts/1/sheets/1/id",
  },
  {
    title: "two rows of one id are refused",
    spoil: (small) => {
      const again = structuredClone(row(small, 1));
      again.holes = {
        at: [
          [90, 38.8, -20],
          [110, 38.8, -20],
        ],
      };
      small.assembly.rows.push(again);
    },
    code: "DUPLICATE_ID",
    pointer: "/rows/2/row",
  },
  ...(["families", "milestones", "steps", "views"] as const).map(
    (list): Case => ({
      title: `two ${list} of one id are refused`,
      spoil: ({ assembly }) => {
        const copy: { id: string }[] = assembly[list];
        const again = structuredClone(at(copy, 0));
        if (list === "families") Object.assign(again, { members: ["RIB"] });
        copy.push(again);
      },
      code: "DUPLICATE_ID",
      pointer: `/${list}/${list === "views" || list === "steps" ? 2 : 1}/id`,
    }),
  ),
  {
    title: "two neighbours of one id are refused",
    spoil: (small) => {
      small.assembly.neighbours.push({
        id: "fairing",
        name: "again",
        gaps: [{ row: "SKIN.a", holes: [9], gap: 2 }],
      });
    },
    code: "DUPLICATE_ID",
    pointer: "/neighbours/1/id",
  },
  {
    title: "two rivets of one code are refused",
    spoil: (small) => {
      small.kit.rivets.push(structuredClone(rivet(small, 0)));
    },
    code: "DUPLICATE_ID",
    pointer: "/rivets/3/code",
    inKit: true,
  },
  ...(["approaches", "prepGates", "notices"] as const).map(
    (list): Case => ({
      title: `two ${list === "prepGates" ? "prep gates" : list} of one id are refused`,
      spoil: ({ kit }) => {
        const copy: { id: string }[] = kit[list];
        copy.push(structuredClone(at(copy, 0)));
      },
      code: "DUPLICATE_ID",
      pointer: `/${list}/${list === "notices" ? 1 : 2}/id`,
      inKit: true,
    }),
  ),
  {
    title: "an assembly that is listed twice is refused",
    spoil: (small) => {
      small.kit.assemblies.push("sample");
    },
    code: "DUPLICATE_ID",
    pointer: "/assemblies/1",
    inKit: true,
  },
  {
    title: "a part in two families is refused",
    spoil: (small) => {
      small.assembly.families.push({
        id: "ribs",
        name: "ribs",
        members: ["RIB", "SKIN"],
        numbered: "outwards",
      });
    },
    code: "FAMILY_TWICE",
    pointer: "/families/1/members/1",
  },
  {
    title: "a part twice in its family is refused",
    spoil: (small) => {
      at(small.assembly.families, 0).members.push("SKIN");
    },
    code: "FAMILY_TWICE",
    pointer: "/families/0/members/2",
  },
  {
    title: "a part that is closed twice is refused",
    spoil: (small) => {
      small.assembly.closings.push("BRACKET");
    },
    code: "LIST_REPEATS",
    pointer: "/closings/2",
  },
  {
    title: "an approach that is named twice is refused",
    spoil: (small) => {
      row(small, 0).approaches = ["straight", "straight"];
    },
    code: "LIST_REPEATS",
    pointer: "/rows/0/approaches/1",
  },
  {
    title: "a gate that a part passes twice is refused",
    spoil: (small) => {
      part(small, RIB).prep = ["deburr", "deburr"];
    },
    code: "LIST_REPEATS",
    pointer: "/parts/2/prep/1",
  },
];

const sizes: Case[] = [
  {
    title: "a part without a thickness is refused",
    spoil: (small) => {
      force(part(small, SKIN), "thickness", undefined);
    },
    code: "KEY_MISSING",
    pointer: "/parts/0",
  },
  {
    title: "a thickness of zero is refused",
    spoil: (small) => {
      part(small, LAP).thickness = 0;
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/parts/1/thickness",
  },
  {
    title: "a negative hole is refused",
    spoil: (small) => {
      row(small, 0).punched = -3.3;
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/rows/0/punched",
  },
  {
    title: "a hole punched larger than its rivet takes is refused",
    spoil: (small) => {
      row(small, 0).punched = 3.6;
    },
    code: "PUNCHED_TOO_LARGE",
    pointer: "/rows/0/punched",
  },
  {
    title: "a negative gap is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).gap = -1;
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/neighbours/0/gaps/2/gap",
  },
  {
    title: "a negative tolerance of a gap is refused",
    spoil: (small) => {
      at(small.assembly.neighbours, 0).tolerance = -0.1;
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/neighbours/0/tolerance",
  },
  {
    title: "a margin of nothing above a head is refused: a neighbour without a margin states none",
    spoil: (small) => {
      at(small.assembly.neighbours, 0).headMargin = 0;
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/neighbours/0/headMargin",
  },
  {
    title: "a margin in inches among millimetres is refused",
    spoil: (small) => {
      at(small.assembly.neighbours, 0).headMargin = 0.03;
    },
    code: "UNITS_MIXED",
    pointer: "/neighbours/0/headMargin",
  },
  {
    title: "a negative gap in one position of a travel is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).gap = {
        positions: [
          { name: "up", gap: 2 },
          { name: "down", gap: -2 },
        ],
      };
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/neighbours/0/gaps/2/gap/positions/1/gap",
  },
  {
    title: "a drill that needs no room is refused",
    spoil: (small) => {
      at(small.kit.approaches, 0).drill = [{ side: "head", what: "drill", radius: 3, length: -5 }];
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/approaches/0/drill/0/length",
    inKit: true,
  },
  {
    title: "a drill on both sides of the sheet at once is refused",
    spoil: (small) => {
      at(small.kit.approaches, 0).drill = [
        { side: "head", what: "drill bit", radius: 3, length: 40 },
        { side: "tail", what: "drill", radius: 20, length: 150 },
      ];
    },
    code: "DRILL_SIDES",
    pointer: "/approaches/0/drill",
    inKit: true,
  },
  {
    title: "a tool that needs no room is refused",
    spoil: (small) => {
      at(at(small.kit.approaches, 0).rooms, 0).radius = 0;
    },
    code: "SIZE_NOT_POSITIVE",
    pointer: "/approaches/0/rooms/0/radius",
    inKit: true,
  },
  {
    title: "a rivet wider than its widest hole is refused",
    spoil: (small) => {
      rivet(small, 0).hole = { min: 2.9, max: 3 };
    },
    code: "HOLE_LIMITS",
    pointer: "/rivets/0/hole/max",
    inKit: true,
  },
  {
    title: "a least hole above the greatest is refused",
    spoil: (small) => {
      rivet(small, 0).hole = { min: 3.5, max: 3.4 };
    },
    code: "HOLE_LIMITS",
    pointer: "/rivets/0/hole",
    inKit: true,
  },
  {
    title: "a least grip above the greatest is refused",
    spoil: (small) => {
      rivet(small, 0).grip = { min: 5, max: 1 };
    },
    code: "GRIP_LIMITS",
    pointer: "/rivets/0/grip",
    inKit: true,
  },
  {
    title: "a head no wider than its rivet is refused",
    spoil: (small) => {
      rivet(small, 0).headDiameter = 3.2;
    },
    code: "HEAD_TOO_SMALL",
    pointer: "/rivets/0/headDiameter",
    inKit: true,
  },
  {
    title: "a protruding head without height is refused",
    spoil: (small) => {
      rivet(small, 0).headHeight = 0;
    },
    code: "HEAD_HEIGHT",
    pointer: "/rivets/0/headHeight",
    inKit: true,
  },
  {
    title: "a flush head that stands out of the sheet is refused",
    spoil: (small) => {
      rivet(small, 1).headHeight = 0.9;
    },
    code: "HEAD_HEIGHT",
    pointer: "/rivets/1/headHeight",
    inKit: true,
  },
  {
    title: "a protruding head that is said to lie in the sheet is refused",
    spoil: (small) => {
      rivet(small, 0).sunkHeight = 1.2;
    },
    code: "HEAD_HEIGHT",
    pointer: "/rivets/0/sunkHeight",
    inKit: true,
  },
];

const units: Case[] = [
  {
    title: "a length in inches in a file in mm is refused",
    spoil: (small) => {
      part(small, LAP).thickness = "0.032 in";
    },
    code: "UNITS_MIXED",
    pointer: "/parts/1/thickness",
  },
  {
    title: "a drill number, an inch size, in a file in mm is refused",
    spoil: (small) => {
      row(small, 0).punched = "#30";
    },
    code: "UNITS_MIXED",
    pointer: "/rows/0/punched",
  },
  {
    title: "a bare number that can only be inches is refused in a file in mm",
    spoil: (small) => {
      part(small, LAP).thickness = 0.032;
    },
    code: "UNITS_MIXED",
    pointer: "/parts/1/thickness",
  },
  {
    title: "a bare number that can only be millimetres is refused in a file in inches",
    spoil: (small) => {
      small.kit.units = "inch";
      for (const entry of small.kit.rivets) {
        entry.diameter = "1/8 in";
        entry.headHeight = entry.head === "flush" ? 0 : "0.04 in";
        entry.headDiameter = undefined;
        entry.grip = undefined;
        entry.hole = { min: "#30", max: "0.132 in" };
      }
      rivet(small, 0).diameter = 3.2;
      for (const approach of small.kit.approaches) {
        approach.clearance = undefined;
        for (const room of [...approach.rooms, ...(approach.drill ?? [])]) {
          room.radius = "1/2 in";
          room.from = undefined;
          room.length = 2;
        }
      }
    },
    code: "UNITS_MIXED",
    pointer: "/rivets/0/diameter",
    inKit: true,
  },
  {
    title: "a hole no drill of the trade makes is refused",
    spoil: (small) => {
      row(small, 0).punched = 33;
    },
    code: "SIZE_IMPLAUSIBLE",
    pointer: "/rows/0/punched",
  },
  {
    title: "a sheet thick as a plank is refused",
    spoil: (small) => {
      part(small, LAP).thickness = 80;
    },
    code: "SIZE_IMPLAUSIBLE",
    pointer: "/parts/1/thickness",
  },
  {
    title: "text that is no length is refused",
    spoil: (small) => {
      part(small, LAP).thickness = "thin";
    },
    code: "LENGTH_UNREADABLE",
    pointer: "/parts/1/thickness",
  },
  {
    title: "a length without a unit in text is refused",
    spoil: (small) => {
      part(small, LAP).thickness = "0.8";
    },
    code: "LENGTH_UNREADABLE",
    pointer: "/parts/1/thickness",
  },
];

const geometry: Case[] = [
  {
    title: "a hole outside its layer's outline is refused",
    spoil: (small) => {
      sheet(small, RIB, 0).outline = sheet(small, RIB, 0).outline.map(([x, y, z]) => [
        Math.min(x, 170),
        y,
        z,
      ]);
    },
    code: "HOLE_OFF_PART",
    pointer: "/rows/0/stack/1",
  },
  {
    title: "a hole that breaks the edge of its layer is refused",
    spoil: (small) => {
      sheet(small, RIB, 0).outline = sheet(small, RIB, 0).outline.map(([x, y, z]) => [
        x,
        Math.min(y, 51.5),
        z,
      ]);
    },
    code: "HOLE_BREAKS_EDGE",
    pointer: "/rows/0/stack/1",
  },
  {
    title: "a stack whose order contradicts the normal is refused",
    spoil: (small) => {
      row(small, 0).stack.reverse();
      row(small, 0).holes = { from: [20, 50, -0.4], to: [180, 50, -0.4], count: 9 };
    },
    code: "STACK_ORDER",
    pointer: "/rows/0/stack/1",
  },
  {
    title: "a normal into the sheet instead of out of the head side is refused",
    spoil: (small) => {
      row(small, 0).normal = [0, 0, -1];
      row(small, 0).holes = { from: [20, 50, -0.4], to: [180, 50, -0.4], count: 9 };
    },
    code: "STACK_ORDER",
    pointer: "/rows/0/stack/1",
  },
  {
    title: "layers that do not lie on each other are refused",
    spoil: (small) => {
      sheet(small, RIB, 0).outline = sheet(small, RIB, 0).outline.map(([x, y]) => [x, y, -1.5]);
    },
    code: "STACK_GAP",
    pointer: "/rows/0/stack/1",
  },
  {
    title: "layers that run into each other are refused",
    spoil: (small) => {
      part(small, RIB).thickness = 1.6;
      sheet(small, RIB, 1).thickness = 1;
    },
    code: "STACK_GAP",
    pointer: "/rows/0/stack/1",
  },
  {
    title: "a hole that is not drawn on the head-side surface is refused",
    spoil: (small) => {
      row(small, 0).holes = { from: [20, 50, 0], to: [180, 50, 0], count: 9 };
    },
    code: "STACK_GAP",
    pointer: "/rows/0/stack/0",
  },
  {
    title: "a hole that goes through its layer at a slant is refused",
    spoil: (small) => {
      const foot = sheet(small, BRACKET, 0);
      foot.outline = foot.outline.map(([x, y, z]) => [x, y + (z + 30) * 0.1, z]);
    },
    code: "STACK_TILTED",
    pointer: "/rows/1/stack/0",
  },
  {
    title: "a layer that is in its stack twice is refused",
    spoil: (small) => {
      at(row(small, 0).except, 0).stack = [
        { part: "SKIN", sheet: "flat" },
        { part: "RIB", sheet: "flange" },
        { part: "SKIN", sheet: "flat" },
      ];
    },
    code: "STACK_REPEATS",
    pointer: "/rows/0/except/0/stack/2",
  },
  {
    title: "a row that does not go through the part it is named after is refused",
    spoil: (small) => {
      row(small, 0).stack = [{ part: "SKIN", sheet: "flat" }];
      row(small, 0).part = "RIB";
      at(small.assembly.steps, 1).rows = ["RIB.a"];
      for (const gap of at(small.assembly.neighbours, 0).gaps) gap.row = "RIB.a";
    },
    code: "OWNER_NOT_IN_STACK",
    pointer: "/rows/0/stack",
  },
  {
    title: "a row whose holes run into those of another row is refused",
    spoil: (small) => {
      const other = structuredClone(row(small, 0));
      other.row = "b";
      other.holes = { from: [23, 50, 0.4], to: [25, 53, 0.4], count: 1 };
      other.holes.to = other.holes.from;
      other.except = [];
      small.assembly.rows.push(other);
    },
    code: "ROWS_OVERLAP",
    pointer: "/rows/2/holes",
  },
  {
    title: "a row whose own holes run into each other is refused",
    spoil: (small) => {
      row(small, 1).holes = { from: [90, 38.8, -40], to: [93, 38.8, -40], count: 2 };
    },
    code: "ROWS_OVERLAP",
    pointer: "/rows/1/holes",
  },
  {
    title: "a row of one hole with two ends is refused",
    spoil: (small) => {
      row(small, 1).holes = { from: [90, 38.8, -30], to: [110, 38.8, -30], count: 1 };
    },
    code: "ROW_ENDS",
    pointer: "/rows/1/holes/count",
  },
  {
    title: "an outline that is not flat is refused",
    spoil: (small) => {
      sheet(small, LAP, 0).outline.push([150, 50, 3]);
    },
    code: "OUTLINE_NOT_FLAT",
    pointer: "/parts/1/sheets/0/outline/4",
  },
  {
    title: "an outline that crosses itself is refused",
    spoil: (small) => {
      sheet(small, LAP, 0).outline = [
        [150, 0, 0.8],
        [260, 0, 0.8],
        [200, 80, 0.8],
        [260, 100, 0.8],
      ];
    },
    code: "OUTLINE_CROSSES",
    pointer: "/parts/1/sheets/0/outline",
  },
  {
    title: "an outline that touches itself in a corner is refused",
    spoil: (small) => {
      sheet(small, LAP, 0).outline = [
        [150, 0, 0.8],
        [260, 0, 0.8],
        [260, 100, 0.8],
        [205, 0, 0.8],
        [150, 100, 0.8],
      ];
    },
    code: "OUTLINE_CROSSES",
    pointer: "/parts/1/sheets/0/outline",
  },
  {
    title: "an outline without area is refused",
    spoil: (small) => {
      sheet(small, LAP, 0).outline = [
        [150, 0, 0.8],
        [200, 0, 0.8],
        [260, 0, 0.8],
      ];
    },
    code: "OUTLINE_EMPTY",
    pointer: "/parts/1/sheets/0/outline",
  },
  {
    title: "an outline whose crossing halves cancel out is refused",
    spoil: (small) => {
      sheet(small, LAP, 0).outline = [
        [150, 0, 0.8],
        [260, 0, 0.8],
        [150, 100, 0.8],
        [260, 100, 0.8],
      ];
    },
    code: "OUTLINE_EMPTY",
    pointer: "/parts/1/sheets/0/outline",
  },
  {
    title: "an outline that closes by repeating its first corner is refused",
    spoil: (small) => {
      sheet(small, LAP, 0).outline.push([150, 0, 0.8]);
    },
    code: "OUTLINE_REPEATS",
    pointer: "/parts/1/sheets/0/outline/0",
  },
  {
    title: "a prism on a base that is not convex is refused",
    spoil: (small) => {
      part(small, BRACKET).bodies = [
        {
          prism: {
            base: [
              [95, 38, -20],
              [105, 38, -20],
              [100, 35, -20],
              [100, 20, -20],
            ],
            along: [0, 0, 2],
          },
        },
      ];
    },
    code: "BODY_NOT_CONVEX",
    pointer: "/parts/3/bodies/0/prism/base",
  },
  {
    title: "a prism on a base that crosses itself is refused",
    spoil: (small) => {
      part(small, BRACKET).bodies = [
        {
          prism: {
            base: [
              [95, 38, -20],
              [105, 38, -20],
              [95, 20, -20],
              [108, 20, -20],
            ],
            along: [0, 0, 2],
          },
        },
      ];
    },
    code: "BODY_NOT_CONVEX",
    pointer: "/parts/3/bodies/0/prism/base",
  },
  {
    title: "a prism on a base that is not flat is refused",
    spoil: (small) => {
      part(small, BRACKET).bodies = [
        {
          prism: {
            base: [
              [95, 38, -20],
              [105, 38, -20],
              [105, 20, -20],
              [95, 20, -25],
            ],
            along: [0, 0, 2],
          },
        },
      ];
    },
    code: "BODY_NOT_FLAT",
    pointer: "/parts/3/bodies/0/prism/base/0",
  },
  {
    title: "a prism that is swept within its own base is refused",
    spoil: (small) => {
      part(small, BRACKET).bodies = [
        {
          prism: {
            base: [
              [95, 38, -20],
              [105, 38, -20],
              [100, 20, -20],
            ],
            along: [5, 5, 0],
          },
        },
      ];
    },
    code: "BODY_EMPTY",
    pointer: "/parts/3/bodies/0/prism/along",
  },
  {
    title: "a box turned inside out is refused",
    spoil: (small) => {
      part(small, BRACKET).bodies = [{ box: { min: [95, 0, -30], max: [105, 38, -32] } }];
    },
    code: "BODY_EMPTY",
    pointer: "/parts/3/bodies/0/box/max/2",
  },
  {
    title: "a part without sheet or body is refused, since it could be in no tool's way",
    spoil: (small) => {
      part(small, LAP).sheets = [];
    },
    code: "PART_WITHOUT_SHAPE",
    pointer: "/parts/1/sheets",
  },
  {
    title: "a normal that points nowhere is refused",
    spoil: (small) => {
      row(small, 1).normal = [0, 0, 0];
    },
    code: "DIRECTION_ZERO",
    pointer: "/rows/1/normal",
  },
  {
    title: "a normal too short to have a direction is refused",
    spoil: (small) => {
      row(small, 1).normal = [0, 5e-324, 5e-324];
    },
    code: "DIRECTION_ZERO",
    pointer: "/rows/1/normal",
  },
  {
    title: "a view whose directions are not square to each other is refused",
    spoil: (small) => {
      at(small.assembly.views, 1).up = [0.3, 0, 1];
    },
    code: "VIEW_NOT_SQUARE",
    pointer: "/views/1",
  },
  {
    title: "a view that exchanges left and right is refused",
    spoil: (small) => {
      at(small.assembly.views, 1).right = [-1, 0, 0];
    },
    code: "VIEW_MIRRORED",
    pointer: "/views/1",
  },
  {
    title: "a view direction that points nowhere is refused",
    spoil: (small) => {
      at(small.assembly.views, 0).up = [0, 0, 0];
    },
    code: "DIRECTION_ZERO",
    pointer: "/views/0/up",
  },
];

const callouts: Case[] = [
  {
    title: "a pulled rivet is not driven: an approach of the other kind is refused",
    spoil: (small) => {
      row(small, 0).approaches = ["straight", "gun-and-bar"];
      row(small, 0).except = [];
    },
    code: "KIND_MISMATCH",
    pointer: "/rows/0/approaches",
  },
  {
    title: "an exception with a solid rivet in a row of pulled ones needs its own approaches",
    spoil: (small) => {
      at(row(small, 0).except, 0).rivet = "SR-32-8";
    },
    code: "KIND_MISMATCH",
    pointer: "/rows/0/except/0/rivet",
  },
  {
    title: "an exception for a hole that the row does not have is refused",
    spoil: (small) => {
      at(row(small, 0).except, 0).holes = [1, 10];
    },
    code: "HOLE_OUT_OF_ROW",
    pointer: "/rows/0/except/0/holes/1",
  },
  {
    title: "a hole in two exceptions is refused",
    spoil: (small) => {
      row(small, 0).except?.push({ holes: [5, 2], punched: 3.4 });
    },
    code: "EXCEPT_TWICE",
    pointer: "/rows/0/except/1/holes/1",
  },
  {
    title: "a hole twice in one exception is refused",
    spoil: (small) => {
      at(row(small, 0).except, 0).holes = [1, 2, 1];
    },
    code: "LIST_REPEATS",
    pointer: "/rows/0/except/0/holes/2",
  },
  {
    title: "a gap at a hole that the row does not have is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).holes = [12];
    },
    code: "HOLE_OUT_OF_ROW",
    pointer: "/neighbours/0/gaps/2/holes/0",
  },
  {
    title: "two gaps at one hole are refused, since nobody could say which counts",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).holes = [6];
    },
    code: "GAP_TWICE",
    pointer: "/neighbours/0/gaps/2",
  },
  {
    title: "a position that stands twice in one travel is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).gap = {
        positions: [
          { name: "up", gap: 2 },
          { name: "up", gap: 3 },
        ],
      };
    },
    code: "DUPLICATE_ID",
    pointer: "/neighbours/0/gaps/2/gap/positions/1/name",
  },
  {
    title: "a position that one gap of a neighbour names and another leaves out is refused",
    spoil: (small) => {
      const { gaps } = at(small.assembly.neighbours, 0);
      at(gaps, 1).gap = {
        positions: [
          { name: "up", gap: 2 },
          { name: "down", gap: 3 },
        ],
      };
      at(gaps, 2).gap = { positions: [{ name: "up", gap: 2 }] };
    },
    code: "POSITIONS_DIFFER",
    pointer: "/neighbours/0/gaps/2/gap/positions",
  },
  {
    title: "a gap that changes along a single hole is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 2).gap = { first: 1, last: 2 };
    },
    code: "GAP_ENDS",
    pointer: "/neighbours/0/gaps/2/gap",
  },
  {
    title: "a gap that changes along holes in no order is refused",
    spoil: (small) => {
      at(at(small.assembly.neighbours, 0).gaps, 0).holes = [1, 3, 2, 5];
    },
    code: "GAP_ENDS",
    pointer: "/neighbours/0/gaps/0/holes",
  },
];

const shapes: Case[] = [
  {
    title: "an unknown key is refused, since it may be a known one misspelt",
    spoil: (small) => {
      force(row(small, 0), "punchd", 3.3);
    },
    code: "KEY_UNKNOWN",
    pointer: "/rows/0/punchd",
  },
  {
    title: "a fact name that no dictionary could have is refused",
    spoil: (small) => {
      row(small, 0).given = { "the zone": "root" };
    },
    code: "KEY_UNKNOWN",
    pointer: "/rows/0/given/the zone",
  },
  {
    title: "a key that reaches into every object is refused",
    spoil: (small) => {
      row(small, 0).given = JSON.parse('{"__proto__": 1}');
    },
    code: "KEY_FORBIDDEN",
    pointer: "/rows/0/given/__proto__",
  },
  {
    title: "a fact named like a part of the language is refused",
    spoil: (small) => {
      row(small, 0).given = { constructor: "x" };
    },
    code: "KEY_FORBIDDEN",
    pointer: "/rows/0/given/constructor",
  },
  {
    title: "a file of another format is refused",
    spoil: (small) => {
      force(small.kit, "format", "tailroom kit 2");
    },
    code: "FORMAT_WRONG",
    pointer: "/format",
    inKit: true,
  },
  {
    title: "units that are neither mm nor inch are refused",
    spoil: (small) => {
      force(small.assembly, "units", "cm");
    },
    code: "VALUE_WRONG",
    pointer: "/units",
  },
  {
    title: "an id with a dot in it is refused, since dots part the names of a hole",
    spoil: (small) => {
      part(small, LAP).id = "LAP.2";
    },
    code: "VALUE_WRONG",
    pointer: "/parts/1/id",
  },
  {
    title: "a point with two numbers is refused",
    spoil: (small) => {
      force(row(small, 0).holes, "from", [20, 50]);
    },
    code: "VALUE_WRONG",
    pointer: "/rows/0/holes/from",
  },
  {
    title: "a place further out than anything on a bench is refused",
    spoil: (small) => {
      row(small, 1).holes = { at: [[1e300, 38.8, -30]] };
    },
    code: "VALUE_WRONG",
    pointer: "/rows/1/holes/at/0/0",
  },
  {
    title: "a row without holes is refused",
    spoil: (small) => {
      row(small, 0).holes = { from: [20, 50, 0.4], to: [180, 50, 0.4], count: 0 };
    },
    code: "VALUE_WRONG",
    pointer: "/rows/0/holes/count",
  },
  {
    title: "a row of half a hole is refused",
    spoil: (small) => {
      row(small, 0).holes = { from: [20, 50, 0.4], to: [180, 50, 0.4], count: 2.5 };
    },
    code: "VALUE_WRONG",
    pointer: "/rows/0/holes/count",
  },
  {
    title: "a count beyond anything a row can hold is refused",
    spoil: (small) => {
      row(small, 0).holes = { from: [20, 50, 0.4], to: [180, 50, 0.4], count: 1e9 };
    },
    code: "VALUE_WRONG",
    pointer: "/rows/0/holes/count",
  },
  {
    title: "a head that is neither protruding nor flush is refused",
    spoil: (small) => {
      force(rivet(small, 0), "head", "round");
    },
    code: "VALUE_WRONG",
    pointer: "/rivets/0/head",
    inKit: true,
  },
  {
    title: "a length that is neither a number nor text is refused",
    spoil: (small) => {
      force(part(small, LAP), "thickness", { mm: 0.8 });
    },
    code: "VALUE_WRONG",
    pointer: "/parts/1/thickness",
  },
  {
    title: "a day that is not in the calendar is refused",
    spoil: (small) => {
      small.kit.dated = "2023-02-29";
    },
    code: "DATE_WRONG",
    pointer: "/dated",
    inKit: true,
  },
  {
    title: "a notice dated in a thirteenth month is refused",
    spoil: (small) => {
      at(small.kit.notices, 0).dated = "2024-13-01";
    },
    code: "DATE_WRONG",
    pointer: "/notices/0/dated",
    inKit: true,
  },
  {
    title: "an assembly that is listed without a file is refused",
    spoil: (small) => {
      small.kit.assemblies.push("wing");
    },
    code: "ASSEMBLY_MISSING",
    pointer: "/assemblies/1",
    inKit: true,
  },
  {
    title: "an assembly whose id is not its file's name is refused",
    spoil: (small) => {
      small.assembly.id = "sampel";
    },
    code: "ASSEMBLY_ID_WRONG",
    pointer: "/id",
  },
];

describe.each([
  ["dangling ids", dangling],
  ["ids and entries that are there twice", duplicates],
  ["sizes", sizes],
  ["units", units],
  ["geometry", geometry],
  ["callouts, exceptions and gaps", callouts],
  ["shape", shapes],
] as const)("%s", (_, cases) => {
  it.each(cases)("$title", ({ spoil, code, pointer, inKit }) => {
    const small = smallKit();
    spoil(small);

    const problems = problemsOf(() => loadKit(filesOf(small)));

    expect(problems.map((problem) => `${problem.code} ${problem.where.pointer}: ${problem.message}`)).toEqual(
      [expect.stringContaining(`${code} ${pointer}: `)],
    );
    expect(problems[0]?.where.file).toBe(inKit ? KIT_PATH : ASSEMBLY_PATH);
    expect(problems[0]?.message).toMatch(/\w.*\.$/);
    expect(problems[0]?.fix).toMatch(/\w.*\.$/);
  });
});

describe("the files of a kit", () => {
  const codesOf = (files: SourceFile[]): string[] =>
    problemsOf(() => loadKit(files)).map((problem) => `${problem.code} ${problem.where.file ?? ""}`);

  it("a folder without a kit file is refused", () => {
    expect(codesOf(filesOf(smallKit()).slice(1))).toEqual(["KIT_FILE_MISSING "]);
  });

  it("an assembly file that the kit does not list is refused", () => {
    const small = smallKit();
    const extra = {
      path: ASSEMBLY_PATH.replace("sample.json", "wing.json"),
      text: JSON.stringify({ ...small.assembly, id: "wing" }),
    };
    expect(codesOf([...filesOf(small), extra])).toEqual([`ASSEMBLY_NOT_LISTED ${extra.path}`]);
  });

  it("a file that has no place in a kit is refused", () => {
    const stray = { path: "kits/bench-sample/notes.txt", text: "call the maker" };
    expect(codesOf([...filesOf(smallKit()), stray])).toEqual([`FILE_UNEXPECTED ${stray.path}`]);
  });

  it("an assembly file of another kit's folder is refused", () => {
    const stray = { path: "kits/other/assemblies/wing.json", text: "{}" };
    expect(codesOf([...filesOf(smallKit()), stray])).toContain(`FILE_UNEXPECTED ${stray.path}`);
  });

  it("a file that is not JSON is refused, and the other file is still checked", () => {
    const small = smallKit();
    small.kit.dated = "2023-02-29";
    const [kit, assembly] = filesOf(small);
    if (!kit || !assembly) throw new Error("the small kit has two files");
    expect(codesOf([kit, { ...assembly, text: `${assembly.text}]` }])).toEqual([
      `JSON_MALFORMED ${ASSEMBLY_PATH}`,
      `DATE_WRONG ${KIT_PATH}`,
    ]);
  });

  it("a key that is in its object twice is refused, since the reader would keep one without a word", () => {
    const [kit, assembly] = filesOf(smallKit());
    if (!kit || !assembly) throw new Error("the small kit has two files");
    const text = assembly.text.replace('"thickness":0.8,', '"thickness":0.8, "thi\\u0063kness" : 1.6 ,');
    const problems = problemsOf(() => loadKit([kit, { ...assembly, text }]));
    expect(problems.map((problem) => `${problem.code} ${problem.where.pointer}`)).toContain(
      "KEY_TWICE /parts/0/thickness",
    );
  });

  it("a key is the same in two different objects, and in a text, without being there twice", () => {
    expect(repeatedKeys('[{"a":1,"b":{"a":"\\"a\\":"}},{"a":[{"a":1},{"a":"a"}]}]')).toEqual([]);
    expect(repeatedKeys('{"x":[0,{"a/b":1,"c":[1,2],"a/b":{}}]}')).toEqual(["/x/1/a~1b"]);
  });

  it("a number too large to be one is refused", () => {
    const [kit, assembly] = filesOf(smallKit());
    if (!kit || !assembly) throw new Error("the small kit has two files");
    const text = kit.text.replace('"headHeight":1.1', '"headHeight":1e999');
    expect(codesOf([{ ...kit, text }, assembly])).toEqual([`NUMBER_NOT_FINITE ${KIT_PATH}`]);
  });

  it.each(["null", "[]", "3", '"kit"', "{}"])("%s is no kit file", (text) => {
    const [, assembly] = filesOf(smallKit());
    if (!assembly) throw new Error("the small kit has two files");
    const problems = problemsOf(() => loadKit([{ path: KIT_PATH, text }, assembly]));
    expect(problems.length).toBeGreaterThan(0);
    expect(problems.every((problem) => problem.where.file === KIT_PATH)).toBe(true);
  });

  it("nesting without end is refused like any other wrong value", () => {
    const [kit, assembly] = filesOf(smallKit());
    if (!kit || !assembly) throw new Error("the small kit has two files");
    const deep = "[".repeat(50_000) + "]".repeat(50_000);
    const text = kit.text.replace('"prepGates":[', `"prepGates":[${deep},`);
    expect(codesOf([{ ...kit, text }, assembly])).toEqual([`VALUE_WRONG ${KIT_PATH}`]);
  });

  it("more holes than any light aircraft has are refused before they are made", () => {
    const small = smallKit();
    const line = row(small, 0);
    line.except = [];
    if (!("count" in line.holes)) throw new Error("the small kit's first row is a line");
    line.holes.count = 2000;
    small.assembly.rows = Array.from({ length: 101 }, (_, i) => ({ ...line, row: `r${i}` }));
    expect(codesOf(filesOf(small))).toEqual([`TOO_MANY_HOLES ${KIT_PATH}`]);
  });
});

describe("problems of one pass", () => {
  it("are told all at once, those of both files", () => {
    const small = smallKit();
    small.kit.dated = "2024-02-30";
    row(small, 0).rivet = "PR-99-9";
    row(small, 1).normal = [0, 0, 0];
    part(small, LAP).thickness = 0;

    const problems = problemsOf(() => loadKit(filesOf(small)));

    expect(problems.map((problem) => problem.code).sort()).toEqual([
      "DATE_WRONG",
      "DIRECTION_ZERO",
      "SIZE_NOT_POSITIVE",
      "UNKNOWN_RIVET",
    ]);
  });

  it("tell a fault that many holes of a row share once, with the first of them", () => {
    const small = smallKit();
    sheet(small, RIB, 0).outline = sheet(small, RIB, 0).outline.map(([x, y, z]) => [Math.min(x, 110), y, z]);

    const problems = problemsOf(() => loadKit(filesOf(small)));

    expect(problems).toHaveLength(1);
    expect(problems[0]?.message).toMatch(/^SKIN\.a\.6 \(and 3 more holes of the row\): /);
  });

  it("are cut off at fifty, and the last says how many more there are", () => {
    const small = smallKit();
    small.assembly.closings = Array.from({ length: 80 }, (_, i) => `GHOST-${i}`);

    const problems = problemsOf(() => loadKit(filesOf(small)));

    expect(problems).toHaveLength(50);
    expect(problems[49]).toMatchObject({ code: "MORE_PROBLEMS", message: "31 more problems are not shown." });
  });

  it("are Problems throughout, so that a terminal can print file, pointer and fix", () => {
    const small = smallKit();
    row(small, 0).rivet = "PR-99-9";
    const [problem] = problemsOf(() => loadKit(filesOf(small)));
    expect(problem).toBeInstanceOf(Problem);
    expect(String(problem)).toBe(
      `UNKNOWN_RIVET ${ASSEMBLY_PATH}#/rows/0/rivet: There is no rivet "PR-99-9". Fix: Use one of PF-40-8, PR-32-8, SR-32-8, or add the rivet.`,
    );
  });
});
