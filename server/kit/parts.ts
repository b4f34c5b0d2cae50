import { bodiesOf, readBody } from "./bodies.js";
import type { Spot } from "./findings.js";
import { lookUp, noteDuplicates, noteRepeats } from "./ids.js";
import type { AssemblyFile, PartFile } from "./schema.js";
import { type FlatSheet, readSheet } from "./sheets.js";
import { readSize } from "./sizes.js";
import type { Family, Part, PrepGate } from "./types.js";
import type { Units } from "./units.js";

/** A part with its sheets laid flat. A sheet whose outline was refused is known by id and has no shape. */
export interface FlatPart {
  readonly part: Part;
  readonly sheets: ReadonlyMap<string, FlatSheet | null>;
}

interface Place {
  readonly family: string;
  readonly member: number;
}

export function readFamilies(file: AssemblyFile, spot: Spot): readonly Family[] {
  const parts = new Map(file.parts.map((part) => [part.id, part]));
  const familyOf = new Map<string, string>();
  noteDuplicates(
    file.families.map((family) => family.id),
    "family",
    (i) => spot.at("families", i, "id"),
  );
  return file.families.map((family, i) => {
    const members = spot.at("families", i, "members");
    family.members.forEach((member, j) => {
      lookUp(parts, "part", member, members.at(j));
      const other = familyOf.get(member);
      if (other !== undefined) {
        members
          .at(j)
          .add(
            "FAMILY_TWICE",
            `Part ${member} is in family ${other} already.`,
            "A part belongs to one family, once.",
          );
      }
      familyOf.set(member, family.id);
    });
    return {
      id: family.id,
      name: family.name,
      nicknames: family.nicknames ?? [],
      members: family.members,
      numbered: family.numbered,
    };
  });
}

export function readParts(
  file: AssemblyFile,
  families: readonly Family[],
  prepGates: ReadonlyMap<string, PrepGate>,
  spot: Spot,
): ReadonlyMap<string, FlatPart> {
  noteDuplicates(
    file.parts.map((part) => part.id),
    "part",
    (i) => spot.at("parts", i, "id"),
  );
  const places = new Map<string, Place>();
  for (const family of families) {
    family.members.forEach((member, i) => {
      places.set(member, { family: family.id, member: i + 1 });
    });
  }
  const parts = new Map<string, FlatPart>();
  file.parts.forEach((part, i) => {
    const at = spot.at("parts", i);
    (part.prep ?? []).forEach((gate, j) => {
      lookUp(prepGates, "gate", gate, at.at("prep", j));
    });
    noteRepeats(part.prep ?? [], "Gate", at.at("prep"));
    parts.set(part.id, readPart(part, places.get(part.id) ?? null, file.units, at));
  });
  return parts;
}

function readPart(part: PartFile, place: Place | null, units: Units, spot: Spot): FlatPart {
  noteDuplicates(
    part.sheets.map((sheet) => sheet.id),
    "sheet",
    (i) => spot.at("sheets", i, "id"),
  );
  if (part.sheets.length === 0 && (part.bodies ?? []).length === 0) {
    spot
      .at("sheets")
      .add(
        "PART_WITHOUT_SHAPE",
        `Part ${part.id} has neither a sheet nor a body, so nobody can say what it stands in the way of.`,
        "Add its sheets, or bodies for what is not flat.",
      );
  }
  const thicknessMm = readSize(part.thickness, "thickness", units, spot.at("thickness"));
  const sheets = new Map<string, FlatSheet | null>();
  part.sheets.forEach((sheet, i) => {
    sheets.set(sheet.id, readSheet(part, i, thicknessMm, units, spot.at("sheets", i)));
  });
  const flat = [...sheets.values()].filter((sheet) => sheet !== null);
  const given = (part.bodies ?? []).flatMap((body, i) => readBody(body, units, spot.at("bodies", i)) ?? []);
  return {
    sheets,
    part: {
      id: part.id,
      name: part.name,
      nicknames: part.nicknames ?? [],
      kind: part.kind,
      family: place?.family ?? null,
      member: place?.member ?? null,
      material: part.material,
      thicknessMm,
      sheets: flat.map((sheet) => sheet.sheet),
      bodies: [...given, ...flat.filter((sheet) => sheet.solid).flatMap(bodiesOf)],
      prep: part.prep ?? [],
    },
  };
}
