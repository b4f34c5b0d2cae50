import { Ajv2020, type ErrorObject, type Options } from "ajv/dist/2020.js";

/** Whether a value has a shape; when it has not, `errors` says what is wrong until the next value is looked at. */
export interface ShapeCheck<T = unknown> {
  (value: unknown): value is T;
  errors?: ErrorObject[] | null;
}

/**
 * Makes checks from our own JSON Schemas (2020-12); an unknown keyword is refused. Each is compiled when it is first
 * used. Two things that Ajv does besides cost the start more than they ever give back: holding our schemas against
 * the meta-schema, which tests do, and shortening the code that it writes.
 */
export function shapeChecker(options: Options = {}): <T = unknown>(schema: object) => ShapeCheck<T> {
  let ajv: Ajv2020 | null = null;
  return <T>(schema: object): ShapeCheck<T> => {
    let compiled: ShapeCheck<T> | null = null;
    const check: ShapeCheck<T> = (value): value is T => {
      ajv ??= new Ajv2020({ ...options, meta: false, validateSchema: false, code: { optimize: false } });
      compiled ??= ajv.compile<T>(schema);
      const fits = compiled(value);
      check.errors = compiled.errors;
      return fits;
    };
    return check;
  };
}
