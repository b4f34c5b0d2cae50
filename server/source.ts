import { Problem } from "./problem.js";

/** A file as text, read by the edge and handed to the core. */
export interface SourceFile {
  /** Relative to the project, with forward slashes: `rules/handbook.json`. */
  readonly path: string;
  readonly text: string;
}

/**
 * The file's JSON value.
 * @throws JSON_MALFORMED naming the file and the parser's own words
 */
export function parseJson(file: SourceFile): unknown {
  try {
    return JSON.parse(file.text);
  } catch (error) {
    throw new Problem("JSON_MALFORMED", `Not valid JSON: ${(error as Error).message}.`, {
      where: { file: file.path, pointer: "" },
      fix: "Mend the JSON; an editor that knows JSON shows the place.",
    });
  }
}
