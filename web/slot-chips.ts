import type { Offers, SlotOffers } from "../server/ask/offers.js";
import type { Answer, Reading } from "../server/ask/types.js";
import { button, h } from "./dom.js";
import type { Names } from "./names.js";
import { problemView } from "./problem-view.js";
import { counted, spaced } from "./words.js";

export interface ChipActions {
  readonly ask: (reading: Reading) => void;
  /** What makes sense for each slot of the reading now. */
  readonly offers: (reading: Reading) => Promise<Offers>;
}

/**
 * A chip for every slot of what was read; a tap opens the other values that make sense, and a tap on one of them asks
 * again with it. What was carried over from the question before says so.
 */
export function slotChips(
  { reading, carried }: Pick<Answer, "reading" | "carried">,
  names: Names,
  actions: ChipActions,
): HTMLElement | null {
  const slots = Object.entries(reading?.slots ?? {}).flatMap(([name, value]) =>
    value === undefined ? [] : [{ name, value }],
  );
  if (!reading || slots.length === 0) return null;
  const chips = slots.map(({ name, value }) => ({
    name,
    element: h(
      "button",
      {
        type: "button",
        class: "slot-chip",
        "aria-expanded": "false",
        "data-slot": name,
        click: () => toggle(name),
      },
      h("span", { class: "slot-name" }, slotName(name)),
      ` ${names.slot(name, value)}`,
      carried?.slots.includes(name) && h("span", { class: "slot-carried" }, " (from the question before)"),
    ),
  }));
  const panel = h("div", { class: "slot-panel", role: "group" });
  let opened: string | null = null;
  const toggle = (name: string): void => void open(opened === name ? null : name);
  const open = async (name: string | null): Promise<void> => {
    opened = name;
    for (const { name: other, element } of chips)
      element.setAttribute("aria-expanded", String(other === opened));
    if (name === null) return panel.replaceChildren();
    panel.setAttribute("aria-label", `Instead of ${slotName(name)}`);
    panel.replaceChildren(h("p", { class: "waiting" }, "Looking it up …"));
    try {
      const { chips: all } = await actions.offers(reading);
      if (opened !== name) return;
      const found = all.find(({ slot }) => slot === name);
      panel.replaceChildren(...choicesOf(found, reading, actions));
    } catch (error) {
      if (opened === name) panel.replaceChildren(problemView(error, () => void open(name)));
    }
  };
  const element = h(
    "div",
    {
      class: "slot-chips",
      keydown: (event: KeyboardEvent) => {
        if (event.key !== "Escape" || opened === null) return;
        const chip = chips.find(({ name }) => name === opened);
        toggle(opened);
        chip?.element.focus();
      },
    },
    h(
      "ul",
      { class: "slots", "aria-label": "What was read; tap one to change it" },
      ...chips.map((chip) => h("li", {}, chip.element)),
    ),
    panel,
  );
  return element;
}

function choicesOf(found: SlotOffers | undefined, reading: Reading, actions: ChipActions): HTMLElement[] {
  const others = (found?.offers ?? []).filter(({ current }) => !current);
  if (!found || others.length === 0) return [h("p", {}, "Nothing else makes sense here.")];
  return [
    h(
      "ul",
      { class: "slot-choices" },
      ...others.map(({ said, asks, slots }) =>
        h(
          "li",
          {},
          button(said, () => actions.ask({ form: reading.form, slots, said: asks ?? said }), {
            class: "chip",
            title: asks,
          }),
        ),
      ),
    ),
    ...(found.more > 0
      ? [h("p", {}, `${counted(found.more, "more choice")}: type the question instead.`)]
      : []),
  ];
}

/** "Treatment"; how a question is put is "asked". */
function slotName(name: string): string {
  return name === "sense" ? "asked" : spaced(name);
}
