import { button, h } from "./dom.js";
import type { PlacedFields } from "./placed-fields.js";
import {
  blankLeaf,
  type Draft,
  isFields,
  type Join,
  joined,
  kindOf,
  type Path,
  pointerOf,
  readNumber,
  textOf,
} from "./rule-draft.js";
import type { MatchesShown, RuleVocabulary } from "./wire.js";
import { counted } from "./words.js";

type Fact = RuleVocabulary["facts"][number];

/** What the tree tells when something is chosen in it. */
export interface TreeEvents {
  /** What stands at a path now: fields change without the rest being drawn anew. */
  readonly now: (path: Path) => unknown;
  /** @param redraw  whether other fields than the one in hand change with it */
  readonly set: (path: Path, part: unknown, redraw: boolean) => void;
}

const JOINS: readonly (readonly [Join, string])[] = [
  ["all", "All of these hold"],
  ["any", "At least one of these holds"],
  ["not", "This does not hold"],
];

/** Where a rule holds, as rows of fact, comparison and value, in groups. */
export class ConditionTree {
  readonly #fields: PlacedFields;
  readonly #events: TreeEvents;
  #vocabulary: RuleVocabulary | null = null;
  /** Room for the count of each condition, by pointer into the conditions. */
  #counts = new Map<string, HTMLElement>();

  constructor(fields: PlacedFields, events: TreeEvents) {
    this.#fields = fields;
    this.#events = events;
  }

  draw(conditions: unknown, vocabulary: RuleVocabulary): HTMLElement {
    this.#vocabulary = vocabulary;
    this.#counts = new Map();
    return this.#node(conditions, ["conditions"], true);
  }

  /** Says beside each condition at how many holes it holds. */
  count(matches: MatchesShown): void {
    const nodes = new Map(matches.nodes.map((node) => [node.pointer, node]));
    for (const [pointer, room] of this.#counts) {
      const node = nodes.get(pointer);
      const words = node
        ? `${counted(node.holds, "hole")}${node.open > 0 ? `, ${node.open} more not known` : ""}`
        : "not counted";
      if (room.textContent !== words) room.textContent = words;
    }
  }

  #node(node: unknown, path: Path, isRoot: boolean): HTMLElement {
    const kind = kindOf(node);
    if (kind === "leaf") return this.#leaf(node as Draft, path);
    if (kind === null) return this.#strange(path, isRoot);
    return this.#group(node as Draft, kind, path, isRoot);
  }

  #group(node: Draft, join: Join, path: Path, isRoot: boolean): HTMLElement {
    const pointer = pointerOf(path);
    const below: readonly (readonly [unknown, Path])[] =
      join === "not"
        ? [[node.not, [...path, "not"]]]
        : (node[join] as readonly unknown[]).map((child, i) => [child, [...path, join, i]] as const);
    const select = h(
      "select",
      {
        id: this.#fields.idOf(`${pointer}/join`),
        "aria-label": isRoot
          ? "How the conditions are joined"
          : "How the conditions of this group are joined",
        change: () => this.#events.set(path, joined(this.#events.now(path), select.value as Join), true),
      },
      ...JOINS.map(([value, said]) => h("option", { value, selected: value === join }, said)),
    );
    const add = (child: Draft): void => {
      const at = [...path, join];
      const children = this.#events.now(at);
      if (Array.isArray(children)) this.#events.set(at, [...children, child], true);
    };
    return h(
      "fieldset",
      { class: "condition-group" },
      h("legend", { class: isRoot ? "unseen" : "" }, isRoot ? "Conditions" : "Group of conditions"),
      h(
        "div",
        { class: "condition-head" },
        select,
        this.#count(path),
        !isRoot && this.#remove(path, "this group of conditions"),
      ),
      this.#fields.place(pointer, select),
      h(
        "ul",
        { class: "conditions" },
        ...below.map(([child, childPath]) => h("li", {}, this.#node(child, childPath, false))),
      ),
      join !== "not" &&
        h(
          "div",
          { class: "buttons" },
          button("Add a condition", () => add(blankLeaf()), {
            id: this.#fields.idOf(`${pointer}/add`),
          }),
          button("Add a group", () => add({ any: [blankLeaf()] }), {
            id: this.#fields.idOf(`${pointer}/group`),
          }),
        ),
    );
  }

  #leaf(leaf: Draft, path: Path): HTMLElement {
    const pointer = pointerOf(path);
    const facts = this.#vocabulary?.facts ?? [];
    const name = textOf(leaf.fact);
    const fact = facts.find((one) => one.name === name) ?? null;
    const operator = textOf(leaf.operator);
    const factSelect = h(
      "select",
      {
        id: this.#fields.idOf(`${pointer}/fact`),
        "aria-label": "Fact",
        change: () => this.#events.set(path, leafFor(facts, factSelect.value, operatorSelect.value), true),
      },
      !fact && h("option", { value: name, selected: true }, name === "" ? "choose a fact" : name),
      ...grouped(facts).map(([from, some]) =>
        h(
          "optgroup",
          { label: from },
          ...some.map((one) => h("option", { value: one.name, selected: one === fact }, one.label)),
        ),
      ),
    );
    const operatorSelect = h(
      "select",
      {
        id: this.#fields.idOf(`${pointer}/operator`),
        "aria-label": "Comparison",
        change: () => {
          const operator = operatorSelect.value;
          const value = valueFor(operator, this.#events.now([...path, "value"]));
          this.#events.set(path, { fact: name, operator, value }, true);
        },
      },
      !fact?.operators.some((one) => one.operator === operator) &&
        h("option", { value: operator, selected: true }, this.#sayOperator(operator)),
      ...(fact?.operators ?? []).map((one) =>
        h("option", { value: one.operator, selected: one.operator === operator }, one.said),
      ),
    );
    return h(
      "div",
      { class: "condition" },
      h(
        "div",
        { class: "condition-row" },
        factSelect,
        operatorSelect,
        fact ? this.#value(leaf, fact, operator, path) : null,
        this.#remove(path, `the condition on ${fact?.label ?? "no fact yet"}`),
      ),
      h(
        "p",
        { class: "condition-note" },
        this.#count(path),
        fact && ` ${fact.meaning}${fact.unit === null || fact.unit === "count" ? "" : ` (${fact.unit})`}.`,
      ),
      this.#fields.place(pointer, factSelect),
    );
  }

  /** An operator that the fact does not take, or that no fact is chosen for yet. */
  #sayOperator(operator: string): string {
    const known = this.#vocabulary?.facts
      .flatMap(({ operators }) => operators)
      .find((one) => one.operator === operator);
    return known?.said ?? operator;
  }

  #value(leaf: Draft, fact: Fact, operator: string, path: Path): HTMLElement {
    const { value } = leaf;
    const at = [...path, "value"];
    const pointer = pointerOf(at);
    const id = this.#fields.idOf(pointer);
    const others = comparable(fact, operator, this.#vocabulary?.facts ?? []);
    const isFact = isFields(value);
    const control = isFact
      ? this.#otherFact(value, others, at, id)
      : operator === "in" || operator === "notIn"
        ? this.#several(value, fact, at, id)
        : this.#one(value, fact, at, id);
    return h(
      "div",
      { class: "condition-value" },
      control,
      control.getAttribute("list") !== null &&
        h(
          "datalist",
          { id: `${id}-found` },
          ...(fact.values ?? []).map(({ value: found, holes }) =>
            h("option", { value: String(found), label: counted(holes, "hole") }),
          ),
        ),
      others.length > 0 &&
        button(
          isFact ? "a value" : "another fact",
          () => this.#events.set(at, isFact ? "" : { fact: others[0]?.name ?? "" }, true),
          {
            class: "quiet",
            id: `${id}-instead`,
            "aria-label": isFact ? "Compare with a value instead" : "Compare with another fact instead",
          },
        ),
      this.#fields.place(pointer, control),
    );
  }

  #one(value: unknown, fact: Fact, at: Path, id: string): HTMLSelectElement | HTMLInputElement {
    const { values, type, unit, label } = fact;
    if (values !== null && type !== "number" && values.length > 0) {
      const chosen = values.findIndex((one) => one.value === value);
      const select = h(
        "select",
        {
          id,
          "aria-label": `Value of ${label}`,
          change: () => this.#events.set(at, values[Number(select.value)]?.value ?? "", false),
        },
        chosen < 0 && h("option", { value: "", selected: true }, textOf(value) || "choose a value"),
        ...values.map(({ said, holes }, i) =>
          h("option", { value: i, selected: i === chosen }, `${said} · ${counted(holes, "hole")}`),
        ),
      );
      return select;
    }
    const input = h("input", {
      id,
      type: "text",
      inputmode: type === "number" ? "decimal" : "text",
      maxlength: 200,
      value: textOf(value),
      "aria-label": `Value of ${label}${unit === null || unit === "count" ? "" : `, ${unit}`}`,
      list: type === "number" && values ? `${id}-found` : null,
      input: () => {
        const typed = input.value;
        this.#events.set(at, type === "number" ? (readNumber(typed, unit) ?? typed) : typed, false);
      },
    });
    return input;
  }

  /** Several values: boxes to tick where they can be listed, else text with semicolons. */
  #several(value: unknown, fact: Fact, at: Path, id: string): HTMLInputElement | HTMLFieldSetElement {
    const chosen: readonly unknown[] = Array.isArray(value) ? value : [];
    const { values, label, type, unit } = fact;
    if (values === null || values.length === 0) {
      const input = h("input", {
        id,
        type: "text",
        value: chosen.map(textOf).join("; "),
        "aria-label": `Values of ${label}, with semicolons between them`,
        input: () => {
          const typed = input.value
            .split(";")
            .map((one) => one.trim())
            .filter(Boolean);
          const read = typed.map((one) => (type === "number" ? (readNumber(one, unit) ?? one) : one));
          this.#events.set(at, read, false);
        },
      });
      return input;
    }
    const kept = chosen.filter((one) => !values.some((known) => known.value === one));
    const set = h("fieldset", { id, class: "several" });
    const change = (): void => {
      const ticked = [...set.querySelectorAll<HTMLInputElement>("input:checked")];
      const read = ticked.flatMap((box) => values[Number(box.value)]?.value ?? []);
      this.#events.set(at, [...kept, ...read], false);
    };
    set.append(
      h("legend", { class: "unseen" }, `Values of ${label}`),
      ...(kept.length > 0 ? [h("p", {}, `Not in this kit: ${kept.map(textOf).join(", ")}`)] : []),
      ...values.map(({ said, holes, value: one }, i) =>
        h(
          "label",
          { class: "tick" },
          h("input", { type: "checkbox", value: i, checked: chosen.includes(one), change }),
          `${said} · ${counted(holes, "hole")}`,
        ),
      ),
    );
    return set;
  }

  #otherFact(value: Draft, others: readonly Fact[], at: Path, id: string): HTMLSelectElement {
    const select = h(
      "select",
      {
        id,
        "aria-label": "The other fact",
        change: () => this.#events.set(at, { fact: select.value }, false),
      },
      !others.some(({ name }) => name === value.fact) &&
        h("option", { value: textOf(value.fact), selected: true }, textOf(value.fact)),
      ...others.map(({ name, label }) => h("option", { value: name, selected: name === value.fact }, label)),
    );
    return select;
  }

  #count(path: Path): HTMLElement {
    const room = h("span", { class: "condition-count" }, "…");
    this.#counts.set(pointerOf(path.slice(1)), room);
    return room;
  }

  #remove(path: Path, what: string): HTMLElement | null {
    // What stands under a "not" goes with it.
    if (path.at(-1) === "not") return null;
    return button("✕", () => this.#events.set(path, undefined, true), {
      class: "remove",
      "aria-label": `Take out ${what}`,
    });
  }

  /** Something that only the JSON can mend. */
  #strange(path: Path, isRoot: boolean): HTMLElement {
    const fresh = (): void => this.#events.set(path, isRoot ? { all: [blankLeaf()] } : blankLeaf(), true);
    return h(
      "div",
      { class: "condition" },
      h("p", {}, "This condition can only be mended in the JSON. "),
      button("Begin it anew", fresh),
    );
  }
}

/** Facts under where they come from, in the dictionary's order. */
function grouped(facts: readonly Fact[]): readonly (readonly [string, readonly Fact[]])[] {
  const from = new Map<string, Fact[]>();
  for (const fact of facts) from.set(fact.from, [...(from.get(fact.from) ?? []), fact]);
  return [...from];
}

/** A condition on another fact: what still fits it is kept. */
function leafFor(facts: readonly Fact[], name: string, operator: string): Draft {
  const fact = facts.find((one) => one.name === name) ?? null;
  const fits = fact?.operators.find((one) => one.operator === operator) ?? fact?.operators[0];
  const chosen = fits?.operator ?? "equal";
  return { fact: name, operator: chosen, value: valueFor(chosen, null) };
}

/** The value for another comparison: a list for "is one of", one value for the others. */
function valueFor(operator: string, value: unknown): unknown {
  const takesList = operator === "in" || operator === "notIn";
  if (isFields(value)) return takesList ? [] : value;
  if (takesList) return Array.isArray(value) ? value : value === "" || value === null ? [] : [value];
  if (Array.isArray(value)) return value[0] ?? "";
  return value ?? "";
}

/** Facts that this one can be compared with. */
function comparable({ name, type, unit }: Fact, operator: string, facts: readonly Fact[]): readonly Fact[] {
  if (type !== "number" && type !== "text") return [];
  if (operator === "in" || operator === "notIn") return [];
  return facts.filter((one) => one.type === type && one.unit === unit && one.name !== name);
}
