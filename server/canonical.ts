/**
 * JSON text that is the same for equal values: keys sorted by UTF-16 code unit, no blanks, numbers and
 * strings as ECMAScript prints them. What the hash chain is computed over.
 * @throws TypeError for what JSON cannot hold (undefined, functions, NaN, infinities, lone surrogates)
 * @source RFC 8785, JSON Canonicalization Scheme, section 3.2
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === "boolean") return JSON.stringify(value);
  if (typeof value === "string") {
    if (/\p{Surrogate}/u.test(value))
      throw new TypeError("Text with half a surrogate pair has no canonical form.");
    return JSON.stringify(value);
  }
  if (typeof value === "number") {
    if (!Number.isFinite(value)) throw new TypeError(`${value} is not a JSON number.`);
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(",")}]`;
  if (typeof value === "object") {
    const fields = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
    return `{${fields.map(([key, field]) => `${canonicalJson(key)}:${canonicalJson(field)}`).join(",")}}`;
  }
  throw new TypeError(`JSON has no ${typeof value}.`);
}
