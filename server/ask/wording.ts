/** Every sentence that an answer says, in one place: the builder's words, short and plain. */
export * from "./wording/conditions.js";
export * from "./wording/grammar.js";
export * from "./wording/measures.js";
export * from "./wording/names.js";
export * from "./wording/readings.js";
export * from "./wording/reasons.js";
export * from "./wording/rulings.js";
