import { join } from "node:path";
import { PROJECT } from "../../server/files.js";
import type { HoleState, Mark } from "../../server/kit/work.js";
import { openBrowser, startProgram } from "./program.js";

/** Takes the picture for the README: a real answer about the demo, with some of the work done. */
const QUESTION = "Which ribs are different?";
const DONE = {
  kit: "sedge-two",
  assembly: "tailplane",
  marks: [
    ...row("FRONT-SPAR.bottom", 29, "pinned"),
    ...row("RIB-2.bottom", 7, "set"),
    ...row("RIB-5.bottom", 7, "pinned"),
  ],
};

function row(id: string, holes: number, state: HoleState): Mark[] {
  return Array.from({ length: holes }, (_, i) => ({ kind: "hole", hole: `${id}.${i + 1}`, state }));
}

const program = await startProgram();
const browser = await openBrowser();
try {
  await fetch(`${program.url}/api/marks`, {
    method: "POST",
    headers: { "content-type": "application/json", "idempotency-key": "picture", "if-match": "*" },
    body: JSON.stringify(DONE),
  });
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  await page.goto(program.url);
  await page.getByRole("textbox", { name: "Your question" }).fill(QUESTION);
  await page.keyboard.press("Enter");
  await page.locator(".turn.is-current .headline-words").waitFor();
  await page.screenshot({ path: join(PROJECT, "web", "page.png") });
} finally {
  await browser.close();
  await program.stop();
}
