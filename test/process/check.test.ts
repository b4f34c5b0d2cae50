import { cpSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { describe, expect, it } from "vitest";
import { check } from "../../server/check.js";
import { PROJECT } from "../../server/files.js";
import { loadLibrary } from "../../server/library.js";
import { PATIENCE_MS, run, tempFolder } from "./program.js";

/** A copy of the project's kits and rules that can be spoilt. */
function copy(): string {
  const project = tempFolder();
  for (const folder of ["kb", "rules"])
    cpSync(join(PROJECT, folder), join(project, folder), { recursive: true });
  return project;
}

/** Changes the text of a file, which must hold what is to be changed. */
function spoil(path: string, from: string | RegExp, to: string): void {
  const before = readFileSync(path, "utf8");
  const after = before.replace(from, to);
  if (after === before) throw new Error(`${path} does not hold ${from}.`);
  writeFileSync(path, after);
}

const kitFolder = (project: string): string =>
  join(project, "kb/kits", readdirSync(join(project, "kb/kits"))[0] ?? "");

const problemsOf = async (project: string, paths: readonly string[] = []): Promise<string[]> =>
  (await check(paths, project)).problems.map(
    ({ code, where }) => `${code} ${where.file ?? ""}#${where.pointer ?? ""}`,
  );

describe("checking kits and rules", { timeout: PATIENCE_MS }, () => {
  it("finds nothing wrong with our own, and says how much was checked", async () => {
    const program = run("check-cli");
    expect(await program.ended).toBe(0);
    expect(program.err).toBe("");
    expect(program.out).toMatch(
      /^\d+ kits?, \d{3,} holes, \d{2,} rules with \d{2,} examples: nothing wrong\.\n$/,
    );
  });

  it("names file, place and fix of every problem, and exits with 1", async () => {
    const folder = tempFolder();
    const file = join(folder, "my-rules.json");
    writeFileSync(file, '{"format":"tailroom rules 1","rules":[{"id":"mine"}]}');
    const program = run("check-cli", [file]);
    expect(await program.ended).toBe(1);
    expect(program.err).toMatch(/^[A-Z_]+ {2}\S+my-rules\.json#\/rules\/0\S*\n {2}\S.*\n {2}fix: \S/);
    expect(program.out).toMatch(/: \d+ problems?\.\n$/);
  });

  it("warns of a rule that says what another says already, and ends well all the same", async () => {
    const project = copy();
    const file = join(project, "rules", "mine.json");
    const mine = (id: string, thickestMm: number) => ({
      id,
      title: `Thin up to ${thickestMm}`,
      family: "caution",
      basis: { rank: "handbook", document: "made up", place: "here" },
      why: "made up",
      conditions: { all: [{ fact: "thickestMm", operator: "lessThan", value: thickestMm }] },
      event: { type: "caution", params: { text: "Mind the thin sheet.", acts: ["dimple"] } },
      examples: [
        { facts: { thickestMm: thickestMm - 0.1 }, fires: true },
        { facts: { thickestMm }, fires: false },
      ],
    });
    writeFileSync(
      file,
      JSON.stringify({ format: "tailroom rules 1", rules: [mine("thin", 0.5), mine("thinner", 0.4)] }),
    );
    const { problems, warnings, notJudged } = await check([file], project);
    expect([problems, notJudged]).toEqual([[], 0]);
    expect(warnings.map(({ code, where }) => `${code} ${where.file}#${where.pointer}`)).toEqual([
      "RULE_SUBSUMES rules/mine.json#/rules/0",
    ]);
  });

  it("refuses a rule that can never hold", async () => {
    const project = copy();
    const file = join(project, "rules", "mine.json");
    const never = {
      id: "never",
      title: "Thin and thick",
      family: "caution",
      basis: { rank: "handbook", document: "made up", place: "here" },
      why: "made up",
      conditions: {
        all: [
          { fact: "thickestMm", operator: "lessThan", value: 1 },
          { fact: "thickestMm", operator: "greaterThan", value: 2 },
        ],
      },
      event: { type: "caution", params: { text: "Never said.", acts: ["dimple"] } },
      examples: [
        { facts: { thickestMm: 1.5 }, fires: true },
        { facts: { thickestMm: 3 }, fires: false },
      ],
    };
    writeFileSync(file, JSON.stringify({ format: "tailroom rules 1", rules: [never] }));
    expect(await problemsOf(project, [file])).toEqual([
      "EXAMPLE_FAILS rules/mine.json#/rules/0/examples/0",
      "RULE_NEVER_HOLDS rules/mine.json#/rules/0/conditions",
    ]);
  });

  it("finds an example that does not come out", async () => {
    const project = copy();
    const [rules = ""] = readdirSync(join(project, "rules")).filter((name) => name.startsWith("handbook"));
    spoil(join(project, "rules", rules), /"fires": true/, '"fires": false');
    const problems = await problemsOf(project);
    expect(problems.join("\n")).toMatch(/^EXAMPLE\S* rules\/handbook\S*json#\/rules\/\d+/m);
  });

  it("finds a hole off its part, and goes on with the rest", async () => {
    const project = copy();
    const assemblies = join(kitFolder(project), "assemblies");
    const [assembly = ""] = readdirSync(assemblies);
    spoil(join(assemblies, assembly), /"from": \[\s*-?[\d.]+/, '"from": [99999');
    const problems = await problemsOf(project, [kitFolder(project)]);
    expect(problems.length).toBeGreaterThan(0);
    expect(problems[0]).toContain(`assemblies/${assembly}#/`);
  });

  it("finds broken JSON, also when only the folder's file is named", async () => {
    const project = copy();
    writeFileSync(join(kitFolder(project), "kit.json"), "{");
    expect(await problemsOf(project, [join(kitFolder(project), "kit.json")])).toContainEqual(
      expect.stringMatching(/^JSON_MALFORMED kb\/kits\/.*kit\.json#$/),
    );
  });

  it("finds facts that a kit states and no rule could read", async () => {
    const project = copy();
    const assemblies = join(kitFolder(project), "assemblies");
    const [assembly = ""] = readdirSync(assemblies);
    const file = join(assemblies, assembly);
    const json = JSON.parse(readFileSync(file, "utf8"));
    json.rows[0].given = { zone: 3, gripMm: 2, zoen: "root" };
    json.rows[1].except = [{ holes: [1], given: { zone: "root", clears: true } }];
    writeFileSync(file, JSON.stringify(json));
    const place = `kb/kits/${basename(kitFolder(project))}/assemblies/${assembly}#`;
    const problems = await problemsOf(project, [kitFolder(project)]);
    expect(problems).toEqual([
      `GIVEN_TYPE ${place}/rows/0/given/zone`,
      `GIVEN_NOT_STATED ${place}/rows/0/given/gripMm`,
      `GIVEN_UNKNOWN ${place}/rows/0/given/zoen`,
      `GIVEN_NOT_STATED ${place}/rows/1/except/0/given/clears`,
    ]);
    expect(() => loadLibrary(project)).toThrow(expect.objectContaining({ code: "GIVEN_TYPE" }));
  });

  it("a gate that rulings call for is there under its trade name though the kit does not list it, before cleaning", () => {
    const project = copy();
    const kitFile = join(kitFolder(project), "kit.json");
    const kit = JSON.parse(readFileSync(kitFile, "utf8"));
    const gates = kit.prepGates.map(({ id }: { id: string }) => id);
    expect(gates).not.toContain("countersink");
    const loaded =
      loadLibrary(project)
        .kits.get(kit.id)
        ?.prepGates.map(({ id }) => id) ?? [];
    expect(loaded.filter((id) => id !== "countersink")).toEqual(gates);
    expect(loaded.indexOf("countersink")).toBe(gates.indexOf("clean"));
  });

  it("checks a kit's folder outside the project, and rule files together with ours", async () => {
    const project = copy();
    const elsewhere = join(tempFolder(), "mine");
    cpSync(kitFolder(PROJECT), elsewhere, { recursive: true });
    spoil(join(elsewhere, "kit.json"), /"id": "[^"]+"/, '"id": "mine"');
    expect(await problemsOf(project, [elsewhere])).toEqual([]);
    expect((await check([elsewhere], project)).kits).toBe((await check([], project)).kits + 1);

    const [name = ""] = readdirSync(join(PROJECT, "rules")).filter((one) => one.startsWith("handbook"));
    const twice = join(tempFolder(), "again.json");
    writeFileSync(twice, readFileSync(join(PROJECT, "rules", name)));
    expect((await problemsOf(project, [twice])).join("\n")).toContain("RULE_DUPLICATE");
  });

  it("finds rules for a kit that is not there, which would be in force nowhere", async () => {
    const project = copy();
    const file = join(project, "rules", "stray.json");
    writeFileSync(file, '{"format":"tailroom rules 1","kit":"nokit","rules":[]}');
    expect(await problemsOf(project)).toContain("KIT_UNKNOWN rules/stray.json#/kit");
  });

  it("finds a note that would be left out", async () => {
    const project = copy();
    writeFileSync(join(project, "kb/notes/bare.md"), "No front matter.");
    expect(await problemsOf(project)).toEqual(["NOTE_MALFORMED kb/notes/bare.md#"]);
  });

  it("says when there is nothing to check at a path", async () => {
    const project = copy();
    mkdirSync(join(project, "empty"));
    const problems = await problemsOf(project, [join(project, "empty"), join(project, "nowhere")]);
    expect(problems).toEqual(["PATH_INVALID empty#", "PATH_INVALID nowhere#"]);
  });
});
