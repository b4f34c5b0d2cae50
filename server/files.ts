import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";
import type { SourceFile } from "./source.js";

/** The folder that the program was fetched into. */
export const PROJECT = fileURLToPath(new URL("..", import.meta.url));

/** A path as the builder knows it: from the project folder on, with forward slashes; as given when it is elsewhere. */
export function pathFrom(project: string, path: string): string {
  const inside = relative(project, path);
  return (inside.startsWith("..") ? path : inside).split(sep).join("/");
}

export function readSource(path: string, project = PROJECT): SourceFile {
  return { path: pathFrom(project, path), text: readFileSync(path, "utf8") };
}

/** The folder's files with that ending, in the order of their names; none when the folder is not there. */
export function sourcesIn(folder: string, ending: string, project = PROJECT): SourceFile[] {
  return namesIn(folder)
    .filter((name) => name.endsWith(ending))
    .map((name) => readSource(join(folder, name), project));
}

/** Sub-folders that hold a file of that name. */
export function foldersWith(folder: string, file: string): string[] {
  return namesIn(folder)
    .map((name) => join(folder, name))
    .filter((path) => existsSync(join(path, file)));
}

function namesIn(folder: string): string[] {
  return existsSync(folder) ? readdirSync(folder).sort() : [];
}
