import type { Kit } from "../server/kit/types.js";
import { svg } from "./dom.js";
import { type Label, LETTER } from "./part-labels.js";
import type { Box } from "./zoom.js";

/** A round length in the kit's own units at the foot of the paper, and the room that it takes there. */
export function scaleBar(
  box: Box,
  radius: number,
  units: Kit["units"],
): { readonly drawing: SVGGElement; readonly place: Label } {
  const [unit, unitMm] = units === "inch" ? ["in", 25.4] : ["mm", 1];
  const round = [500, 200, 100, 50, 20, 10, 5, 2, 1].find((many) => many * unitMm < box.width / 5) ?? 1;
  const length = round * unitMm;
  const said = `${round} ${unit}`;
  const size = radius * 1.8;
  const x = box.x + radius * 2;
  const y = box.y + box.height - radius * 2;
  const width = length + radius + said.length * size * LETTER;
  const drawing = svg(
    "g",
    { class: "scale-bar", "aria-hidden": "true" },
    svg("path", { d: `M${x} ${y - radius}V${y}H${x + length}V${y - radius}` }),
    svg("text", { x: x + length + radius, y, "font-size": size }, said),
  );
  return { drawing, place: { x: x + width / 2, y: -y, width, height: size * 1.2 } };
}
