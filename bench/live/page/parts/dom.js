// Small helpers for the document. Text only ever goes in as text: names in an archive are other people's words.

/** A new element: el("p", {class: "quiet"}, "words", child). Attributes that are null or false are left out. */
export function el(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/** The elements below `root` that have a data-f, by that name. */
export function fields(root) {
  const found = {};
  for (const element of root.querySelectorAll("[data-f]")) found[element.dataset.f] ??= element;
  return found;
}

/** Sets text only where it changes, so that nothing is read out or laid out anew for nothing. */
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** Shows `text` in a box, or hides the box where there is none. */
export function sayOrHide(element, text) {
  say(element, text ?? "");
  element.hidden = !text;
}

/** Puts `rows` in the place of what is in `list`, unless `key` says that they are the same as last time. */
export function replaceRows(list, key, makeRows) {
  if (list.dataset.key === key) return;
  list.dataset.key = key;
  list.replaceChildren(...makeRows());
}
