import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { countAttempts, networkOf, TooManyAttempts } from "../../server/keys/attempts.js";

/** A clock that the test turns. */
function clock(): { now: () => number; pass: (ms: number) => void } {
  let at = 1000;
  return {
    now: () => at,
    pass: (ms) => {
      at += ms;
    },
  };
}

/** Wrong keys until the address is turned away. */
function failures(begin: (address: string) => unknown, address: string, most = 5000): number {
  for (let count = 0; count < most; count++) {
    try {
      begin(address);
    } catch (error) {
      if (error instanceof TooManyAttempts) return count;
      throw error;
    }
  }
  return most;
}

describe("wrong keys", () => {
  it("are ten from one address, then none until ten minutes after the first", () => {
    const time = clock();
    const { begin } = countAttempts(time.now);
    expect(failures(begin, "10.0.0.1")).toBe(10);
    expect(failures(begin, "10.0.0.2")).toBe(10);
    time.pass(9 * 60_000);
    expect(failures(begin, "10.0.0.1")).toBe(0);
    time.pass(60_000);
    expect(failures(begin, "10.0.0.1")).toBe(10);
  });

  it("say how long to wait", () => {
    const time = clock();
    const { begin } = countAttempts(time.now);
    failures(begin, "10.0.0.1");
    time.pass(60_500);
    let told: unknown;
    try {
      begin("10.0.0.1");
    } catch (error) {
      told = error;
    }
    expect(told).toMatchObject({ code: "DOOR_ATTEMPTS", retryAfterS: 540 });
  });

  it("count while they are still being looked at, so that many at once gain nothing", () => {
    const { begin } = countAttempts(clock().now);
    const passed = Array.from({ length: 10 }, () => begin("10.0.0.1"));
    expect(() => begin("10.0.0.1")).toThrow(TooManyAttempts);
    passed[0]?.();
    expect(() => begin("10.0.0.1")).not.toThrow();
  });

  it("are not counted against whoever sends the right one", () => {
    const { begin } = countAttempts(clock().now);
    for (let i = 0; i < 100; i++) begin("10.0.0.1")();
    expect(failures(begin, "10.0.0.1")).toBe(10);
  });

  it("from very many addresses are counted in bounded memory, and still run out", () => {
    const { begin } = countAttempts(clock().now);
    for (let i = 0; i < 1000; i++) begin(`10.1.${i >> 8}.${i & 255}`);
    let taken = 0;
    for (let i = 0; i < 1000; i++) taken += failures(begin, `10.2.${i >> 8}.${i & 255}`, 1);
    expect(taken).toBe(10);
  });

  it("make room for new addresses once their time is over", () => {
    const time = clock();
    const { begin } = countAttempts(time.now);
    for (let i = 0; i < 1000; i++) begin(`10.1.${i >> 8}.${i & 255}`);
    time.pass(11 * 60_000);
    expect(failures(begin, "10.2.0.1")).toBe(10);
    expect(failures(begin, "10.2.0.2")).toBe(10);
  });
});

describe("an address", () => {
  it.each([
    ["192.168.1.7", "192.168.1.7"],
    ["::ffff:192.168.1.7", "192.168.1.7"],
    ["::1", "0:0:0:0::/64"],
    ["2001:db8:0:1::7", "2001:db8:0:1::/64"],
    ["2001:0db8:0000:0001:aaaa:bbbb:cccc:dddd", "2001:db8:0:1::/64"],
    ["fe80::1%eth0", "fe80:0:0:0::/64"],
  ])("%s counts as %s", (address, network) => {
    expect(networkOf(address)).toBe(network);
  });

  it("of IPv6 counts with all that share its first 64 bits, however it is written", () => {
    const group = fc.integer({ min: 0, max: 0xffff });
    fc.assert(
      fc.property(fc.array(group, { minLength: 4, maxLength: 4 }), group, (head, last) => {
        const long = [...head, 0, 0, 0, last].map((one) => one.toString(16).padStart(4, "0")).join(":");
        const short = `${head.map((one) => one.toString(16)).join(":")}::${last.toString(16)}`;
        expect(networkOf(long)).toBe(networkOf(short));
      }),
    );
  });
});
