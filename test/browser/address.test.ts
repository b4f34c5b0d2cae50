import fc from "fast-check";
import { expect, test } from "vitest";
import { NOTHING_YET, PANES, readSight, type Sight, writeSight } from "../../web/address.js";

const text = fc.string({ minLength: 1, maxLength: 40 });
const slotName = fc.stringMatching(/^[a-z][A-Za-z]{0,10}$/);
const slots = fc.dictionary(slotName, fc.oneof(text, fc.array(text, { minLength: 1, maxLength: 4 })), {
  noNullPrototype: true,
});
const sights: fc.Arbitrary<Sight> = fc
  .record({
    kit: fc.option(text),
    assembly: fc.option(text),
    view: fc.option(text),
    pane: fc.constantFrom(...PANES),
    ask: fc.option(text),
    form: fc.option(text),
    slots,
    trying: fc.option(text),
    rule: fc.option(text),
  })
  .map((sight) => (sight.form === null ? { ...sight, slots: {} } : sight));

test("an address that is sent to a colleague is read as the same sight", () => {
  fc.assert(
    fc.property(sights, (sight) => {
      expect(readSight(`#${writeSight(sight)}`)).toEqual(sight);
    }),
  );
});

test("an address that was never written by the page still reads as some sight", () => {
  fc.assert(
    fc.property(fc.string(), (hash) => {
      expect(PANES).toContain(readSight(hash).pane);
    }),
  );
  expect(readSight("")).toEqual(NOTHING_YET);
});
