/**
 * Runs a file of server/ from its compiled copy, which is made first where a source has changed; from the sources
 * themselves where no copy can be made or kept.
 * @param entry  its name, without ending
 */
export function run(entry: "main" | "rework-worker" | "rework-desk-worker"): Promise<void>;

/**
 * The folder of the compiled copy of the sources as they are now.
 * @throws when it cannot be made or kept
 */
export function compiledCopy(): Promise<string>;
