import type { Assembly, Body, Hole, Part, Vec } from "../../server/kit/types.js";
import { NO_WORK } from "../../server/kit/work.js";
import { beforeClosing, walledInNow } from "../../server/order/closing.js";
import { meets } from "../../server/reach/distance.js";
import { reachOf } from "../../server/reach/reach.js";
import { roomAt } from "../../server/reach/rooms.js";
import type { Reach } from "../../server/reach/types.js";
import { approach, assembly, box, hole, kit, part, room } from "../support/by-hand.js";
import { seeded } from "../support/random.js";

const BAYS = 800;
const HOLES_PER_BAY = 20;
/** Holes for which every body is looked at as well, to see that nothing is missed and what it would cost. */
const LOOKED_AT_WHOLE = 400;

const APPROACHES = [
  approach(
    "straight",
    [room("head", 5.5, 25), room("head", 18, 150, { fromMm: 25, what: "puller body" }), room("tail", 2.2, 9)],
    0.5,
  ),
  approach(
    "behind",
    [room("tail", 5.5, 18), room("tail", 20, 77, { fromMm: 18, what: "puller body" }), room("head", 2.2, 9)],
    0.5,
  ),
];

/**
 * Reach of a whole aeroplane: which parts stand in the way of each approach of 16,000 holes, beside looking
 * at every body for a sample of them, with the same answers; then what a closing needs at that size.
 */
export async function bench(): Promise<string[]> {
  const plane = aeroplane();
  const drawn = kit(APPROACHES, [plane]);
  const cold = timed(() => reachOf(drawn, plane));
  const runs = [1, 2, 3].map(() => timed(() => reachOf(drawn, plane)).ms).sort((a, b) => a - b);
  const warmMs = runs[1] ?? cold.ms;

  const sample = plane.holes.filter((_, i) => i % Math.ceil(plane.holes.length / LOOKED_AT_WHOLE) === 0);
  const all = bodies(plane);
  const whole = timed(() => sample.map((one) => inTheWay(all, one)));
  const wholeMs = whole.ms * (plane.holes.length / sample.length);
  const wrong = sample.filter((one, i) => whole.value[i] !== said(cold.value, one));
  if (wrong.length > 0) throw new Error(`reach differs at ${wrong.length} holes, ${wrong[0]?.id} first`);

  const walled = timed(() => walledInNow(plane, cold.value, NO_WORK));
  const before = timed(() => beforeClosing(plane, cold.value, NO_WORK, "COVER-9"));
  const blocked = cold.value.holes.filter(({ approaches }) =>
    approaches.some(({ blockedBy }) => blockedBy.length > 0),
  );
  return [
    `reach: ${count(plane.holes.length)} holes, ${count(plane.parts.length)} parts, ${count(all.length)} bodies`,
    `  every body looked at  ${ms(wholeMs)} (scaled up from ${count(sample.length)} holes)`,
    `  ours, box tree first  ${ms(warmMs)}: ${times(wholeMs / warmMs)} (first run: ${ms(cold.ms)})`,
    `  same answers          at all ${count(sample.length)} holes looked at both ways; ${count(blocked.length)} of all have something in the way`,
    `  walled in now         ${ms(walled.ms)}, ${count(walled.value.length)} found`,
    `  before closing a part ${ms(before.ms)}, ${count(before.value.mustBefore.length)} rivets to set first`,
  ];
}

/** Bays of a rib between two skins, with a bracket under every third and a cover over every tenth. Seeded. */
function aeroplane(): Assembly {
  const random = seeded(16_000);
  const parts: Part[] = [];
  const holes: Hole[] = [];
  for (let bay = 0; bay < BAYS; bay++) {
    const turn = cornerOf(bay);
    const skin = `SKIN-${Math.floor(bay / 10)}`;
    if (bay % 10 === 0) parts.push(part(skin, [turn(box([-1500, -300, 0], [1500, 300, 0.6], "flat"))]));
    const rib = `RIB-${bay}`;
    const x = -1350 + (bay % 10) * 300;
    parts.push(
      part(rib, [
        turn(box([x - 10, -250, -0.6], [x + 10, 250, 0], "flange")),
        turn(box([x + 10, -250, -120], [x + 10.6, 250, 0], "web")),
      ]),
    );
    if (bay % 3 === 0) {
      const y = -200 + 400 * random();
      const low = turn(box([x - 30, y, -40], [x + 9, y + 60, -4 - 20 * random()]));
      parts.push(part(`BRACKET-${bay}`, [low]));
    }
    const cover = `COVER-${bay}`;
    if (bay % 10 === 9) parts.push(part(cover, [turn(box([x - 80, -120, 5], [x + 80, 120, 6]))]));
    for (let i = 0; i < HOLES_PER_BAY; i++) {
      // The outermost two rivets of a covered rib hold its cover too.
      const isOuter = i === 0 || i === HOLES_PER_BAY - 1;
      const over = bay % 10 === 9 && isOuter ? [`${cover}/foot`] : [];
      const [at = [0, 0, 0], out = [0, 0, 1]] = turn({
        corners: [
          [x, -240 + i * 25, 0.6],
          [x, -240 + i * 25, 1.6],
        ],
        sheet: null,
      }).corners;
      const normal: Vec = [out[0] - at[0], out[1] - at[1], out[2] - at[2]];
      holes.push(
        hole(`${rib}.top.${i + 1}`, [...over, `${skin}/flat`, `${rib}/flange`], {
          at,
          normal,
          gripMm: 1.2,
          approaches: APPROACHES.map(({ id }) => id),
        }),
      );
    }
  }
  return assembly(parts, holes);
}

/** Moves ten bays at a time to a place of their own, turned a little more each time, as panels of an aeroplane are. */
function cornerOf(bay: number): (body: Body) => Body {
  const panel = Math.floor(bay / 10);
  const [sin, cos] = [Math.sin(panel), Math.cos(panel)];
  const home: Vec = [(panel % 5) * 1200, Math.floor(panel / 5) * 500, (panel % 3) * 400];
  return ({ corners, sheet }) => ({
    sheet,
    corners: corners.map(
      ([x, y, z]): Vec => [home[0] + x, home[1] + y * cos - z * sin, home[2] + y * sin + z * cos],
    ),
  });
}

interface PartBody {
  readonly part: string;
  readonly body: Body;
}

function bodies({ parts }: Assembly): PartBody[] {
  return parts.flatMap(({ id, bodies: own }) => own.map((body) => ({ part: id, body })));
}

/** What stands in the way of a hole, every body of the aeroplane looked at; as text. */
function inTheWay(all: readonly PartBody[], one: Hole): string {
  const layers = new Set(one.layers.map(({ part: id, sheet }) => `${id} ${sheet}`));
  return APPROACHES.map((way) => {
    const found = way.rooms.flatMap((space) => {
      const cylinder = roomAt(one, space, way);
      return all
        .filter(({ part: id, body }) => !layers.has(`${id} ${body.sheet}`) && meets(cylinder, body.corners))
        .map(({ part: id }) => `${id} ${space.what}`);
    });
    return [way.id, ...[...new Set(found)].sort()].join(", ");
  }).join("; ");
}

function said({ holes }: Reach, one: Hole): string {
  return (holes[one.index]?.approaches ?? [])
    .map(({ approach: id, blockedBy, ownStack }) =>
      [id, ...[...blockedBy, ...ownStack].map((blocker) => `${blocker.part} ${blocker.room}`).sort()].join(
        ", ",
      ),
    )
    .join("; ");
}

function timed<T>(act: () => T): { readonly value: T; readonly ms: number } {
  const start = performance.now();
  const value = act();
  return { value, ms: performance.now() - start };
}

const count = (value: number): string => value.toLocaleString("en");
const ms = (value: number): string =>
  value < 1000 ? `${value.toFixed(0)} ms` : `${(value / 1000).toFixed(2)} s`;
const times = (value: number): string => `${value.toFixed(value < 10 ? 1 : 0)} times faster`;
