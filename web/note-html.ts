/** Elements that a rendered note may bring along, each with the attributes that it keeps. */
const KEPT: Readonly<Record<string, readonly string[]>> = {
  A: ["href", "title"],
  B: [],
  BLOCKQUOTE: [],
  BR: [],
  CODE: [],
  DD: [],
  DL: [],
  DT: [],
  EM: [],
  H1: [],
  H2: [],
  H3: [],
  H4: [],
  HR: [],
  I: [],
  LI: [],
  OL: ["start"],
  P: [],
  PRE: [],
  STRONG: [],
  SUB: [],
  SUP: [],
  TABLE: [],
  TBODY: [],
  TD: [],
  TH: ["scope"],
  THEAD: [],
  TR: [],
  UL: [],
};
/** Headings of a note come under the answer's own. */
const LOWERED: Readonly<Record<string, string>> = { H1: "H4", H2: "H4", H3: "H5", H4: "H6" };
const DROPPED_WHOLE = new Set(["SCRIPT", "STYLE", "TEMPLATE", "IFRAME", "OBJECT", "SVG", "MATH", "NOSCRIPT"]);
const DEEPEST = 60;

/**
 * A note's HTML as nodes for the page. The server has sanitised it; here it is parsed in a document that
 * runs nothing and copied element by element, so that only plain text markup can ever reach the page.
 */
export function noteNodes(html: string): DocumentFragment {
  const parsed = new DOMParser().parseFromString(html, "text/html");
  const copy = document.createDocumentFragment();
  copyInto(copy, parsed.body, 0);
  return copy;
}

function copyInto(target: Node, source: Node, depth: number): void {
  for (const node of source.childNodes) {
    if (node.nodeType === Node.TEXT_NODE) target.appendChild(document.createTextNode(node.textContent ?? ""));
    if (!(node instanceof Element) || DROPPED_WHOLE.has(node.tagName.toUpperCase())) continue;
    const kept = depth < DEEPEST ? KEPT[node.tagName] : undefined;
    if (depth >= DEEPEST) target.appendChild(document.createTextNode(node.textContent ?? ""));
    else if (kept) target.appendChild(copyOf(node, kept, depth));
    else copyInto(target, node, depth + 1);
  }
}

function copyOf(source: Element, kept: readonly string[], depth: number): Element {
  const copy = document.createElement(LOWERED[source.tagName] ?? source.tagName);
  for (const name of kept) {
    const value = source.getAttribute(name);
    if (value !== null && (name !== "href" || /^(https?:|#|\/(?!\/))/i.test(value)))
      copy.setAttribute(name, value);
  }
  if (copy instanceof HTMLAnchorElement) copy.rel = "noopener noreferrer";
  copyInto(copy, source, depth + 1);
  return copy;
}
