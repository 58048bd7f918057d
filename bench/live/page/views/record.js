// One run of the archive: what came out, its curves, the report.

import {askHistory} from "../parts/access.js";
import {Charts} from "../parts/charts.js";
import {fields, say, sayOrHide} from "../parts/dom.js";
import {Events} from "../parts/events.js";
import {Samples} from "../parts/samples.js";
import {showVerdicts} from "../parts/verdicts.js";

export class RecordView {
  #f;
  #refused;
  #samples = new Samples();
  #charts;
  #events;
  #run = null;

  constructor(root, {refused}) {
    this.#f = fields(root);
    this.#refused = refused;
    this.#events = new Events(this.#f.events);
    this.#charts = new Charts(this.#f.charts, this.#samples, (from, to) => askHistory(this.#run, from, to));
  }

  async show(run) {
    this.#run = run;
    say(this.#f.title, `Run ${run}`);
    say(this.#f.about, "");
    this.#f["figures-card"].hidden = true;
    this.#f["events-card"].hidden = true;
    sayOrHide(this.#f.error, null);
    sayOrHide(this.#f.busy, "The figures are being worked out…");
    this.#samples.clear();
    this.#events.clear();
    this.#charts.reset();
    await this.#load(run);
    if (this.#run === run) sayOrHide(this.#f.busy, null);
  }

  async #load(run) {
    try {
      const history = await askHistory(run);
      if (this.#run !== run) return;
      this.#samples.append(history.columns);
      this.#charts.changed();
      for (const event of history.events ?? []) this.#events.add(event, null);
      this.#f["events-card"].hidden = this.#events.length === 0;
      const figures = await showVerdicts(this.#f.verdicts, run);
      if (this.#run !== run) return;
      say(this.#f.title, figures.pack);
      say(this.#f.about, `Run ${run} · ${figures.software ?? ""}`);
      this.#f["figures-card"].hidden = false;
    } catch (problem) {
      if (this.#run !== run) return;
      if (problem.status === 401 || problem.status === 403) this.#refused(problem.message);
      sayOrHide(this.#f.error, problem.status === 409 ? `No figures yet: ${problem.message}.` : `Could not be had: ${problem.message}.`);
    }
  }
}
