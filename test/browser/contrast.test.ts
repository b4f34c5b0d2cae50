import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const css = readFileSync(new URL("../../web/style.css", import.meta.url), "utf8");

/** The colours of the page, by name, as a `:root` block gives them. */
function coloursIn(block: string): Readonly<Record<string, string>> {
  return Object.fromEntries(
    [...block.matchAll(/--([a-z-]+): (#[0-9a-f]{6});/g)].map((one) => one.slice(1, 3)),
  );
}

const [day = ""] = /^:root \{[^}]*\}/m.exec(css) ?? [];
const [, night = ""] = /prefers-color-scheme: dark\) \{\s*:root \{([^}]*)\}/.exec(css) ?? [];
const SCHEMES = [
  ["by day", coloursIn(day)],
  ["in the dark", { ...coloursIn(day), ...coloursIn(night) }],
] as const;

/** @source WCAG 2.2, "relative luminance" */
function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5]
    .map((at) => Number.parseInt(colour.slice(at, at + 2), 16) / 255)
    .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** @source WCAG 2.2, "contrast ratio" */
function contrast(a: string, b: string): number {
  const [low = 0, high = 0] = [luminance(a), luminance(b)].sort((one, other) => one - other);
  return (high + 0.05) / (low + 0.05);
}

const GROUNDS = ["paper", "sheet"] as const;
const ON_ANY_GROUND = ["ink", "pencil", "blue", "green", "rust"] as const;
const TEXT: readonly (readonly [text: string, ground: string])[] = [
  ...GROUNDS.flatMap((ground) => ON_ANY_GROUND.map((text) => [text, ground] as const)),
  ["on-blue", "blue"],
  ["ink", "blue-wash"],
  ["blue", "blue-wash"],
  ["ink", "rust-wash"],
  ["rust", "rust-wash"],
  ["pencil", "metal"],
];

describe("black on white", () => {
  it("has the greatest contrast there is, 21 to 1, and a colour none with itself", () => {
    expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 5);
    expect(contrast("#14507a", "#14507a")).toBe(1);
  });
});

describe.each(SCHEMES)("%s", (_, colours) => {
  const of = (name: string): string => {
    const colour = colours[name];
    if (!colour) throw new Error(`style.css has no --${name}.`);
    return colour;
  };

  /** @source WCAG 2.2, success criterion 1.4.3 (AA) */
  it.each(TEXT)("%s on %s can be read: at least 4.5 to 1", (text, ground) => {
    expect(contrast(of(text), of(ground))).toBeGreaterThanOrEqual(4.5);
  });

  /** @source WCAG 2.2, success criteria 1.4.11 (edges of controls) and 2.4.13 (the ring around what has the keyboard) */
  it.each(GROUNDS.flatMap((ground) => ["edge", "blue"].map((line) => [line, ground] as const)))(
    "%s as a line on %s can be seen: at least 3 to 1",
    (line, ground) => {
      expect(contrast(of(line), of(ground))).toBeGreaterThanOrEqual(3);
    },
  );
});
