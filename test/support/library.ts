import { loadLibrary } from "../../server/library.js";

/** Read once: it is frozen. */
export const library = loadLibrary();

const [firstKit] = library.kits.values();
if (!firstKit) throw new Error("There is no kit to test with.");
export const kit = firstKit;
const [firstAssembly] = kit.assemblies;
if (!firstAssembly) throw new Error("There is no assembly to test with.");
export const assembly = firstAssembly;

/** Where the tests work. */
export const place = { kit: kit.id, assembly: assembly.id };
