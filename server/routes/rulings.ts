import type { FastifyInstance } from "fastify";
import { type Static, Type } from "typebox";
import type { Job } from "../ask/types.js";
import type { ClaimValue } from "../ruling/types.js";
import type { Workshop } from "../workshop.js";
import { AssemblyParams, exactly, orNull, Version } from "./shapes.js";

const RulingLine = exactly({
  hole: Type.String(),
  treatment: orNull(Type.String()),
  finalDiameterMm: orNull(Type.Number()),
  fastener: orNull(Type.String({ description: "code of the rivet" })),
  head: orNull(Type.String()),
  hold: orNull(
    exactly(
      { until: Type.String({ description: "milestone id" }), why: Type.String() },
      "stays open until then",
    ),
  ),
  verdict: Type.Enum(["settled", "undecided", "conflict"]),
  ruleIds: Type.Array(Type.String(), { description: "rules that carry what is settled" }),
  open: Type.Array(
    exactly({
      attribute: Type.String(),
      status: Type.Enum(["undecided", "conflict", "unclaimed"]),
      ruleIds: Type.Array(Type.String()),
      missing: Type.Array(Type.String(), { description: "facts that are not known" }),
    }),
    { description: "what is not settled; its value above is null, which never means no" },
  ),
});
type RulingLine = Static<typeof RulingLine>;

const RulingsReply = exactly({
  kit: Type.String(),
  assembly: Type.String(),
  version: Version,
  rulings: Type.Array(RulingLine),
});

/** What is settled for every hole of an assembly. */
export function rulingRoutes(app: FastifyInstance, workshop: Workshop): void {
  app.get<{ Params: AssemblyParams }>(
    "/api/kits/:kit/assemblies/:assembly/rulings",
    {
      schema: {
        summary: "What is done to every hole, in the assembly's order",
        params: AssemblyParams,
        response: { 200: RulingsReply },
      },
    },
    async ({ params: { kit, assembly } }): Promise<Static<typeof RulingsReply>> => {
      const job = await workshop.job(kit, assembly);
      const rulings = job.assembly.holes.map(({ id }) => rulingLine(job, id));
      return { kit, assembly, version: job.version, rulings };
    },
  );
}

function rulingLine({ rulings, rulebook, work }: Job, hole: string): RulingLine {
  const { attributes, verdict } = rulings.of(hole);
  const settled = <T extends ClaimValue>(name: string): T | null => {
    const ruling = attributes[name];
    return ruling?.status === "settled" ? (ruling.value as T | null) : null;
  };
  const carried = Object.values(attributes).filter(({ status }) => status === "settled");
  const open = Object.values(attributes).flatMap(({ attribute, status, ruleIds, missing }) =>
    status === "settled" ||
    (status === "unclaimed" && !rulebook.dictionary.attributes.get(attribute)?.required)
      ? []
      : [{ attribute, status, ruleIds: [...ruleIds], missing: [...missing] }],
  );
  const until = settled<string>("hold");
  const holds = until !== null && until !== "none" && !work.milestones.has(until);
  const why = (attributes.hold?.ruleIds ?? []).map((id) => rulebook.byId.get(id)?.why ?? "").join(" ");
  return {
    hole,
    treatment: settled("treatment"),
    finalDiameterMm: settled("finalDiameterMm"),
    fastener: settled("rivet"),
    head: settled("head"),
    hold: holds ? { until, why } : null,
    verdict,
    ruleIds: [...new Set(carried.flatMap(({ ruleIds }) => ruleIds))],
    open,
  };
}
