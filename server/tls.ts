import { readFileSync } from "node:fs";
import { createSecureContext } from "node:tls";
import { Problem } from "./problem.js";

/** What the program shows for HTTPS: a certificate (with its chain) and its private key, as PEM. */
export interface Tls {
  readonly cert: Buffer;
  readonly key: Buffer;
}

/**
 * Reads both files and makes sure that they belong together.
 * @throws TLS_UNREADABLE, TLS_REFUSED
 */
export function readTls(certFile: string, keyFile: string): Tls {
  const tls = { cert: read(certFile), key: read(keyFile) };
  try {
    createSecureContext(tls);
  } catch (error) {
    throw new Problem("TLS_REFUSED", `HTTPS cannot be served with these: ${(error as Error).message}.`, {
      where: { file: certFile },
      fix: "Name a certificate and the private key that it was made for, both as PEM.",
    });
  }
  return tls;
}

function read(file: string): Buffer {
  try {
    return readFileSync(file);
  } catch (error) {
    throw new Problem("TLS_UNREADABLE", `The file cannot be read: ${(error as Error).message}.`, {
      where: { file },
      fix: "Name the certificate with --tls-cert and its private key with --tls-key, as PEM files.",
    });
  }
}
