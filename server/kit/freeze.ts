/** Freezes plain data all the way down, and gives it back. Safe on data of any depth. */
export function deepFreeze<T>(value: T): T {
  const open: unknown[] = [value];
  while (open.length > 0) {
    const here = open.pop();
    if (typeof here !== "object" || here === null || Object.isFrozen(here)) continue;
    Object.freeze(here);
    for (const inner of Object.values(here)) open.push(inner);
  }
  return value;
}
