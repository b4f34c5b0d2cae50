import { generateKeyPairSync, sign } from "node:crypto";

/**
 * A certificate for 127.0.0.1 and localhost that signs itself, with its key, both as PEM.
 * @source RFC 5280, section 4.1 (the certificate's fields), RFC 5758, section 3.2 (ecdsa-with-SHA256)
 */
export function selfSigned(): { readonly cert: string; readonly key: string } {
  const { publicKey, privateKey } = generateKeyPairSync("ec", { namedCurve: "P-256" });
  const algorithm = sequence(oid(0x2a, 0x86, 0x48, 0xce, 0x3d, 0x04, 0x03, 0x02));
  const commonName = sequence(oid(0x55, 0x04, 0x03), der(0x0c, Buffer.from("localhost")));
  const name = sequence(der(0x31, commonName));
  const years = sequence(der(0x17, Buffer.from("200101000000Z")), der(0x17, Buffer.from("491231235959Z")));
  const names = sequence(der(0x82, Buffer.from("localhost")), der(0x87, Buffer.from([127, 0, 0, 1])));
  const extensions = sequence(sequence(oid(0x55, 0x1d, 0x11), der(0x04, names)));
  const toBeSigned = sequence(
    der(0xa0, der(0x02, Buffer.from([2]))),
    der(0x02, Buffer.from([1])),
    algorithm,
    name,
    years,
    name,
    publicKey.export({ type: "spki", format: "der" }),
    der(0xa3, extensions),
  );
  const signature = Buffer.concat([Buffer.from([0]), sign("sha256", toBeSigned, privateKey)]);
  return {
    cert: pem("CERTIFICATE", sequence(toBeSigned, algorithm, der(0x03, signature))),
    key: privateKey.export({ type: "pkcs8", format: "pem" }) as string,
  };
}

/** One value with its tag and length. @source ITU-T X.690, sections 8.1 and 10.1 */
function der(tag: number, ...parts: readonly Buffer[]): Buffer {
  const content = Buffer.concat(parts);
  const { length } = content;
  const bytes =
    length < 0x80 ? [length] : length < 0x100 ? [0x81, length] : [0x82, length >> 8, length & 0xff];
  return Buffer.concat([Buffer.from([tag, ...bytes]), content]);
}

function sequence(...parts: readonly Buffer[]): Buffer {
  return der(0x30, ...parts);
}

function oid(...bytes: readonly number[]): Buffer {
  return der(0x06, Buffer.from(bytes));
}

function pem(label: string, bytes: Buffer): string {
  const lines = bytes.toString("base64").match(/.{1,64}/g) ?? [];
  return [`-----BEGIN ${label}-----`, ...lines, `-----END ${label}-----`, ""].join("\n");
}
