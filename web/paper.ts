import { drawOpened } from "./answer.js";

/**
 * Opens all that is folded in the turn in view, and what to mind of the plan, while it is printed, and dates the sheet.
 * @param dated  where the date goes
 */
export function openForPaper(dated: HTMLElement): void {
  let opened: readonly HTMLDetailsElement[] = [];
  const open = (): void => {
    dated.textContent = `· printed ${new Date().toLocaleDateString("sv-SE")}`;
    // Twice: opening the reasons draws them, and they hold folded parts of their own.
    openFolded();
    drawOpened(document);
    openFolded();
  };
  const openFolded = (): void => {
    const folded = document.querySelectorAll<HTMLDetailsElement>(
      ":is(.turn.is-current details, .plan .cautions):not([open])",
    );
    for (const details of folded) details.open = true;
    opened = [...opened, ...folded];
  };
  const close = (): void => {
    for (const details of opened) details.open = false;
    opened = [];
  };
  window.addEventListener("beforeprint", open);
  window.addEventListener("afterprint", close);
  matchMedia("print").addEventListener("change", ({ matches }) => (matches ? open() : close()));
}
