import type { Assembly, Neighbour } from "./types.js";

const made = new WeakMap<Assembly, readonly Pick<Neighbour, "id" | "name">[]>();

/** Surfaces that come near some hole of the assembly, each once, in the order of the holes. */
export function neighboursOf(assembly: Assembly): readonly Pick<Neighbour, "id" | "name">[] {
  const known = made.get(assembly);
  if (known) return known;
  const byId = new Map<string, Pick<Neighbour, "id" | "name">>();
  for (const { neighbour } of assembly.holes)
    if (neighbour && !byId.has(neighbour.id))
      byId.set(neighbour.id, { id: neighbour.id, name: neighbour.name });
  const list = [...byId.values()];
  made.set(assembly, list);
  return list;
}
