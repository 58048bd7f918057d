// The archive: which runs there are, and which to lay over each other.

import {askJson} from "../parts/access.js";
import {el, fields, say, sayOrHide} from "../parts/dom.js";
import {dateAndTime, duration} from "../parts/words.js";

const kMost = 6;
const kLimit = 500;

export class ArchiveView {
  #f;
  #refused;
  #chosen = new Set();

  constructor(root, {refused}) {
    this.#f = fields(root);
    this.#refused = refused;
    this.#f.filter.addEventListener("submit", (event) => {
      event.preventDefault();
      this.show();
    });
    this.#f.filter.addEventListener("reset", () => setTimeout(() => this.show()));
    this.#f.compare.addEventListener("click", () => { location.hash = `#/compare/${[...this.#chosen].join("/")}`; });
  }

  async show() {
    try {
      const runs = await askJson(`/api/runs?${this.#query()}`, {timeout_ms: 60000});
      sayOrHide(this.#f.error, null);
      this.#list(runs);
    } catch (problem) {
      if (problem.status === 401 || problem.status === 403) this.#refused(problem.message);
      sayOrHide(this.#f.error, `The archive could not be read: ${problem.message}.`);
    }
  }

  #query() {
    const query = new URLSearchParams({limit: String(kLimit)});
    for (const [name, value] of new FormData(this.#f.filter)) if (value) query.set(name, value);
    return query;
  }

  #list(runs) {
    const present = new Set(runs.map((run) => run.run));
    for (const run of this.#chosen) if (!present.has(run)) this.#chosen.delete(run);
    const more = runs.length === kLimit ? `The newest ${kLimit}; filter to see others.` : "";
    say(this.#f.count, runs.length === 0 ? "No run is like that." : `${runs.length} ${runs.length === 1 ? "run" : "runs"}. ${more}`);
    this.#f.list.replaceChildren(runs.length === 0 ? "" : this.#table(runs));
    this.#tellChoice();
  }

  #table(runs) {
    const head = [["Choose", "pick"], ["Pack", ""], ["Begun", "wide"], ["Chemistry", "wide"], ["Lasted", "wide"], ["Ended", ""]];
    return el("table", {class: "runs"},
      el("caption", {class: "visually-hidden"}, "Runs of the archive"),
      el("thead", {}, el("tr", {}, ...head.map(([word, kind]) => el("th", {scope: "col", class: kind || null}, el("span", {class: kind === "pick" ? "visually-hidden" : null}, word))))),
      el("tbody", {}, ...runs.map((run) => this.#row(run))));
  }

  #row(run) {
    const begun = dateAndTime(run.utc);
    const lasted = Number.isFinite(run.duration_s) ? duration(run.duration_s) : "";
    const box = el("input", {type: "checkbox", "aria-label": `Choose ${run.pack}, ${begun}`,
      onchange: (event) => this.#choose(run.run, event.target)});
    box.checked = this.#chosen.has(run.run);
    return el("tr", {},
      el("td", {class: "pick"}, el("label", {class: "tap"}, box)),
      el("th", {scope: "row"}, el("a", {href: `#/run/${run.run}`}, run.pack),
        el("span", {class: "quiet"}, [run.serial, run.builder].filter(Boolean).join(", ")),
        el("span", {class: "quiet narrow-only"}, [begun, run.chemistry, lasted].filter(Boolean).join(", "))),
      el("td", {class: "wide"}, begun),
      el("td", {class: "wide"}, run.chemistry ?? ""),
      el("td", {class: "wide"}, lasted),
      el("td", {}, run.end));
  }

  #choose(run, box) {
    if (!box.checked) this.#chosen.delete(run);
    else if (this.#chosen.size < kMost) this.#chosen.add(run);
    else box.checked = false;
    this.#tellChoice();
  }

  #tellChoice() {
    const count = this.#chosen.size;
    this.#f.compare.disabled = count < 2;
    say(this.#f["choice-words"], count === 0 ? "Choose two to six runs to lay them over each other."
      : count === 1 ? "One run chosen; choose another." : `${count} runs chosen${count === kMost ? ", no more fit" : ""}.`);
  }
}
