import type { NetworkInterfaceInfo } from "node:os";

/** Whether only this machine can reach a program that listens there. */
export function isLoopback(host: string): boolean {
  return /^(localhost|127(\.\d{1,3}){3}|::1)$/.test(host);
}

/**
 * The names under which a program that listens at `host` may be called, as they stand in a Host header
 * (lower case, without port). An address says itself which machine it means; a name must be given, since
 * any name can be made to point here.
 * @param host        as in --host; "0.0.0.0" and "::" stand for every address of the machine
 * @param names       names given besides
 * @param interfaces  as `os.networkInterfaces()` gives them
 */
export function hostNames(
  host: string,
  names: readonly string[],
  interfaces: NodeJS.Dict<NetworkInterfaceInfo[]>,
): readonly string[] {
  const every = Object.values(interfaces).flatMap((list) => list?.map(({ address }) => address) ?? []);
  const own = host === "0.0.0.0" ? every.filter((one) => !one.includes(":")) : host === "::" ? every : [host];
  return [...new Set([...own.map(inHeader), ...names.map((name) => name.toLowerCase())])];
}

/** @source RFC 3986, section 3.2.2: an IPv6 address stands in brackets */
function inHeader(address: string): string {
  return address.includes(":") ? `[${address.toLowerCase()}]` : address.toLowerCase();
}
