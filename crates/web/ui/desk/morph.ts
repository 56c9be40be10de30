// Turns one drawing into another in place: what did not change keeps its element, so that the browser
// repaints only what moved.

/** The root of a drawing that is not in the page yet. */
export function drawing(svg: string): Element | null {
  const made = document.createElement("template");
  made.innerHTML = svg;
  return made.content.firstElementChild;
}

/** Makes `kept` look like `wanted`; attributes named in `own` belong to the page and stay as they are. */
export function morph(kept: Element, wanted: Element, own: readonly string[] = []): void {
  for (const { name, value } of wanted.attributes) if (!own.includes(name) && kept.getAttribute(name) !== value) kept.setAttribute(name, value);
  for (const { name } of [...kept.attributes]) if (!own.includes(name) && !wanted.hasAttribute(name)) kept.removeAttribute(name);
  let old = kept.firstChild;
  for (const next of [...wanted.childNodes]) {
    if (!old) {
      kept.append(next);
      continue;
    }
    const after: ChildNode | null = old.nextSibling;
    if (old.nodeType !== next.nodeType || old.nodeName !== next.nodeName) old.replaceWith(next);
    else if (old instanceof Element && next instanceof Element) {
      if (!old.isEqualNode(next)) morph(old, next);
    } else if (old.nodeValue !== next.nodeValue) old.nodeValue = next.nodeValue;
    old = after;
  }
  while (old) {
    const after: ChildNode | null = old.nextSibling;
    old.remove();
    old = after;
  }
}
