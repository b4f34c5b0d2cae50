import type { OrderClaim } from "../types.js";
import { type Finding, finding } from "./finding.js";
import { holesWhere, type Look, type Spot, sayHoles, titled } from "./look.js";

/** A rivet that is to be set before a part comes on through which it goes: that part must be there for it. */
export function ownPartOf(look: Look): readonly Finding[] {
  const { rule, words } = look;
  if (rule.family !== "order") return [];
  const { before, strength } = rule.event.params as unknown as OrderClaim;
  if (before === undefined) return [];
  const own = holesWhere(look, [rule]).filter((spot) => goesThrough(spot, before));
  const [hole] = own;
  if (!hole) return [];
  return [
    finding(rule.id, {
      kind: "cannot be kept",
      severity: strength === "must" ? "error" : "warning",
      witness: { hole: hole.id },
      holes: own.map(({ id }) => id),
      said: `${titled(rule)} wants rivets set before ${words.part(before)} comes on, and they go through it: ${sayHoles(look, own)}.`,
      pointer: "/event/params/before",
      fix: "Name the part that comes on afterwards, or leave these holes out.",
    }),
  ];
}

function goesThrough({ record }: Spot, part: string): boolean {
  return Array.isArray(record.through) && record.through.includes(part);
}
