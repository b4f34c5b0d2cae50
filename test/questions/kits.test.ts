import { expect, test } from "vitest";
import { check } from "../../server/check.js";
import { shelfOf } from "./phrasings.js";

const KITS = "test/questions/kits";

test("the flap that is there only to be asked about has nothing wrong with it, nor have its rules", async () => {
  const { problems, warnings } = await check([`${KITS}/marram-four`, `${KITS}/rules/marram-four.json`]);
  expect({ problems, warnings }).toEqual({ problems: [], warnings: [] });
});

test("questions can be asked of a kit that is not among the demo kits, and of no kit that there is not", () => {
  const { kit, assembly } = shelfOf("marram-four", "flap");
  expect(kit.name).toBe("Marram Four");
  expect(assembly.families.map(({ members }) => members.length)).toEqual([5, 5]);
  expect(assembly.milestones).toHaveLength(2);
  expect(() => shelfOf("marram-five", "flap")).toThrow("no kit marram-five");
});
