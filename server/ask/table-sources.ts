import type { Citation } from "../fastener/table.js";
import type { Rivet } from "../kit/types.js";
import { GOVERNS } from "./cautions.js";
import type { Job, Source } from "./types.js";
import { sayPlace, sayUnverified } from "./wording/sizes.js";

/** Published tables as an answer's sources, each once. */
export function citedSources(citations: readonly Citation[]): readonly Source[] {
  const seen = new Map<string, Source>();
  for (const citation of citations) {
    const { id, title, dated } = citation;
    seen.set(`${id} ${title}`, {
      table: id,
      rank: "handbook",
      document: title,
      place: sayPlace(citation),
      dated,
    });
  }
  return [...seen.values()];
}

/** What the kit states of its rivets, as sources. */
export function rivetSources({ kit }: Job, rivets: readonly Rivet[]): readonly Source[] {
  return [...new Set(rivets)].map(({ code, source }) => ({
    document: `${kit.name}, ${kit.revision}: rivet ${code}`,
    place: source,
    dated: kit.dated,
  }));
}

/** Cautions with what is not verified named; what governs stays last. */
export function withUnverified(
  cautions: readonly string[],
  citations: readonly Citation[],
): readonly string[] {
  const said = sayUnverified(citations);
  if (said === null) return cautions;
  return [
    ...cautions.filter((text) => text !== GOVERNS),
    said,
    ...cautions.filter((text) => text === GOVERNS),
  ];
}
