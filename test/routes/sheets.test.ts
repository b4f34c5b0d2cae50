import { describe, expect, it } from "vitest";
import { html } from "../../server/routes/html.js";
import { assembly, assemblyPath, openShop } from "./shop.js";

const [step] = assembly.steps.filter(({ rows }) => rows.length > 0);
const sheetPath = `${assemblyPath}/steps/${step?.id}/sheet`;

describe("GET …/steps/{step}/sheet", () => {
  it("gives the step's rivets, and the same on a page for print", async () => {
    const { request } = await openShop();
    const { body } = await request.get(sheetPath).expect(200);
    expect(body.step.id).toBe(step?.id);
    expect(body.rivets.length).toBeGreaterThan(0);
    const { text, headers } = await request.get(`${sheetPath}.html`).expect(200);
    expect(headers["content-type"]).toBe("text/html; charset=utf-8");
    for (const { code } of body.rivets) expect(text).toContain(code);
    expect(text).toContain(body.ground.replaceAll("'", "&#39;"));
  });

  it("the page has no script and no style of its own", async () => {
    const { request } = await openShop();
    for (const path of [`${sheetPath}.html`, `${assemblyPath}/sheet.html`, `${assemblyPath}/plan.html`]) {
      const { text, headers } = await request.get(path).expect(200);
      expect(text).not.toMatch(/<script|<style|\bstyle=|\bon[a-z]+=|javascript:/i);
      expect(text).toContain('<link rel="stylesheet" href="/sheet.css">');
      expect(headers["content-security-policy"]).toContain("default-src 'none'");
    }
  });

  it("every step of the manual has its sheet, linked from every other", async () => {
    const { request } = await openShop();
    const { text } = await request.get(`${assemblyPath}/sheet.html`).expect(200);
    for (const { id } of assembly.steps) {
      const path = `${assemblyPath}/steps/${encodeURIComponent(id)}/sheet.html`;
      expect(text).toContain(`href="${path}"`);
      const { text: own } = await request.get(path).expect(200);
      expect(own).toContain(`href="${path}" aria-current="page"`);
    }
  });

  it.each([
    [`${assemblyPath}/steps/nosuch/sheet`, 404, "UNKNOWN_STEP"],
    [`${assemblyPath}/steps/%3Cscript%3E/sheet.html`, 404, "UNKNOWN_STEP"],
    [`${assemblyPath}/sheet?spares=101`, 400, "REQUEST_INVALID"],
    [`${assemblyPath}/sheet?spares=-1`, 400, "REQUEST_INVALID"],
    [`${assemblyPath}/sheet?spares=ten`, 400, "REQUEST_INVALID"],
    [`${assemblyPath}/sheet?spare=10`, 400, "REQUEST_INVALID"],
    ["/api/kits/nosuch/assemblies/x/sheet", 404, "UNKNOWN_KIT"],
  ])("%s is a clear problem", async (path, status, code) => {
    const { request, unforeseen } = await openShop();
    const reply = await request.get(path);
    expect({ status: reply.status, code: reply.body.code }).toEqual({ status, code });
    expect(unforeseen).toEqual([]);
  });

  it("spares are a percentage, shown beside the count", async () => {
    const { request } = await openShop();
    const { body } = await request.get(`${assemblyPath}/sheet?spares=10`).expect(200);
    expect(body.sparesPercent).toBe(10);
    expect((await request.get(`${assemblyPath}/sheet.html?spares=10`)).text).toContain("(+10 %)");
  });
});

describe("GET …/plan.html", () => {
  it("shows the picture and every step with a box to tick", async () => {
    const { request } = await openShop();
    const { text } = await request.get(`${assemblyPath}/plan.html`).expect(200);
    const { body } = await request.get(`${assemblyPath}/plan`).expect(200);
    expect(text).toContain('<img src="plan.svg"');
    expect(text.match(/<td class="tick"/g)?.length).toBeGreaterThanOrEqual(body.steps.length);
  });
});

describe("markup for paper", () => {
  it("escapes all that is put into it, in text and in attributes", () => {
    const bad = `"><script>alert('1')</script>&`;
    expect(html`<p title="${bad}">${[bad, html`<b>${bad}</b>`]}</p>`.text).not.toMatch(/<script|alert\('/);
    expect(html`<i>${null}${undefined}${false}${0}</i>`.text).toBe("<i>0</i>");
  });
});
