import fc from "fast-check";

/**
 * What the laws of every test draw, so that a failure belongs to the commit that it stops, and comes again when it is
 * looked into. `npm run laws` draws anew.
 */
const DRAW = 20_261;

if (process.env.MODE !== "anew") fc.configureGlobal({ seed: DRAW });
