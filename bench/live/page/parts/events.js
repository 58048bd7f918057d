// What happened, newest first.

import {el} from "./dom.js";
import {clock, elapsed} from "./words.js";

const kMost = 200;

export class Events {
  #list;
  #seen = new Set();

  constructor(list) {
    this.#list = list;
  }

  clear() {
    this.#seen.clear();
    this.#list.replaceChildren();
  }

  get length() {
    return this.#seen.size;
  }

  /** Whether it was new. begun: Date of the run's start, or null. */
  add(event, begun) {
    const key = `${event.time_s} ${event.kind} ${event.text}`;
    if (this.#seen.has(key)) return false;
    this.#seen.add(key);
    const at = begun ? `${clock(new Date(begun.getTime() + event.time_s * 1000))}, ` : "";
    this.#list.prepend(el("li", {"data-kind": event.kind},
      el("span", {class: "event-time"}, `${at}${elapsed(event.time_s)} since start`),
      el("span", {class: "event-kind"}, event.kind.replaceAll("_", " ")),
      el("span", {class: "event-text"}, event.text)));
    while (this.#list.children.length > kMost) this.#list.lastElementChild.remove();
    return true;
  }
}
