import type { Plan, PlanStep } from "./plan-types.js";

/** What the picture says; the layout knows no words of its own. */
export interface PictureWords {
  readonly title: string;
  readonly subtitle: string;
  part(id: string): string;
  /** One run of rivets: "rib 4, top flange row: 8 rivets". */
  rivets(step: Extract<PlanStep, { kind: "rivets" }>): string;
  turnOver(step: Extract<PlanStep, { kind: "turn-over" }>): string;
  readonly layer: (number: number) => string;
  readonly getReady: string;
  readonly putOn: string;
  readonly takeOff: string;
  readonly closes: string;
  readonly anyTime: string;
  /** Over rivets that a part would wall in, or that a rule wants before it. */
  before(part: string): string;
  /** How to read the picture, and what it leaves out; one line each. */
  readonly legend: readonly string[];
  readonly notes: readonly string[];
}

/** A box with text; `step` numbers are part of its lines. */
export interface PictureBox {
  readonly kind: "closing" | "list" | "rivets" | "turn-over";
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly heading: string | null;
  readonly lines: readonly string[];
  /** Numbers of the steps that it tells of, in the plan's order, from 1. */
  readonly steps: readonly number[];
  /** Part that closes, for a closing. */
  readonly part: string | null;
}

/** A line from rivets down to the closing that they come before. */
export interface PictureLine {
  readonly from: PictureBox;
  readonly to: PictureBox;
  /** Where it runs down, between the spine and the rivets. */
  readonly laneX: number;
}

/** The plan laid out on paper; lengths in CSS pixels. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly boxes: readonly PictureBox[];
  readonly lines: readonly PictureLine[];
  /** Text in the margin, with the top of its layer. */
  readonly layers: readonly { readonly y: number; readonly label: string }[];
  readonly footer: readonly { readonly y: number; readonly text: string }[];
}

const FONT_PX = 12;
const LINE_PX = 16;
const PAD_PX = 8;
const GAP_PX = 12;
const MARGIN_PX = 24;
const HEADER_PX = 64;
/** Width of a character on average: a little more than most fonts need. */
const CHARACTER_PX = 6.3;
const LANE_PX = 9;
const COLUMNS = {
  left: { x: 24, width: 280 },
  spine: { x: 330, width: 200 },
  right: { width: 380 },
} as const;

/**
 * The plan as a graph in layers: one layer for each generation, so that what stands side by side could be done
 * side by side; the parts that close something down the middle as its spine, other parts and their prep to the
 * left, rivets to the right with a line to the first closing that they come before. Same plan, same picture.
 * @param closings  part ids that count as closing something beside those that a step names
 */
export function layOut(plan: Plan, closings: readonly string[], words: PictureWords): Picture {
  const numbered = plan.steps.map((step, i) => ({ step, number: i + 1 }));
  const spine = new Set([...closings, ...plan.steps.flatMap(({ reasons }) => closersIn(reasons))]);
  const comesAt = new Map(
    numbered.flatMap(({ step, number }) => (step.kind === "part" ? [[step.part, number] as const] : [])),
  );
  const layers = groupBy(numbered, ({ step }) => step.generation).sort(([a], [b]) => a - b);

  const boxes: PictureBox[] = [];
  const marks: { y: number; label: string }[] = [];
  const wanted: { from: PictureBox; part: string }[] = [];
  const closingBoxes = new Map<string, PictureBox>();
  // Lanes are counted once all lines are known; until then the right column has no place.
  const rightX = 0;
  let y = MARGIN_PX + HEADER_PX;
  layers.forEach(([, steps], i) => {
    const place = { y, left: y, spine: y, right: y };
    const put = (box: Omit<PictureBox, "y" | "height">, column: "left" | "spine" | "right"): PictureBox => {
      const height = heightOf(box);
      const made = { ...box, y: place[column], height };
      place[column] += height + GAP_PX;
      boxes.push(made);
      return made;
    };
    const list = (heading: string, items: readonly Numbered[], say: (step: PlanStep) => string): void => {
      if (items.length === 0) return;
      const lines = items.flatMap(({ step, number }) => wrap(`${number}. ${say(step)}`, COLUMNS.left.width));
      put(
        {
          ...COLUMNS.left,
          kind: "list",
          heading,
          lines,
          steps: items.map(({ number }) => number),
          part: null,
        },
        "left",
      );
    };
    marks.push({ y, label: words.layer(i + 1) });
    const partOf = (step: PlanStep): string => words.part("part" in step ? step.part : "");
    const ofKind = (kind: PlanStep["kind"]): Numbered[] => steps.filter(({ step }) => step.kind === kind);
    list(words.takeOff, ofKind("take-off"), partOf);
    list(words.getReady, ofKind("prep"), partOf);
    const parts = ofKind("part");
    const isClosing = ({ step }: Numbered): boolean => step.kind === "part" && spine.has(step.part);
    list(
      words.putOn,
      parts.filter((one) => !isClosing(one)),
      partOf,
    );
    for (const { step, number } of parts.filter(isClosing)) {
      const part = "part" in step ? step.part : "";
      const lines = wrap(`${number}. ${words.part(part)}`, COLUMNS.spine.width);
      const box = put(
        { ...COLUMNS.spine, kind: "closing", heading: words.closes, lines, steps: [number], part },
        "spine",
      );
      closingBoxes.set(part, box);
    }
    for (const { step, number } of ofKind("turn-over")) {
      if (step.kind !== "turn-over") continue;
      const lines = wrap(`${number}. ${words.turnOver(step)}`, COLUMNS.spine.width);
      put(
        { ...COLUMNS.spine, kind: "turn-over", heading: null, lines, steps: [number], part: null },
        "spine",
      );
    }
    const targets = groupBy(ofKind("rivets"), ({ step, number }) => firstCloser(step, number, comesAt));
    for (const [part, runs] of targets.sort(([a], [b]) => orderOf(a, comesAt) - orderOf(b, comesAt))) {
      const lines = runs.flatMap(({ step, number }) =>
        step.kind === "rivets" ? wrap(`${number}. ${words.rivets(step)}`, COLUMNS.right.width) : [],
      );
      const heading = part === null ? words.anyTime : words.before(part);
      const from = put(
        {
          ...COLUMNS.right,
          x: rightX,
          kind: "rivets",
          heading,
          lines,
          steps: runs.map(({ number }) => number),
          part: null,
        },
        "right",
      );
      if (part !== null) wanted.push({ from, part });
    }
    y = Math.max(place.left, place.spine, place.right) + GAP_PX;
  });

  const lanes = lanesFor(
    wanted.flatMap(({ from, part }) => {
      const to = closingBoxes.get(part);
      return to ? [{ from, to }] : [];
    }),
  );
  const laneCount = Math.max(0, ...lanes.map(({ lane }) => lane + 1));
  const spineEnd = COLUMNS.spine.x + COLUMNS.spine.width;
  const x = spineEnd + GAP_PX + laneCount * LANE_PX + GAP_PX;
  const moved = new Map(boxes.map((box) => [box, box.kind === "rivets" ? { ...box, x } : box]));
  const width = x + COLUMNS.right.width + MARGIN_PX;
  const footer = [...words.legend, ...words.notes]
    .flatMap((text) => wrap(text, width - 2 * MARGIN_PX))
    .map((text, i) => ({ y: y + (i + 1) * LINE_PX, text }));
  return {
    width,
    height: y + (footer.length + 1) * LINE_PX + MARGIN_PX,
    boxes: boxes.map((box) => moved.get(box) ?? box),
    lines: lanes.map(({ from, to, lane }) => ({
      from: moved.get(from) ?? from,
      to: moved.get(to) ?? to,
      laneX: spineEnd + GAP_PX + (lane + 0.5) * LANE_PX,
    })),
    layers: marks,
    footer,
  };
}

interface Numbered {
  readonly step: PlanStep;
  readonly number: number;
}

/** Parts that a step comes before, by its reasons. */
function closersIn(reasons: PlanStep["reasons"]): string[] {
  return reasons.flatMap((reason) =>
    reason.code === "walled-in-by" || (reason.code === "rule" && reason.relation === "before")
      ? [reason.part]
      : [],
  );
}

/** The first part to come on later that a step comes before; null when it comes before none. */
function firstCloser(
  { reasons }: PlanStep,
  number: number,
  comesAt: ReadonlyMap<string, number>,
): string | null {
  const later = closersIn(reasons).filter((part) => (comesAt.get(part) ?? 0) > number);
  return later.sort((a, b) => orderOf(a, comesAt) - orderOf(b, comesAt))[0] ?? null;
}

function orderOf(part: string | null, comesAt: ReadonlyMap<string, number>): number {
  return part === null ? Number.POSITIVE_INFINITY : (comesAt.get(part) ?? Number.POSITIVE_INFINITY);
}

function heightOf({ heading, lines }: Pick<PictureBox, "heading" | "lines">): number {
  return 2 * PAD_PX + (lines.length + (heading === null ? 0 : 1)) * LINE_PX;
}

/** Gives each line a lane of its own as far down as it runs; lanes that are free again are used again. */
function lanesFor(
  lines: readonly { readonly from: PictureBox; readonly to: PictureBox }[],
): readonly { readonly from: PictureBox; readonly to: PictureBox; readonly lane: number }[] {
  const freeFrom: number[] = [];
  return [...lines]
    .sort((a, b) => a.from.y - b.from.y || b.to.y - a.to.y)
    .map(({ from, to }) => {
      const found = freeFrom.findIndex((y) => y <= from.y);
      const lane = found === -1 ? freeFrom.length : found;
      freeFrom[lane] = to.y + to.height + GAP_PX;
      return { from, to, lane };
    });
}

/** Breaks a text into lines that fit into a box so wide; a word that is longer has a line of its own. */
function wrap(text: string, widthPx: number): string[] {
  const most = Math.floor((widthPx - 2 * PAD_PX) / CHARACTER_PX);
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/)) {
    if (line !== "" && line.length + 1 + word.length > most) {
      lines.push(line);
      line = `   ${word}`;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  return [...lines, line];
}

function groupBy<T, K>(items: readonly T[], keyOf: (item: T) => K): [K, T[]][] {
  const groups = new Map<K, T[]>();
  for (const item of items) {
    const key = keyOf(item);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups];
}

const INK = "#1c211f";
const FAINT = "#5a5f57";
const PAPER = "#ffffff";

/** The picture as an SVG document on white paper, readable in print: shape and text tell, no colour does. */
export function svgOf(picture: Picture, words: Pick<PictureWords, "title" | "subtitle">): string {
  const { width, height, boxes, lines, layers, footer } = picture;
  const spineX = COLUMNS.spine.x + COLUMNS.spine.width / 2;
  const spine = boxes.filter(({ kind }) => kind === "closing" || kind === "turn-over");
  const spineLine = spine.length < 2 ? [] : [linkDown(spineX, spine)];
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${round(width)} ${round(height)}" width="${round(width)}" height="${round(height)}" role="img" aria-labelledby="title about" font-family="system-ui, sans-serif" font-size="${FONT_PX}" fill="${INK}">`,
    `<title id="title">${escaped(words.title)}</title>`,
    `<desc id="about">${escaped(words.subtitle)}</desc>`,
    `<defs><marker id="tip" viewBox="0 0 8 8" refX="8" refY="4" markerWidth="8" markerHeight="8" orient="auto"><path d="M0 0L8 4L0 8z"/></marker></defs>`,
    `<rect width="100%" height="100%" fill="${PAPER}"/>`,
    text(MARGIN_PX, MARGIN_PX + 18, words.title, { size: 20, weight: "bold" }),
    text(MARGIN_PX, MARGIN_PX + 40, words.subtitle, { fill: FAINT }),
    ...layers.flatMap(({ y, label }) => [
      `<path d="M${MARGIN_PX} ${round(y - 8)}H${round(width - MARGIN_PX)}" stroke="${FAINT}" stroke-width="0.5" stroke-dasharray="1 4"/>`,
      text(width - MARGIN_PX, y - 11, label, { fill: FAINT, size: 10, anchor: "end" }),
    ]),
    ...spineLine,
    ...lines.map(lineOf),
    ...boxes.map(boxOf),
    ...footer.map((one) => text(MARGIN_PX, one.y, one.text, {})),
    "</svg>",
    "",
  ].join("\n");
}

/** The spine: a thick line from each closing to the next. */
function linkDown(x: number, boxes: readonly PictureBox[]): string {
  const ordered = [...boxes].sort((a, b) => a.y - b.y);
  const pieces = ordered
    .slice(1)
    .map((box, i) => `M${x} ${round((ordered[i]?.y ?? 0) + (ordered[i]?.height ?? 0))}V${round(box.y)}`);
  return `<path d="${pieces.join("")}" stroke="${INK}" stroke-width="4" fill="none"/>`;
}

/** From the rivets' left edge into its lane, down, and into the closing from the right. */
function lineOf({ from, to, laneX }: PictureLine): string {
  const [startY, endY] = [from.y + from.height / 2, to.y + to.height / 2];
  const path = `M${round(from.x)} ${round(startY)}H${round(laneX)}V${round(endY)}H${round(to.x + to.width)}`;
  return `<path d="${path}" stroke="${INK}" fill="none" marker-end="url(#tip)"/>`;
}

function boxOf(box: PictureBox): string {
  const { kind, x, y, width, height, heading, lines } = box;
  const frame = (inset: number, more: string): string =>
    `<rect x="${round(x + inset)}" y="${round(y + inset)}" width="${round(width - 2 * inset)}" height="${round(height - 2 * inset)}" fill="${PAPER}" stroke="${INK}" ${more}/>`;
  const frames: Readonly<Record<PictureBox["kind"], readonly string[]>> = {
    closing: [frame(0, 'stroke-width="2"'), frame(4, 'stroke-width="1"')],
    "turn-over": [frame(0, 'stroke-width="1.5" stroke-dasharray="6 3" rx="12"')],
    list: [frame(0, 'stroke-width="0.75" stroke-dasharray="2 2"')],
    rivets: [frame(0, 'stroke-width="1" rx="4"')],
  };
  const left = x + PAD_PX;
  const top = y + PAD_PX + FONT_PX;
  const start = heading === null ? top : top + LINE_PX;
  return [
    "<g>",
    ...frames[kind],
    ...(heading === null ? [] : [text(left, top, heading, { fill: FAINT, size: 10 })]),
    ...lines.map((line, i) =>
      text(left + (line.startsWith(" ") ? 14 : 0), start + i * LINE_PX, line.trim(), {
        weight: kind === "closing" ? "bold" : undefined,
      }),
    ),
    "</g>",
  ].join("");
}

function text(
  x: number,
  y: number,
  content: string,
  {
    size,
    weight,
    fill,
    anchor,
  }: { size?: number; weight?: string | undefined; fill?: string; anchor?: string },
): string {
  const attributes = [
    size === undefined ? "" : ` font-size="${size}"`,
    weight === undefined ? "" : ` font-weight="${weight}"`,
    fill === undefined ? "" : ` fill="${fill}"`,
    anchor === undefined ? "" : ` text-anchor="${anchor}"`,
  ].join("");
  return `<text x="${round(x)}" y="${round(y)}"${attributes}>${escaped(content)}</text>`;
}

/** Text as it may stand in XML 1.0: marked-up signs escaped, signs that it doesn't know left out. */
function escaped(text: string): string {
  return text
    .replace(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, "")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}
