/** Import boundaries: data flows one way, and the core touches no I/O. Checked by `npm run lint`. */
const CORE = "^server/(kit|facts|ruling|reach|order|fastener|shop)/";
/** Each core folder and the core folders it may draw from (design: kit → facts → ruling; kit → reach → order). */
const MAY_USE = {
  kit: [],
  fastener: ["kit"],
  facts: ["kit", "fastener"],
  ruling: ["kit", "facts"],
  reach: ["kit"],
  order: ["kit", "reach", "facts", "ruling", "fastener"],
  shop: ["kit", "reach", "facts", "ruling", "order", "fastener"],
};

module.exports = {
  forbidden: [
    {
      name: "no-loops",
      comment: "Modules must not import each other in a circle.",
      severity: "error",
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ["type-only"] } },
    },
    {
      name: "core-is-pure",
      comment: "The core takes plain values and returns plain values: no store, routes, page or Node I/O.",
      severity: "error",
      from: { path: CORE },
      to: { path: ["^server/(ask|store|routes)/", "^web/", "^server/(main|app)\\.ts$"] },
    },
    {
      name: "core-without-io",
      severity: "error",
      from: { path: CORE },
      to: {
        dependencyTypes: ["core"],
        path: "^(node:)?(fs|fs/promises|path|os|net|http|https|child_process|worker_threads|process|timers)$",
      },
    },
    {
      name: "core-without-server-packages",
      severity: "error",
      from: { path: CORE },
      to: { path: "node_modules/(fastify|@fastify|better-sqlite3|lunr|marked|sanitize-html|esbuild)/" },
    },
    {
      name: "one-file-knows-the-rules-engine",
      severity: "error",
      from: { path: "^server/", pathNot: "^server/ruling/engine\\.ts$" },
      to: { path: "node_modules/json-rules-engine/" },
    },
    {
      name: "answers-know-no-edge",
      severity: "error",
      from: { path: "^server/ask/" },
      to: { path: ["^server/(store|routes)/", "^web/", "^server/(main|app)\\.ts$"] },
    },
    {
      name: "page-knows-no-server-code",
      comment: "The page may share types only.",
      severity: "error",
      from: { path: "^web/" },
      to: { path: "^server/", dependencyTypesNot: ["type-only"] },
    },
    ...Object.entries(MAY_USE).map(([folder, others]) => ({
      name: `flow-of-${folder}`,
      comment: `server/${folder} draws only on ${others.join(", ") || "nothing else of the core"}.`,
      severity: "error",
      from: { path: `^server/${folder}/` },
      to: {
        path: CORE,
        pathNot: [folder, ...others].map((name) => `^server/${name}/`),
      },
    })),
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    tsConfig: { fileName: "tsconfig.json" },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { exportsFields: ["exports"], conditionNames: ["import", "node", "default"] },
  },
};
