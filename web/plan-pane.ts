import { fetchPlan, paperPath } from "./api.js";
import type { Bench, OnBench } from "./bench.js";
import { cautionsView } from "./cautions.js";
import { button, h } from "./dom.js";
import { problemView } from "./problem-view.js";
import type { PlanShown, PlanStepShown } from "./wire.js";
import { counted } from "./words.js";

/** The order of work: what to print, the picture, and the same as a list whose rows lead to the map. */
export class PlanPane {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #showHoles: (holes: readonly string[]) => void;
  readonly #papers = h("div", { class: "papers" });
  readonly #picture = h("div", { class: "plan-picture" });
  readonly #list = h("div", { class: "plan-steps" });
  #isShown = false;
  /** The work that was last drawn; null = nothing yet. */
  #drawn: { readonly assembly: OnBench["assembly"]; readonly version: number } | null = null;

  constructor(bench: Bench, showHoles: (holes: readonly string[]) => void) {
    this.#bench = bench;
    this.#showHoles = showHoles;
    this.element = h(
      "section",
      { class: "plan", "aria-label": "The order of work" },
      this.#papers,
      this.#picture,
      this.#list,
    );
    bench.on.watch(() => void this.#draw());
  }

  /** Whether it is in view: a plan is worked out only then. */
  show(isShown: boolean): void {
    if (this.#isShown === isShown) return;
    this.#isShown = isShown;
    void this.#draw();
  }

  async #draw(): Promise<void> {
    const on = this.#bench.on.value;
    if (!on || !this.#isShown) return;
    const { assembly, work } = on;
    if (this.#drawn?.assembly === assembly && this.#drawn.version === work.version) return;
    const isNew = this.#drawn?.assembly !== assembly;
    const drawn = { assembly, version: work.version };
    this.#drawn = drawn;
    if (isNew) {
      this.#papers.replaceChildren(...papersOf(on));
      this.#picture.replaceChildren();
      this.#list.replaceChildren();
    }
    this.element.setAttribute("aria-busy", "true");
    try {
      const plan = await fetchPlan(assembly.kit.id, assembly.id);
      if (this.#drawn !== drawn) return;
      this.#picture.replaceChildren(...this.#pictureOf(on, plan));
      this.#list.replaceChildren(...this.#stepsOf(on, plan));
    } catch (error) {
      if (this.#drawn !== drawn) return;
      this.#drawn = null;
      // A picture of how things stood before would be taken for the order of work now.
      this.#picture.replaceChildren();
      this.#list.replaceChildren(problemView(error, () => void this.#draw()));
    } finally {
      if (this.#drawn === drawn || this.#drawn === null) this.element.removeAttribute("aria-busy");
    }
  }

  #pictureOf({ assembly }: OnBench, plan: PlanShown): HTMLElement[] {
    const path = paperPath(assembly.kit.id, assembly.id, "plan.svg");
    const image = h("img", {
      // A new address for each state of the work, so that no old picture is shown for it.
      src: `${path}?version=${plan.version}`,
      alt: `Picture of the order of work: ${counted(plan.steps.length, "step")}, the same as in the list below.`,
    });
    const frame = h(
      "div",
      { class: "plan-frame", tabindex: 0, role: "region", "aria-label": "Picture of the order of work" },
      image,
    );
    const size = button("", () => show(!frame.classList.contains("is-full")), { class: "plan-size" });
    const show = (isFull: boolean): void => {
      frame.classList.toggle("is-full", isFull);
      size.textContent = isFull ? "Fit to the width" : "Full size";
    };
    // On a phone nobody could read it at that width.
    show(matchMedia("(max-width: 30rem)").matches);
    return [h("div", { class: "plan-head" }, h("h2", {}, "Picture"), size), frame];
  }

  #stepsOf(on: OnBench, { status, steps, turnOvers, cautions }: PlanShown): HTMLElement[] {
    const sum =
      status === "impossible"
        ? "There is no order in which everything can be built from here. Ask for the whole order to see why."
        : status === "done"
          ? "Nothing is left to do for now."
          : `${counted(steps.length, "step")} from here, ${turnOvers === 0 ? "never turned over" : `turned over ${counted(turnOvers, "time")}`}. Steps of one layer could be done side by side.`;
    return [
      h("h2", {}, "Steps"),
      h("p", {}, sum),
      ...cautionsView(cautions),
      h("ol", { class: "step-list" }, ...steps.map((step) => h("li", {}, ...this.#step(step, on)))),
    ];
  }

  #step(
    { where, said, holes = [], generation, reasons }: PlanStepShown,
    { assembly }: OnBench,
  ): HTMLElement[] {
    const manual = reasons.find(({ code }) => code === "manual")?.step;
    return [
      holes.length > 0
        ? button(where, () => this.#showHoles(holes), { class: "row-where", title: "Show on the map" })
        : h("span", { class: "step-where" }, where),
      h("p", {}, said),
      h(
        "p",
        { class: "step-layer" },
        `layer ${generation + 1}`,
        manual !== undefined && " · ",
        manual !== undefined && paperLink(assembly, { step: manual }, `sheet of step ${manual}`),
      ),
    ];
  }
}

function paperLink(
  { kit, id }: OnBench["assembly"],
  paper: Parameters<typeof paperPath>[2],
  words: string,
): HTMLElement {
  return h("a", { href: paperPath(kit.id, id, paper), target: "_blank", rel: "noopener" }, words);
}

/** What can be printed: the plan, the picking list, and a sheet for each step of the manual. */
function papersOf({ assembly }: OnBench): HTMLElement[] {
  const { steps } = assembly;
  const link = (paper: Parameters<typeof paperPath>[2], words: string): HTMLElement =>
    h("li", {}, paperLink(assembly, paper, words));
  const sheets = h(
    "details",
    { class: "step-sheets" },
    h("summary", {}, `A sheet for each step of the manual (${steps.length})`),
    h(
      "ul",
      { class: "paper-links" },
      ...steps.map((step) => link({ step: step.id }, `${step.id} ${step.title}`)),
    ),
  );
  return [
    h("h2", {}, "Print"),
    h(
      "ul",
      { class: "paper-links" },
      link("plan.html", "The order of work"),
      link("sheet.html", "Picking list of the whole assembly"),
    ),
    ...(steps.length > 0 ? [sheets] : []),
  ];
}
