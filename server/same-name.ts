/** Whether two names would be read as the same person's: case, blanks and ways of writing a letter aside. */
export function isSameName(a: string, b: string): boolean {
  return folded(a) === folded(b);
}

function folded(name: string): string {
  return name.normalize("NFKC").toLowerCase().trim().replace(/\s+/g, " ");
}
