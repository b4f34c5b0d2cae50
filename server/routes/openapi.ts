import type { FastifyInstance, RouteOptions } from "fastify";
import { CATALOGUE } from "./problems.js";

declare module "fastify" {
  interface FastifySchema {
    summary?: string;
    description?: string;
  }
}

/** What our routes say about themselves; schemas are JSON Schema 2020-12, as OpenAPI 3.1 takes them. */
export interface RouteDescription {
  readonly summary: string;
  readonly description?: string;
  readonly params?: ObjectSchema;
  readonly querystring?: ObjectSchema;
  readonly headers?: ObjectSchema;
  readonly body?: object;
  readonly response?: Readonly<Record<number, object>>;
}

interface ObjectSchema {
  readonly properties?: Readonly<Record<string, object>>;
  readonly required?: readonly string[];
}

type Operation = Readonly<Record<string, unknown>>;

/** A description of the API that fills itself as routes are added; start it before adding them. */
export function describeRoutes(app: FastifyInstance, version: string): () => object {
  const paths: Record<string, Record<string, Operation>> = {};
  app.addHook("onRoute", (route) => {
    if (!route.url.startsWith("/api/") && route.url !== "/health") return;
    const path = route.url.replace(/:([A-Za-z]+)/g, "{$1}");
    for (const method of [route.method].flat()) {
      if (method === "HEAD") continue;
      paths[path] = { ...paths[path], [method.toLowerCase()]: operation(route) };
    }
  });
  return () => ({
    openapi: "3.1.0",
    info: {
      title: "Tailroom",
      version,
      description:
        "Answers in the middle of the riveting job. The program advises; it does not approve. " +
        "Every error is application/problem+json with a code, what is wrong, where, and a fix.",
    },
    jsonSchemaDialect: "https://json-schema.org/draft/2020-12/schema",
    servers: [{ url: "/" }],
    paths,
    components: {
      schemas: { Problem: PROBLEM_SCHEMA },
      responses: {
        Problem: {
          description: "What is wrong, where, and a way out (RFC 9457)",
          content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } } },
        },
      },
    },
  });
}

function operation(route: RouteOptions): Operation {
  const schema = route.schema as unknown as RouteDescription | undefined;
  if (!schema?.summary) throw new TypeError(`${route.url} does not say what it is for.`);
  const responses = Object.entries(schema.response ?? {}).map(([status, body]) => [status, response(body)]);
  return {
    summary: schema.summary,
    ...(schema.description && { description: schema.description }),
    parameters: [
      ...parameters("path", schema.params),
      ...parameters("query", schema.querystring),
      ...parameters("header", schema.headers),
    ],
    ...(schema.body && {
      requestBody: { required: true, content: { "application/json": { schema: schema.body } } },
    }),
    responses: { ...Object.fromEntries(responses), default: { $ref: "#/components/responses/Problem" } },
  };
}

function response(body: object): object {
  const { description = "Done", "x-media-type": type = "application/json" } = body as {
    description?: string;
    "x-media-type"?: string;
  };
  return { description, content: { [type]: { schema: body } } };
}

function parameters(place: "path" | "query" | "header", schema: ObjectSchema | undefined): object[] {
  return Object.entries(schema?.properties ?? {}).map(([name, property]) => ({
    name,
    in: place,
    required: place === "path" || (schema?.required ?? []).includes(name),
    schema: property,
  }));
}

const PLACE_SCHEMA = {
  type: "object",
  required: ["request"],
  properties: {
    request: { type: "string" },
    file: { type: "string" },
    pointer: { type: "string", description: "JSON pointer (RFC 6901) into the body" },
    query: { type: "string" },
    header: { type: "string" },
  },
};
const TOLD = {
  code: { type: "string" },
  detail: { type: "string" },
  where: PLACE_SCHEMA,
  fix: { type: "string" },
};
const PROBLEM_SCHEMA = {
  type: "object",
  required: ["type", "title", "status", "detail", "code", "where", "fix"],
  properties: {
    type: { type: "string", description: "where the code is explained" },
    title: { type: "string" },
    status: { type: "integer" },
    ...TOLD,
    code: { type: "string", examples: Object.keys(CATALOGUE) },
    errors: {
      type: "array",
      items: { type: "object", required: ["code", "detail", "where", "fix"], properties: TOLD },
    },
    version: { type: "integer", description: "with VERSION_STALE: where the shop book stands now" },
  },
};
