import { join } from "node:path";
import { PROJECT } from "../../server/files.js";
import { openBrowser, startProgram } from "./program.js";

/** Takes the picture for the README: a real answer about the demo, with some of the work done. */
const QUESTION = "What must be set before the trim-servo mount closes?";

const program = await startProgram();
const browser = await openBrowser();
try {
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
