/** Text is only ever added as text; nothing here parses markup. */
type Child = Node | string | null | undefined | false;
type Handler = (event: never) => void;
type Attributes = Readonly<Record<string, string | number | boolean | null | undefined | Handler>>;

/** An HTML element. Function attributes are listeners; `true` is an empty attribute, `false` and null none. */
export function h<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  return filled(document.createElement(tag), attributes, children);
}

/** The same for SVG. */
export function svg<K extends keyof SVGElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: readonly Child[]
): SVGElementTagNameMap[K] {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
}

/** A plain button that does one thing. */
export function button(label: string, click: () => void, attributes: Attributes = {}): HTMLButtonElement {
  return h("button", { type: "button", ...attributes, click }, label);
}

/** An element that the page's own HTML must contain. */
export function byId(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (!found) throw new Error(`index.html has no #${id}`);
  return found;
}

function filled<E extends Element>(element: E, attributes: Attributes, children: readonly Child[]): E {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value as (event: Event) => void);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined)
      element.setAttribute(name, String(value));
  }
  for (const child of children) if (child) element.append(child);
  return element;
}
