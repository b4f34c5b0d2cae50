import { isIPv6 } from "node:net";
import { Problem } from "../problem.js";

/** Wrong keys that one address may try within the time. */
const MOST_FAILURES = 10;
const WITHIN_MS = 10 * 60_000;
/** Addresses kept apart; whoever comes on top of these shares one count. */
const MOST_ADDRESSES = 1000;
const ALL_OTHERS = "all others";

/** Counts wrong keys by address, so that keys cannot be tried one after the other. */
export interface Attempts {
  /**
   * Before a key is looked at: counts as a failure until what it returns is called, so that many tries at
   * once gain nothing.
   * @returns  to be called when the key was right
   * @throws   DOOR_ATTEMPTS with how long to wait
   */
  begin(address: string): () => void;
}

/** Too many wrong keys; says when the next one is looked at. */
export class TooManyAttempts extends Problem {
  readonly retryAfterS: number;

  constructor(retryAfterS: number) {
    super("DOOR_ATTEMPTS", "Too many wrong keys came from this address.", {
      fix: `Wait ${retryAfterS} seconds, then send the right key.`,
    });
    this.retryAfterS = retryAfterS;
  }
}

/** @param now  milliseconds on a clock that never goes back */
export function countAttempts(now: () => number = () => performance.now()): Attempts {
  const counts = new Map<string, { failures: number; readonly until: number }>();

  const placeOf = (address: string): string => {
    const place = networkOf(address);
    if (counts.has(place) || counts.size < MOST_ADDRESSES) return place;
    for (const [one, { until }] of counts) if (until <= now()) counts.delete(one);
    return counts.size < MOST_ADDRESSES ? place : ALL_OTHERS;
  };

  return {
    begin(address) {
      const place = placeOf(address);
      const known = counts.get(place);
      const count = known && known.until > now() ? known : { failures: 0, until: now() + WITHIN_MS };
      if (count.failures >= MOST_FAILURES) throw new TooManyAttempts(Math.ceil((count.until - now()) / 1000));
      count.failures++;
      counts.set(place, count);
      return () => {
        count.failures--;
        if (count.failures === 0 && counts.get(place) === count) counts.delete(place);
      };
    },
  };
}

/**
 * What one household can have of addresses: an IPv4 address, or the first 64 bits of an IPv6 one.
 * @source RFC 4291, section 2.5.4 (64 bits of interface identifier) and 2.5.5.2 (IPv4 inside IPv6)
 */
export function networkOf(address: string): string {
  const v4 = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1];
  if (v4 !== undefined) return v4;
  if (!isIPv6(address)) return address;
  const [before = "", after] = (address.split("%", 1)[0] ?? "").toLowerCase().split("::");
  const groups = (text: string): string[] => (text === "" ? [] : text.split(":"));
  const head = groups(before);
  const tail = after === undefined ? [] : groups(after);
  const zeros = after === undefined ? 0 : Math.max(0, 8 - head.length - tail.length);
  const full = [...head, ...Array<string>(zeros).fill("0"), ...tail];
  return `${full
    .slice(0, 4)
    .map((group) => group.replace(/^0+(?=.)/, ""))
    .join(":")}::/64`;
}
