/**
 * A table as comma-separated values: lines end with CR LF, a field with a comma, a quote or a line end stands in
 * quotes.
 *
 * A text that a spreadsheet would take for a formula gets an apostrophe in front, which spreadsheets show as
 * text. Numbers are left as they are.
 * @source RFC 4180; OWASP, "CSV Injection" (the signs = + - @, tab and carriage return), from memory
 */
export function csvOf(rows: readonly (readonly (string | number | null)[])[]): string {
  return rows.map((row) => `${row.map(field).join(",")}\r\n`).join("");
}

function field(value: string | number | null): string {
  if (value === null) return "";
  if (typeof value === "number") return String(value);
  // Full-width signs are taken for the plain ones by some spreadsheets, and blanks in front are passed over.
  const safe = /^[\s\0]*[=+\-@\t\r＝＋－＠]/u.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
