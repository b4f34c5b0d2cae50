/**
 * A loop among things that point at others, found by depth-first search with the textbook's three colours.
 * @param edges  for each node, the nodes that it points at; nodes that are not keys have no edges
 * @returns      the nodes of one loop in order, the first repeated at the end; null when there is none
 */
export function findLoop<T>(edges: ReadonlyMap<T, Iterable<T>>): readonly T[] | null {
  const grey = new Set<T>();
  const black = new Set<T>();
  for (const start of edges.keys()) {
    if (black.has(start)) continue;
    // Own stack: rule files may chain thousands of overrides.
    const path: { node: T; rest: Iterator<T> }[] = [];
    const enter = (node: T): void => {
      grey.add(node);
      path.push({ node, rest: (edges.get(node) ?? [])[Symbol.iterator]() });
    };
    enter(start);
    for (let top = path.at(-1); top; top = path.at(-1)) {
      const next = top.rest.next();
      if (next.done) {
        grey.delete(top.node);
        black.add(top.node);
        path.pop();
      } else if (grey.has(next.value)) {
        const nodes = path.map((step) => step.node);
        return [...nodes.slice(nodes.indexOf(next.value)), next.value];
      } else if (!black.has(next.value)) enter(next.value);
    }
  }
  return null;
}
