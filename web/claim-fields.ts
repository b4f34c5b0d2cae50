import type { TreeEvents } from "./condition-tree.js";
import { button, h } from "./dom.js";
import type { PlacedFields } from "./placed-fields.js";
import { type Draft, isFields, partAt, pointerOf, readNumber, textOf } from "./rule-draft.js";
import type { RuleVocabulary } from "./wire.js";

type Attribute = RuleVocabulary["attributes"][number];
type Option = readonly [value: string, said: string];

const PARAMS = ["event", "params"] as const;

/** What a rule says where it holds; each family has fields of its own. */
export function claimFields(
  draft: Draft,
  vocabulary: RuleVocabulary,
  fields: PlacedFields,
  { set }: TreeEvents,
): readonly HTMLElement[] {
  const params = partAt(draft, PARAMS);
  const claimed = isFields(params) ? params : {};
  const put = (name: string, value: unknown, redraw = false): void => set([...PARAMS, name], value, redraw);
  const pointer = (name: string): string => pointerOf([...PARAMS, name]);
  const choice = (label: string, name: string, options: readonly Option[]): HTMLElement => {
    const now = textOf(claimed[name]);
    const select = h(
      "select",
      { change: () => put(name, select.value === "" ? undefined : select.value) },
      ...optionsOf(options, now),
    );
    return fields.field(label, pointer(name), select);
  };
  const number = (label: string, name: string, unit: string | null): HTMLElement => {
    const input = h("input", {
      type: "text",
      inputmode: "decimal",
      value: textOf(claimed[name]),
      input: () => {
        const typed = input.value.trim();
        put(name, typed === "" ? undefined : (readNumber(typed, unit) ?? typed));
      },
    });
    return fields.field(
      unit === null || unit === "count" ? label : `${label} (${unit})`,
      pointer(name),
      input,
    );
  };

  switch (draft.family) {
    case "treatment":
    case "hold":
      return attributesOf(draft, claimed, vocabulary).map((attribute) =>
        attribute.values === null && attribute.type === "number"
          ? number(attribute.meaning, attribute.name, attribute.unit)
          : attributeChoice(attribute, claimed, fields, put),
      );
    case "order": {
      const parts = vocabulary.parts.map(({ id, name }): Option => [id, name]);
      return [
        choice("Set it before this part comes on", "before", [["", "no part"], ...parts]),
        choice("Set it after this part is on", "after", [["", "no part"], ...parts]),
        choice("How strong", "strength", [
          ["must", "It must be so"],
          ["prefer", "It had better be so"],
        ]),
      ];
    }
    case "limit": {
      const facts = vocabulary.facts.filter(({ type }) => type === "number");
      const unit = facts.find(({ name }) => name === claimed.fact)?.unit ?? null;
      const select = h(
        "select",
        { change: () => put("fact", select.value, true) },
        ...optionsOf(
          [["", "choose a number"], ...facts.map(({ name, label }): Option => [name, label])],
          textOf(claimed.fact),
        ),
      );
      return [
        fields.field("The number", pointer("fact"), select),
        number("At least", "min", unit),
        number("At most", "max", unit),
      ];
    }
    case "caution": {
      const text = h("textarea", {
        rows: 3,
        maxlength: 2000,
        input: () => put("text", text.value),
      });
      text.value = textOf(claimed.text);
      const acts: readonly unknown[] = Array.isArray(claimed.acts) ? claimed.acts : [];
      const ticks = h("fieldset", { class: "several", id: fields.idOf(pointer("acts")) });
      const change = (): void =>
        put(
          "acts",
          [...ticks.querySelectorAll<HTMLInputElement>("input:checked")].map((box) => box.value),
        );
      ticks.append(
        h("legend", {}, "Read it before you"),
        ...vocabulary.acts.map((act) =>
          h(
            "label",
            { class: "tick" },
            h("input", { type: "checkbox", value: act, checked: acts.includes(act), change }),
            act,
          ),
        ),
        fields.place(pointer("acts"), ticks),
      );
      return [fields.field("What it says", pointer("text"), text), ticks];
    }
    default:
      return [h("p", {}, "Choose what sort of rule it is first.")];
  }
}

/** What the family may claim, and what is claimed though it may not. */
function attributesOf(draft: Draft, claimed: Draft, { attributes }: RuleVocabulary): readonly Attribute[] {
  return attributes.filter(({ family, name }) => family === draft.family || Object.hasOwn(claimed, name));
}

function attributeChoice(
  { name, meaning, values, type }: Attribute,
  claimed: Draft,
  fields: PlacedFields,
  put: (name: string, value: unknown) => void,
): HTMLElement {
  const now = claimed[name];
  const pointer = pointerOf([...PARAMS, name]);
  if (values === null) {
    const input = h("input", {
      type: "text",
      maxlength: 200,
      value: textOf(now),
      input: () => put(name, input.value === "" ? undefined : input.value),
    });
    return fields.field(meaning, pointer, input);
  }
  const chosen = values.findIndex(({ value }) => value === now);
  const isStrange = chosen < 0 && now !== undefined && now !== "";
  const select = h(
    "select",
    { change: () => put(name, values[Number(select.value || "-1")]?.value) },
    h("option", { value: "", selected: chosen < 0 }, isStrange ? textOf(now) : "says nothing of it"),
    ...values.map(({ said }, i) =>
      h(
        "option",
        { value: i, selected: i === chosen },
        type === "text" && said === "none" ? "none: no hold" : said,
      ),
    ),
  );
  return fields.field(meaning, pointer, select);
}

/** A value that is not among the options is shown all the same. */
function optionsOf(options: readonly Option[], now: string): readonly HTMLElement[] {
  const all: readonly Option[] = options.some(([value]) => value === now)
    ? options
    : [[now, now], ...options];
  return all.map(([value, said]) => h("option", { value, selected: value === now }, said));
}

/** Rules that it goes before, each with the reason. */
export function overrideFields(
  draft: Draft,
  vocabulary: RuleVocabulary,
  fields: PlacedFields,
  { now, set }: TreeEvents,
): readonly HTMLElement[] {
  const listNow = (): readonly unknown[] => {
    const list = now(["overrides"]);
    return Array.isArray(list) ? list : [];
  };
  const list: readonly unknown[] = Array.isArray(draft.overrides) ? draft.overrides : [];
  const put = (next: readonly unknown[]): void =>
    set(["overrides"], next.length === 0 ? undefined : next, true);
  return [
    ...list.map((one, i) => {
      const path = ["overrides", i];
      const chosen = textOf(partAt(one, ["rule"]));
      const select = h(
        "select",
        { change: () => set([...path, "rule"], select.value, false) },
        ...optionsOf(ruleOptions(vocabulary), chosen),
      );
      const reason = h("textarea", {
        rows: 2,
        maxlength: 2000,
        input: () => set([...path, "reason"], reason.value, false),
      });
      reason.value = textOf(partAt(one, ["reason"]));
      return h(
        "div",
        { class: "rule-part" },
        fields.field("It goes before", pointerOf([...path, "rule"]), select),
        fields.field("because", pointerOf([...path, "reason"]), reason),
        button("Take out", () => put(listNow().filter((_, at) => at !== i)), { class: "quiet" }),
      );
    }),
    h(
      "div",
      { class: "buttons" },
      button("Add a rule that it goes before", () => put([...listNow(), { rule: "", reason: "" }])),
    ),
  ];
}

/** Stronger rules that it departs from, and the kit maker's agreement. */
export function departureFields(
  draft: Draft,
  vocabulary: RuleVocabulary,
  fields: PlacedFields,
  { now, set }: TreeEvents,
): readonly HTMLElement[] {
  const { departure } = draft;
  if (!isFields(departure)) {
    return [
      h(
        "div",
        { class: "buttons" },
        button("Declare a departure", () => set(["departure"], { from: [""], reference: "" }, true)),
      ),
    ];
  }
  const from: readonly unknown[] = Array.isArray(departure.from) ? departure.from : [];
  const stronger = vocabulary.rules.filter(({ rank }) => rank === "manual" || rank === "notice");
  const reference = h("textarea", {
    rows: 2,
    maxlength: 2000,
    input: () => set(["departure", "reference"], reference.value, false),
  });
  reference.value = textOf(departure.reference);
  return [
    ...from.map((one, i) => {
      const select = h(
        "select",
        { change: () => set(["departure", "from", i], select.value, false) },
        ...optionsOf(
          [["", "choose a rule"], ...stronger.map(({ id, title }): Option => [id, title])],
          textOf(one),
        ),
      );
      return fields.field("It departs from", pointerOf(["departure", "from", i]), select);
    }),
    fields.field("Reference of the kit maker's agreement", pointerOf(["departure", "reference"]), reference),
    h(
      "div",
      { class: "buttons" },
      button("From another rule too", () => {
        const list = now(["departure", "from"]);
        set(["departure", "from"], [...(Array.isArray(list) ? list : []), ""], true);
      }),
      button("No departure", () => set(["departure"], undefined, true), { class: "quiet" }),
    ),
  ];
}

function ruleOptions({ rules }: RuleVocabulary): readonly Option[] {
  return [["", "choose a rule"], ...rules.map(({ id, title, rank }): Option => [id, `${title} (${rank})`])];
}
