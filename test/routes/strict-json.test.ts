import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Problem } from "../../server/problem.js";
import { strictJson } from "../../server/routes/strict-json.js";

const read = (text: string): unknown => strictJson(Buffer.from(text, "utf8"));

/** Code and pointer of the refusal. */
function refusal(bytes: string | Uint8Array): string {
  try {
    strictJson(Buffer.from(bytes as string));
  } catch (error) {
    if (error instanceof Problem) return `${error.code} ${error.where.pointer ?? "nowhere"}`;
    throw error;
  }
  return "accepted";
}

describe("a request body", () => {
  it("is read as the JSON value that it is, markup and all", () => {
    const value = {
      question: "<script>alert(1)</script> 'rib 3' ß 🔩\n\tand rib 4?",
      n: 1e-3,
      list: [[], {}],
    };
    expect(read(JSON.stringify(value))).toEqual(value);
    expect(read(' "only a text, with } and ] and , and \\" in it" ')).toBe(
      'only a text, with } and ] and , and " in it',
    );
  });

  it.each([
    ["nothing at all", "", "JSON_MALFORMED "],
    ["blanks only", "  \n", "JSON_MALFORMED "],
    ["half of it missing", '{"kit":"a', "JSON_MALFORMED "],
    ["two values", "{} {}", "JSON_MALFORMED "],
    ["a comment", "{} // done", "JSON_MALFORMED "],
    ["not a JSON word", "NaN", "JSON_MALFORMED "],
    ["a byte order mark and rubbish", "\ufeff{", "JSON_MALFORMED "],
    ["a raw line end in a text", '"a\nb"', "JSON_MALFORMED "],
    ["the same key twice", '{"a":[0,{"b":1,"b":2}]}', "KEY_REFUSED /a/1/b"],
    ["the same key twice, once in escapes", '{"ab":1,"\\u0061b":2}', "KEY_REFUSED /ab"],
    [
      "a key that reaches into prototypes",
      '{"marks":[{"__proto__":{"done":true}}]}',
      "KEY_REFUSED /marks/0/__proto__",
    ],
    ["the same in escapes", '{"__pr\\u006fto__":1}', "KEY_REFUSED /__proto__"],
    ["a constructor", '{"a":{"constructor":{"prototype":{}}}}', "KEY_REFUSED /a/constructor"],
    ["a key with a slash and a tilde twice", '{"a/~":1,"a/~":1}', "KEY_REFUSED /a~1~0"],
    ["a null character", '{"question":"rib\\u0000 3"}', "CONTROL_CHARACTER /question"],
    ["an escape sequence for a terminal", '["\\u001b[31m"]', "CONTROL_CHARACTER /0"],
    ["a turned reading direction", '["abc\\u202edef"]', "CONTROL_CHARACTER /0"],
    ["half of a surrogate pair", '["\\ud800"]', "CONTROL_CHARACTER /0"],
    ["a control character in a key", '{"a\\u0007":1}', "KEY_REFUSED /a\u0007"],
  ])("with %s is refused at its place", (_what, text, refused) => {
    expect(refusal(text)).toBe(refused);
  });

  it("that is not UTF-8 is refused", () => {
    expect(refusal(Uint8Array.of(0x22, 0xff, 0xfe, 0x22))).toBe("JSON_MALFORMED ");
  });

  it("may be nested 32 levels and no deeper, however deep it goes", () => {
    const nested = (levels: number): string => "[".repeat(levels) + "]".repeat(levels);
    expect(refusal(nested(32))).toBe("accepted");
    expect(refusal(nested(33))).toMatch(/^JSON_TOO_DEEP (\/0){32}$/);
    expect(refusal(nested(130_000))).toMatch(/^JSON_TOO_DEEP /);
    expect(refusal(`${'{"a":'.repeat(50_000)}1${"}".repeat(50_000)}`)).toMatch(/^JSON_TOO_DEEP (\/a){32}$/);
  });

  it("for any plain value: comes out as it went in", () => {
    const key = fc.string({ maxLength: 5 }).filter((name) => !/[^ -~]/.test(name) && name !== "__proto__");
    const value = fc.letrec((tie) => ({
      any: fc.oneof(
        { maxDepth: 4 },
        fc.constantFrom(null, true, false),
        fc.double({ noNaN: true, noDefaultInfinity: true }).map((n) => n + 0),
        fc.string(),
        fc.array(tie("any"), { maxLength: 4 }),
        fc.dictionary(key, tie("any"), { maxKeys: 4, noNullPrototype: true }),
      ),
    })).any;
    fc.assert(
      fc.property(value, (any) => {
        const text = JSON.stringify(any);
        expect(read(text)).toEqual(JSON.parse(text));
      }),
    );
  });

  it("for any bytes: is read or refused with a code, never anything else", () => {
    const pieces = fc.constantFrom(
      "{",
      "}",
      "[",
      "]",
      ",",
      ":",
      '"',
      '"a"',
      "\\",
      "1",
      "null",
      " ",
      "\\u0000",
      "é",
    );
    const bytes = fc.oneof(
      fc.uint8Array({ maxLength: 40 }),
      fc.array(pieces, { maxLength: 30 }).map((p) => Buffer.from(p.join(""))),
    );
    fc.assert(
      fc.property(bytes, (some) => {
        expect(refusal(some)).toMatch(/^(accepted|[A-Z_]+ )/);
      }),
      { numRuns: 500 },
    );
  });
});
