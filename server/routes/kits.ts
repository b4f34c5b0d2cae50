import type { FastifyInstance } from "fastify";
import { Type } from "typebox";
import { traceWords } from "../ask/wording/trace-words.js";
import { drawMap } from "../kit/map.js";
import { neighboursOf } from "../kit/neighbours.js";
import type { Assembly, Kit } from "../kit/types.js";
import type { Workshop } from "../workshop.js";
import { AssemblyParams, exactly } from "./shapes.js";

const Named = Type.Object({ id: Type.String(), name: Type.String() });

const KitsReply = exactly({
  kits: Type.Array(
    Type.Object({
      id: Type.String(),
      name: Type.String(),
      revision: Type.String(),
      dated: Type.String(),
      units: Type.Enum(["mm", "inch"]),
      assemblies: Type.Array(
        Type.Object({ id: Type.String(), name: Type.String(), parts: Type.Integer(), holes: Type.Integer() }),
      ),
    }),
  ),
});

const AssemblyReply = Type.Object({
  kit: Named,
  id: Type.String(),
  name: Type.String(),
  parts: Type.Array(Named),
  families: Type.Array(Named),
  rows: Type.Array(Named),
  milestones: Type.Array(Named),
  prepGates: Type.Array(Named),
  approaches: Type.Array(Named),
  neighbours: Type.Array(Named),
  notices: Type.Array(Type.Object({ id: Type.String(), title: Type.String() })),
  steps: Type.Array(Type.Object({ id: Type.String(), title: Type.String() })),
  closings: Type.Array(Type.String(), {
    description: "part ids in the order in which the manual closes them",
  }),
  views: Type.Array(Named),
  words: exactly(
    {
      operators: Type.Record(Type.String(), Type.String()),
      facts: Type.Record(Type.String(), Type.String()),
    },
    "how a trace says its operators, facts and attributes",
  ),
  map: Type.Object({}, { description: "flat drawing of the assembly, one sheet per view" }),
});

/** What there is to work on. */
export function kitRoutes(app: FastifyInstance, workshop: Workshop): void {
  app.get(
    "/api/kits",
    { schema: { summary: "The kits and their assemblies", response: { 200: KitsReply } } },
    async () => ({ kits: [...workshop.library.kits.values()].map(kitLine) }),
  );

  app.get<{ Params: AssemblyParams }>(
    "/api/kits/:kit/assemblies/:assembly",
    {
      schema: {
        summary: "One assembly: its parts, rows, steps and hole map",
        params: AssemblyParams,
        response: { 200: AssemblyReply },
      },
    },
    async ({ params }) => ({
      ...assemblySheet(workshop.kit(params.kit), workshop.assembly(params.kit, params.assembly)),
      words: traceWords(workshop.rulebook(params.kit).dictionary),
    }),
  );
}

function kitLine({ id, name, revision, dated, units, assemblies }: Kit): object {
  const lines = assemblies.map((one) => ({
    id: one.id,
    name: one.name,
    parts: one.parts.length,
    holes: one.holes.length,
  }));
  return { id, name, revision, dated, units, assemblies: lines };
}

/** The assembly without its solids, and its holes as drawn on the map. */
function assemblySheet(kit: Kit, assembly: Assembly): object {
  const { id, name, families, rows, milestones, steps, closings, views } = assembly;
  const parts = assembly.parts.map(({ sheets: _, bodies: __, ...part }) => part);
  return {
    kit: { id: kit.id, name: kit.name, revision: kit.revision, dated: kit.dated, units: kit.units },
    id,
    name,
    parts,
    families,
    rows,
    milestones,
    prepGates: kit.prepGates.map(({ id, name }) => ({ id, name })),
    approaches: kit.approaches.map((one) => ({ id: one.id, name: one.name })),
    neighbours: neighboursOf(assembly),
    notices: kit.notices,
    steps,
    closings,
    views,
    map: drawMap(assembly),
  };
}
