import { describe, expect, it } from "vitest";
import { hostNames, isLoopback } from "../server/host-names.js";

const address = (text: string, family: "IPv4" | "IPv6") => ({
  address: text,
  family: family as "IPv4",
  netmask: "",
  mac: "",
  internal: false,
  cidr: null,
});
const interfaces = {
  lo: [address("127.0.0.1", "IPv4")],
  wlan0: [address("192.168.1.7", "IPv4"), address("FE80::7", "IPv6")],
};

describe("the names that a Host header may carry", () => {
  it("are the address that is listened at, and the names given", () => {
    expect(hostNames("192.168.1.7", ["Bench.Local"], interfaces)).toEqual(["192.168.1.7", "bench.local"]);
    expect(hostNames("fd00::7", [], interfaces)).toEqual(["[fd00::7]"]);
    expect(hostNames("127.0.0.1", [], interfaces)).toEqual(["127.0.0.1"]);
  });

  it("are all the machine's addresses when it listens at every one, and never any name besides", () => {
    expect(hostNames("0.0.0.0", [], interfaces)).toEqual(["127.0.0.1", "192.168.1.7"]);
    expect(hostNames("::", ["bench.local"], interfaces)).toEqual([
      "127.0.0.1",
      "192.168.1.7",
      "[fe80::7]",
      "bench.local",
    ]);
  });
});

describe("a program is reached from this machine alone", () => {
  it.each(["127.0.0.1", "127.8.8.8", "localhost", "::1"])("at %s", (host) => {
    expect(isLoopback(host)).toBe(true);
  });
  it.each(["0.0.0.0", "::", "192.168.1.7", "localhost.evil.example", "127.0.0.1.evil.example", "", "::2"])(
    "not at %j",
    (host) => {
      expect(isLoopback(host)).toBe(false);
    },
  );
});
