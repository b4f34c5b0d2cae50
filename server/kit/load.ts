import { Problem } from "../problem.js";
import { parseJson, type SourceFile } from "../source.js";
import { readAssembly } from "./assembly.js";
import { type Catalogue, readCatalogue } from "./catalogue.js";
import { Findings, Spot } from "./findings.js";
import { deepFreeze } from "./freeze.js";
import { repeatedKeys } from "./repeated-keys.js";
import type { AssemblyFile, KitFile } from "./schema.js";
import { assemblyFileOf, kitFileOf } from "./shape.js";
import type { Kit, PrepGate } from "./types.js";

/** More holes than any light aircraft has by far; a slip in a count must not fill the memory. */
const MOST_HOLES = 200_000;

/**
 * The kit that a folder of files describes: `kit.json` and `assemblies/ID.json` beside it. Lengths in mm,
 * rows expanded to holes, every id checked, frozen all the way down.
 * @param files  all files of one kit's folder, in any order
 * @throws the first problem found, with all others in `others` (at most 50 in all): each with its code, file,
 *         JSON pointer, what was expected and a fix
 */
export function loadKit(files: readonly SourceFile[]): Kit {
  const findings = new Findings();
  const folder = sortOut(files, findings);
  const kitFile = folder.kit && readShape(folder.kit, findings, kitFileOf);
  const assemblies = new Map<string, AssemblyFile>();
  for (const [id, file] of folder.assemblies) {
    const read = readShape(file, findings, assemblyFileOf);
    if (read) assemblies.set(id, read);
  }
  if (!folder.kit || !kitFile) return refuse(findings);
  const kitSpot = new Spot(findings, folder.kit.path, "");
  noteListing(kitFile, folder, assemblies, kitSpot);
  const catalogue = readCatalogue(kitFile, kitSpot);
  if (areTooMany(assemblies, kitSpot)) return refuse(findings);
  const kit = kitOf(kitFile, catalogue, assemblies, folder, findings);
  findings.throwAny();
  return deepFreeze(kit);
}

interface Folder {
  readonly kit: SourceFile | null;
  /** By the id that the file's name gives. */
  readonly assemblies: ReadonlyMap<string, SourceFile>;
}

/** Tells the kit file, the assembly files and anything else apart, by their names. */
function sortOut(files: readonly SourceFile[], findings: Findings): Folder {
  const isKit = (file: SourceFile): boolean => /(?:^|\/)kit\.json$/.test(file.path);
  const [kit = null, ...others] = files.filter(isKit);
  if (!kit) {
    findings.keep(
      new Problem("KIT_FILE_MISSING", "There is no kit.json.", {
        fix: "Put a kit.json in the kit's folder.",
      }),
    );
  }
  const folder = kit ? kit.path.slice(0, -"kit.json".length) : null;
  const assemblies = new Map<string, SourceFile>();
  for (const file of [...others, ...files.filter((file) => !isKit(file))]) {
    const found = /^(.*)assemblies\/([^/]+)\.json$/.exec(file.path);
    const id = found?.[2];
    if (id === undefined || assemblies.has(id) || (folder !== null && found?.[1] !== folder)) {
      findings.add(
        "FILE_UNEXPECTED",
        file.path,
        "",
        "A kit's folder has one kit.json and one assemblies/ID.json for each assembly; this file is neither.",
        "Take the file out, or put it where it belongs.",
      );
    } else assemblies.set(id, file);
  }
  return { kit, assemblies };
}

function readShape<T>(
  file: SourceFile,
  findings: Findings,
  shapeOf: (json: unknown, spot: Spot) => T | null,
): T | null {
  const spot = new Spot(findings, file.path, "");
  try {
    const json = parseJson(file);
    for (const pointer of repeatedKeys(file.text)) {
      spot
        .under(pointer)
        .add(
          "KEY_TWICE",
          "This key is in its object twice, so one of the two would be lost.",
          "Keep one of them.",
        );
    }
    return shapeOf(json, spot);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    findings.keep(error);
    return null;
  }
}

/** Checks that the kit's list of assemblies and the files agree. */
function noteListing(
  kit: KitFile,
  folder: Folder,
  assemblies: ReadonlyMap<string, AssemblyFile>,
  spot: Spot,
): void {
  const listed = new Set<string>();
  kit.assemblies.forEach((id, i) => {
    const at = spot.at("assemblies", i);
    if (listed.has(id)) at.add("DUPLICATE_ID", `Assembly ${id} is listed twice.`, "List each assembly once.");
    listed.add(id);
    if (!folder.assemblies.has(id)) {
      at.add(
        "ASSEMBLY_MISSING",
        `There is no file assemblies/${id}.json.`,
        "Add the file, or take the assembly off the list.",
      );
    }
  });
  for (const [id, file] of folder.assemblies) {
    const at = new Spot(spot.findings, file.path, "");
    if (!listed.has(id)) {
      at.add(
        "ASSEMBLY_NOT_LISTED",
        `The kit file does not list the assembly ${id}.`,
        "Add its id to the kit file's assemblies, or take the file out.",
      );
    }
    const own = assemblies.get(id)?.id;
    if (own !== undefined && own !== id) {
      at.at("id").add(
        "ASSEMBLY_ID_WRONG",
        `The file is named after assembly ${id}, but its id is ${own}.`,
        "Make the two the same.",
      );
    }
  }
}

/** Counts the holes before any is made. */
function areTooMany(assemblies: ReadonlyMap<string, AssemblyFile>, spot: Spot): boolean {
  let holes = 0;
  for (const assembly of assemblies.values()) {
    for (const row of assembly.rows) holes += "at" in row.holes ? row.holes.at.length : row.holes.count;
  }
  if (holes <= MOST_HOLES) return false;
  spot.add(
    "TOO_MANY_HOLES",
    `The kit has ${holes} holes; at most ${MOST_HOLES} can be loaded.`,
    "Look for a slip in a row's count, or split the kit.",
  );
  return true;
}

function kitOf(
  file: KitFile,
  catalogue: Catalogue,
  assemblies: ReadonlyMap<string, AssemblyFile>,
  folder: Folder,
  findings: Findings,
): Kit {
  return {
    id: file.id,
    name: file.name,
    revision: file.revision,
    dated: file.dated,
    units: file.units,
    rivets: [...catalogue.rivets.values()],
    approaches: [...catalogue.approaches.values()],
    prepGates: withTreatmentGates([...catalogue.prepGates.values()]),
    notices: catalogue.notices,
    assemblies: [...new Set(file.assemblies)].flatMap((id) => {
      const [assembly, source] = [assemblies.get(id), folder.assemblies.get(id)];
      return assembly && source ? readAssembly(assembly, catalogue, new Spot(findings, source.path, "")) : [];
    }),
  };
}

/** Names for the gates that rulings put on parts, where the kit names none. */
const TREATMENT_GATES: readonly PrepGate[] = [
  { id: "enlarge", name: "holes enlarged to final size" },
  { id: "dimple", name: "holes dimpled" },
  { id: "countersink", name: "holes countersunk" },
];

/** Gates that a treatment's gate comes before: drilling leaves burrs, and paint comes last. Common practice, no source. */
const COME_AFTER: Readonly<Record<string, readonly string[]>> = {
  enlarge: ["deburr", "dimple", "countersink", "clean", "prime"],
  dimple: ["countersink", "clean", "prime"],
  countersink: ["clean", "prime"],
};

/** The kit's gates, and those of treatments that it leaves out: a ruling may call for each of them on any part. */
function withTreatmentGates(gates: readonly PrepGate[]): readonly PrepGate[] {
  const all = [...gates];
  for (const gate of TREATMENT_GATES) {
    if (all.some(({ id }) => id === gate.id)) continue;
    const at = all.findIndex(({ id }) => COME_AFTER[gate.id]?.includes(id));
    all.splice(at < 0 ? all.length : at, 0, { ...gate, assumed: true });
  }
  return all;
}

/** @throws what was found; never returns */
function refuse(findings: Findings): never {
  findings.throwAny();
  throw new Error("refused a kit without a reason");
}
