import type { MapView } from "../server/kit/map.js";
import type { Point } from "../server/kit/polygon.js";
import type { Bench, OnBench, RuleSeen } from "./bench.js";
import { button, h, svg } from "./dom.js";
import { type HoleLook, holeSymbol, lookOf, ruleSymbol } from "./hole-symbol.js";
import { legend } from "./legend.js";
import { stateOf } from "./marks.js";
import { isUpright, partLabels } from "./part-labels.js";
import { scaleBar } from "./scale-bar.js";
import { Tabs } from "./tabs.js";

import { counted, sayLook } from "./words.js";
import { type Box, Zoom } from "./zoom.js";

/** Above this many holes the order numbers would only be clutter. */
const MOST_NUMBERED = 99;
/** Radius of a symbol that can still be read, and one that is easy to hit, px. */
const READABLE_PX = 4.5;
const COMFORTABLE_PX = 9;

interface Spot {
  readonly id: string;
  readonly row: string;
  readonly x: number;
  readonly y: number;
  /** Its row runs up and down the paper rather than across. */
  readonly upright: boolean;
  readonly element: SVGGElement;
  /** What it was last painted as. */
  painted: string;
}

/** All that the drawing of one hole depends on. */
interface Shown extends HoleLook {
  readonly label: string;
  readonly isSelected: boolean;
  /** Place in the answer, from 1. */
  readonly order: number | undefined;
  /** The same, when it is written beside the hole. */
  readonly numbered: number | undefined;
  readonly rule: RuleMark | null;
}

/** What the rule that is being written or reviewed is to one hole. */
interface RuleMark {
  readonly holds: "yes" | "open" | "no";
  readonly changes: boolean;
  readonly wrong: boolean;
  readonly words: string;
}

function ruleMark(seen: RuleSeen | null, hole: string): RuleMark | null {
  if (!seen) return null;
  const changes = seen.changes.get(hole) ?? [];
  const holds = seen.holds.has(hole) ? "yes" : seen.open.has(hole) ? "open" : "no";
  if (holds === "no" && changes.length === 0) return null;
  const said = { yes: "the rule holds here", open: "the rule may hold here", no: "" }[holds];
  const wrong = seen.wrong.has(hole);
  return {
    holds,
    changes: changes.length > 0,
    wrong,
    words: [said, changes.length > 0 && `with the rule: ${[...new Set(changes)].join("; ")}`]
      .filter(Boolean)
      .join("; "),
  };
}

/** The holes of one assembly on paper, one view at a time. Shows what is ruled and marked; rules nothing. */
export class HoleMap {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #viewChosen: (view: string) => void;
  readonly #tabs: Tabs;
  readonly #paper: SVGSVGElement;
  readonly #zoom: Zoom;
  readonly #readout: HTMLElement;
  readonly #rule = h("p", { class: "map-rule" });
  #view: MapView | null = null;
  #spots = new Map<string, Spot>();
  /** Symbol radius in the drawing, mm. */
  #radius = 5;

  constructor(bench: Bench, viewChosen: (view: string) => void) {
    this.#bench = bench;
    this.#viewChosen = viewChosen;
    this.#paper = svg("svg", {
      class: "paper",
      role: "listbox",
      "aria-multiselectable": "true",
      "aria-label": "Hole map",
      click: (event: MouseEvent) => this.#pick(event.target, event.shiftKey),
      keydown: (event: KeyboardEvent) => this.#key(event),
      pointerover: (event: PointerEvent) => this.#read(event.target),
      focusin: (event: FocusEvent) => this.#focused(event.target),
    });
    const frame = h("div", { class: "map-frame", id: "map-frame", role: "tabpanel" });
    frame.append(this.#paper);
    this.#zoom = new Zoom(frame, this.#paper, () => this.#resized());
    this.#tabs = new Tabs("Views", frame, (id) => this.#viewChosen(id));
    this.#readout = h("p", { class: "readout", "aria-hidden": "true" });
    this.element = h(
      "section",
      { class: "map", "aria-label": "Hole map" },
      h("div", { class: "map-head" }, this.#tabs.element, this.#controls()),
      this.#rule,
      frame,
      this.#readout,
      legend(),
    );
    bench.on.watch((on) => on && this.#paint(on));
    bench.selected.watch(() => bench.on.value && this.#paint(bench.on.value));
    bench.asked.watch(() => bench.on.value && this.#paint(bench.on.value));
    bench.ruleSeen.watch(() => bench.on.value && this.#paint(bench.on.value));
    bench.part.watch((part) => this.#outline(part));
  }

  /** Draws a view of the assembly on the bench; an unknown one falls back to the first. @returns its id */
  show(wanted: string | null): string | null {
    const on = this.#bench.on.value;
    if (!on) return null;
    const { views } = on.assembly.map;
    const view = views.find(({ id }) => id === wanted) ?? views[0] ?? null;
    if (view && view !== this.#view) this.#draw(view, on);
    return view?.id ?? null;
  }

  /** The view that shows most of these holes: the present one if it shows as many as any. */
  bestView(holes: readonly string[]): string | null {
    const wanted = new Set(holes);
    const shown = (view: MapView): number => view.holes.filter(({ id }) => wanted.has(id)).length;
    const views = this.#bench.on.value?.assembly.map.views ?? [];
    let best = views.find((view) => view === this.#view) ?? views[0];
    for (const view of views) if (best && shown(view) > shown(best)) best = view;
    return best?.id ?? null;
  }

  /** Brings the holes into sight, as far as the present view shows them. */
  reveal(holes: readonly string[]): void {
    const spots = holes.flatMap((hole) => this.#spots.get(hole) ?? []);
    if (spots.length === 0) return;
    this.#zoom.reveal({
      box: boxAround(spots, this.#radius * 8),
      enough: READABLE_PX / this.#radius,
      comfortable: COMFORTABLE_PX / this.#radius,
    });
  }

  #controls(): HTMLElement {
    const pan = (label: string, arrow: string, right: number, down: number): HTMLButtonElement =>
      button(arrow, () => this.#zoom.pan(right, down), {
        class: "map-pan",
        "aria-label": label,
        title: label,
      });
    return h(
      "div",
      { class: "map-controls", role: "group", "aria-label": "Zoom and move the map" },
      pan("Move the view left", "←", -1, 0),
      pan("Move the view right", "→", 1, 0),
      pan("Move the view up", "↑", 0, -1),
      pan("Move the view down", "↓", 0, 1),
      button("−", () => this.#zoom.by(1 / 1.6), { "aria-label": "Zoom out", title: "Zoom out" }),
      button("+", () => this.#zoom.by(1.6), { "aria-label": "Zoom in", title: "Zoom in" }),
      button("Fit", () => this.#zoom.fit(), { "aria-label": "Show the whole view" }),
    );
  }

  #draw(view: MapView, on: OnBench): void {
    this.#view = view;
    const spacing = usualSpacing(view.holes.map(({ at }) => at));
    this.#radius = spacing * 0.28;
    const points = [...view.outlines.flatMap(({ points }) => points), ...view.holes.map(({ at }) => at)];
    const box = boxAround(
      points.map(([x, y]) => ({ x, y: -y })),
      this.#radius * 7,
    );
    const scale = scaleBar(box, this.#radius, on.assembly.kit.units);
    this.#paper.setAttribute("viewBox", `${box.x} ${box.y} ${box.width} ${box.height}`);
    this.#paper.setAttribute("aria-label", `Hole map, ${view.name}`);
    this.#spots = new Map();
    const places = new Map(view.holes.map(({ id, at }) => [id, at]));
    const rows = on.assembly.rows
      .map(({ id, part, numbered, holes }) => ({
        id,
        part,
        numbered,
        spots: holes.flatMap((hole) => {
          const at = places.get(hole);
          return at ? [{ hole, at }] : [];
        }),
      }))
      .filter(({ spots }) => spots.length > 0);
    this.#paper.replaceChildren(
      grid(box),
      svg(
        "g",
        { class: "outlines", "aria-hidden": "true" },
        ...view.outlines.map(({ part, points }) =>
          svg("polygon", {
            class: "outline",
            "data-part": part,
            points: points.map(([x, y]) => `${x},${-y}`).join(" "),
          }),
        ),
      ),
      scale.drawing,
      partLabels(
        view,
        rows.map(({ part, spots }) => ({ part, holes: spots.map(({ at }) => at) })),
        on.names,
        spacing,
        box,
        [scale.place],
      ),
      ...rows.map(({ id, numbered, spots }) => {
        const upright = isUpright(spots.map(({ at }) => at));
        const said = `${on.names.row(id)}, ${counted(spots.length, "hole")}, numbered ${numbered}`;
        const holes = spots.map(({ hole, at }) => this.#spot(hole, id, at, upright, spacing));
        return svg("g", { role: "group", "aria-label": said }, ...holes);
      }),
    );
    this.#zoom.draw(box);
    this.#outline(this.#bench.part.value);
    this.#paint(on);
    this.#spots.values().next().value?.element.setAttribute("tabindex", "0");
    this.#readout.textContent =
      "Tap a hole to choose it; choose several to mark or to ask about them together. Tap a part to ask about it; by keyboard, point at it from the list of parts.";
  }

  #spot(id: string, row: string, [x, y]: Point, upright: boolean, spacing: number): SVGGElement {
    const element = svg(
      "g",
      { class: "hole", role: "option", tabindex: -1, "data-hole": id, transform: `translate(${x} ${-y})` },
      svg("circle", { class: "hole-target", r: spacing / 2 }),
    );
    this.#spots.set(id, { id, row, x, y: -y, upright, element, painted: "" });
    return element;
  }

  /** Brings every symbol up to date; elements stay, so the keyboard keeps its place. */
  #paint({ rulings, work, names, assembly }: OnBench): void {
    if (!this.#view) return;
    const selected = new Set(this.#bench.selected.value);
    const asked = new Map(this.#bench.asked.value.map((hole, index) => [hole, index + 1]));
    const seen = this.#bench.ruleSeen.value;
    this.#rule.textContent = seen
      ? `Squares: “${seen.title}” holds at ${counted(seen.holds.size, "hole")}; ${counted(seen.changes.size, "hole")} would change.`
      : "";
    for (const spot of this.#spots.values()) {
      const { id } = spot;
      const ruling = rulings.get(id);
      const state = stateOf(work, id);
      const order = asked.get(id);
      const rule = ruleMark(seen, id);
      const label = `${names.hole(id)}: ${sayLook(ruling, state, names)}${order ? `; ${order} in the answer` : ""}${rule ? `; ${rule.words}` : ""}`;
      const numbered = asked.size <= MOST_NUMBERED ? order : undefined;
      const look: Shown = {
        ...lookOf(ruling, state),
        label,
        isSelected: selected.has(id),
        order,
        numbered,
        rule,
      };
      const key = JSON.stringify(look);
      if (spot.painted !== key) this.#paintSpot(spot, look);
      spot.painted = key;
    }
    this.#tabs.show(
      assembly.map.views.map((view) => {
        const isMeant = (id: string): boolean => (seen ? ruleMark(seen, id) !== null : asked.has(id));
        const count = view.holes.filter(({ id }) => isMeant(id)).length;
        return { id: view.id, name: view.name, note: count > 0 ? `(${count})` : "" };
      }),
      this.#view.id,
    );
  }

  #paintSpot(spot: Spot, look: Shown): void {
    const { element } = spot;
    const { label, order, numbered, isSelected, rule } = look;
    const target = element.firstElementChild;
    element.replaceChildren(
      ...(target ? [target] : []),
      ...(order ? [svg("circle", { class: "hole-asked", r: this.#radius * 1.75 })] : []),
      ...(rule ? [ruleSymbol(rule, this.#radius)] : []),
      holeSymbol(look, this.#radius),
      ...(numbered ? [this.#orderNumber(numbered, spot)] : []),
      ...(isSelected ? [this.#brackets()] : []),
      svg("circle", { class: "hole-focus", r: this.#radius * 2.1 }),
    );
    element.classList.toggle("is-selected", isSelected);
    element.classList.toggle("is-asked", order !== undefined);
    element.setAttribute("aria-selected", String(isSelected));
    element.setAttribute("aria-label", label);
  }

  /** Beside an upright row or below a level one; on another side where that keeps clear of other holes. */
  #orderNumber(order: number, { id, x, y, upright }: Spot): SVGElement {
    const away = this.#radius * 3;
    const [left, right, below, above] = [
      [-away, 0],
      [away, 0],
      [0, away],
      [0, -away],
    ] as const;
    const sides = upright ? [left, right, below, above] : [below, above, left, right];
    const room = ([dx, dy]: readonly [number, number]): number => {
      let least = Number.POSITIVE_INFINITY;
      for (const other of this.#spots.values())
        if (other.id !== id) least = Math.min(least, Math.hypot(other.x - x - dx, other.y - y - dy));
      return least;
    };
    const clear = sides.find((side) => room(side) > this.#radius * 2.2);
    const [dx, dy] = clear ?? sides.reduce((best, side) => (room(side) > room(best) ? side : best));
    return svg("text", { class: "hole-order", x: dx, y: dy, "font-size": this.#radius * 1.7 }, String(order));
  }

  #brackets(): SVGElement {
    const d = "M-1-.5v-.5h.5M.5-1h.5v.5M1 .5v.5h-.5M-.5 1h-.5v-.5";
    return svg("path", { class: "hole-selected", d, transform: `scale(${this.#radius * 1.9})` });
  }

  #pick(target: EventTarget | null, range: boolean): void {
    const spot = this.#spotOf(target);
    if (!spot) {
      const part = target instanceof SVGElement ? target.dataset.part : undefined;
      if (part !== undefined) this.#bench.point(part);
      return;
    }
    const last = this.#spots.get(this.#bench.selected.value.at(-1) ?? "");
    if (range && last && last.row === spot.row) {
      const row = [...this.#spots.values()].filter((one) => one.row === spot.row).map(({ id }) => id);
      const [from, to] = [row.indexOf(last.id), row.indexOf(spot.id)].sort((a, b) => a - b);
      this.#bench.select([...this.#bench.selected.value, ...row.slice(from, (to ?? 0) + 1)]);
    } else this.#bench.toggle(spot.id);
    this.#goTo(spot);
  }

  #key(event: KeyboardEvent): void {
    const spot = this.#spotOf(event.target);
    if (!spot || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Enter" || event.key === " ") this.#pick(event.target, event.shiftKey);
    else if (event.key === "Escape") this.#bench.select([]);
    else {
      const next = this.#next(spot, event.key);
      if (next === null) return;
      this.#goTo(next);
    }
    event.preventDefault();
  }

  /** Where a key leads: along the row, or to the nearest hole that way; null = the key is not for the map. */
  #next(from: Spot, key: string): Spot | null {
    const row = [...this.#spots.values()].filter((spot) => spot.row === from.row);
    if (key === "Home") return row[0] ?? from;
    if (key === "End") return row.at(-1) ?? from;
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] }[key];
    if (!way) return null;
    const [wayX = 0, wayY = 0] = way;
    let best = from;
    let least = Number.POSITIVE_INFINITY;
    for (const spot of this.#spots.values()) {
      const along = (spot.x - from.x) * wayX + (spot.y - from.y) * wayY;
      const aside = Math.abs((spot.x - from.x) * wayY) + Math.abs((spot.y - from.y) * wayX);
      if (along <= 0.01 || aside > along * 1.5) continue;
      const cost = (along + aside * 2) * (spot.row === from.row ? 1 : 2);
      if (cost < least) [best, least] = [spot, cost];
    }
    return best;
  }

  #goTo(spot: Spot): void {
    for (const { element } of this.#spots.values()) {
      if (element.getAttribute("tabindex") === "0") element.setAttribute("tabindex", "-1");
    }
    spot.element.setAttribute("tabindex", "0");
    spot.element.focus();
  }

  #focused(target: EventTarget | null): void {
    const spot = this.#spotOf(target);
    if (!spot) return;
    this.#read(target);
    bringIn(spot);
  }

  #read(target: EventTarget | null): void {
    const spot = this.#spotOf(target);
    const part = target instanceof SVGElement ? target.dataset.part : undefined;
    if (spot) this.#readout.textContent = spot.element.getAttribute("aria-label");
    else if (part) this.#readout.textContent = this.#bench.on.value?.names.part(part) ?? part;
  }

  /** Marks the part that is pointed at. */
  #outline(part: string | null): void {
    for (const outline of this.#paper.querySelectorAll<SVGElement>(".outline"))
      outline.classList.toggle("is-pointed", part !== null && outline.dataset.part === part);
  }

  #spotOf(target: EventTarget | null): Spot | null {
    const element = target instanceof Element ? target.closest<SVGGElement>("[data-hole]") : null;
    return this.#spots.get(element?.dataset.hole ?? "") ?? null;
  }

  #resized(): void {
    this.element.classList.toggle("is-fitting", this.#zoom.fits && !this.#overflows());
    const focused = this.#spotOf(document.activeElement);
    if (focused) bringIn(focused);
  }

  #overflows(): boolean {
    const frame = this.#paper.parentElement;
    return frame !== null && frame.scrollHeight > frame.clientHeight + 1;
  }
}

function bringIn({ element }: Spot): void {
  element.scrollIntoView({ block: "nearest", inline: "nearest" });
}

/** The box around points, with a margin (mm). */
function boxAround(points: readonly { readonly x: number; readonly y: number }[], margin: number): Box {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { x, y } of points) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  }
  if (left > right) return { x: 0, y: 0, width: 100, height: 100 };
  return {
    x: left - margin,
    y: top - margin,
    width: right - left + 2 * margin,
    height: bottom - top + 2 * margin,
  };
}

/** Distance to the next hole that nine in ten holes keep, mm: what a symbol may take without touching others. */
function usualSpacing(points: readonly Point[]): number {
  const nearest = points.map(([x, y], at) => {
    let least = Number.POSITIVE_INFINITY;
    points.forEach(([otherX, otherY], other) => {
      const distance = Math.hypot(x - otherX, y - otherY);
      if (other !== at && distance > 0.5 && distance < least) least = distance;
    });
    return least;
  });
  const sorted = nearest.filter(Number.isFinite).sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 10)] ?? 20;
}

/** Squared paper, 10 mm and 50 mm. */
function grid(box: Box): SVGGElement {
  const lines = (id: string, every: number): SVGElement =>
    svg(
      "pattern",
      { id, width: every, height: every, patternUnits: "userSpaceOnUse" },
      svg("path", { d: `M0 0H${every}M0 0V${every}`, class: id }),
    );
  return svg(
    "g",
    { "aria-hidden": "true" },
    svg("defs", {}, lines("grid-fine", 10), lines("grid-coarse", 50)),
    svg("rect", { ...box, fill: "url(#grid-fine)" }),
    svg("rect", { ...box, fill: "url(#grid-coarse)" }),
  );
}
