// Two to six runs: their voltage over the charge removed in one chart, and their figures beside each other.

import {askJson} from "../parts/access.js";
import {el, fields, sayOrHide} from "../parts/dom.js";
import {lineSample, makePanel} from "../parts/panel.js";
import {dateAndTime, doubted, figure, missing} from "../parts/words.js";

export class CompareView {
  #f;
  #refused;
  #asked = "";
  #curves = [];
  #names = [];
  #plot = null;

  constructor(root, {refused}) {
    this.#f = fields(root);
    this.#refused = refused;
    new ResizeObserver(() => this.#plot?.setSize({width: this.#f.overlay.clientWidth, height: this.#plot.height})).observe(this.#f.overlay);
    for (const query of ["(prefers-color-scheme: dark)", "print"])
      matchMedia(query).addEventListener("change", () => this.#draw());
  }

  async show(ids) {
    const asked = ids.map((id) => `run=${encodeURIComponent(id)}`).join("&");
    this.#asked = asked;
    sayOrHide(this.#f.error, null);
    sayOrHide(this.#f.unlike, null);
    sayOrHide(this.#f.busy, "The runs are being compared…");
    this.#f.table.replaceChildren();
    try {
      const answer = await askJson(`/api/compare?${asked}`, {timeout_ms: 180000});
      if (this.#asked === asked) this.#show(ids, answer);
    } catch (problem) {
      if (this.#asked !== asked) return;
      if (problem.status === 401 || problem.status === 403) this.#refused(problem.message);
      sayOrHide(this.#f.error, `Could not be compared: ${problem.message}.`);
    }
    if (this.#asked === asked) sayOrHide(this.#f.busy, null);
  }

  #show(ids, answer) {
    const runs = ids.map((id) => answer.runs.find((run) => run.run === id)).filter(Boolean);
    const groups = new Set(runs.map((run) => run.group));
    if (groups.size > 1)
      sayOrHide(this.#f.unlike, "Not measured alike: not every figure here can be set against the others. The conditions stand in the table.");
    this.#names = namesOf(runs);
    this.#curves = runs.map((run) => answer.curves.find((curve) => curve.run === run.run) ?? {charge_Ah: [], voltage_V: []});
    this.#f.table.replaceChildren(this.#table(runs));
    this.#draw();
  }

  #draw() {
    this.#plot?.destroy();
    if (this.#curves.length === 0) return;
    const plot = el("div", {class: "panel"});
    const legend = el("ul", {class: "legend"}, ...this.#names.map((name, i) => el("li", {}, lineSample(i), name)));
    this.#f.overlay.replaceChildren(legend, plot, el("p", {class: "readout"}, ""));
    const [charge, ...voltages] = joined(this.#curves);
    this.#plot = makePanel({holder: plot, names: this.#names, label: "Voltage, V", xLabel: "Charge removed, Ah", time: false,
      height: Math.min(420, Math.max(260, window.innerHeight * 0.45)), least: 0.1, foot: true,
      onSelect: (from, to) => this.#zoom(from, to), onWhole: () => this.#zoom(charge[0], charge.at(-1)),
      onPoint: (index) => this.#tell(index, charge, voltages)});
    this.#plot.setData([charge, ...voltages], false);
    this.#zoom(charge[0] ?? 0, charge.at(-1) ?? 1);
  }

  #zoom(min, max) {
    this.#plot.setSelect({left: 0, width: 0, top: 0, height: 0}, false);
    this.#plot.setScale("x", {min, max});
  }

  #tell(index, charge, voltages) {
    const readout = this.#f.overlay.querySelector(".readout");
    if (index === null) return readout.replaceChildren();
    const parts = voltages.map((column, i) => [this.#names[i], column[index]]).filter(([, value]) => value !== null && value !== undefined);
    return readout.replaceChildren(`At ${figure(charge[index], 2)} Ah: ${parts.map(([name, value]) => `${name} ${figure(value, 3)} V`).join(", ")}`);
  }

  #table(runs) {
    const rows = [
      ["Tested", (run) => dateAndTime(run.tested_utc)],
      ["Chemistry", (run) => run.chemistry ?? missing],
      ["Rated", (run) => (Number.isFinite(run.rated_capacity_Ah) ? `${run.rated_capacity_Ah} Ah` : missing)],
      ["Capacity", (run) => doubted(run.capacity) ?? missing],
      ["Energy", (run) => doubted(run.energy) ?? missing],
      ["D.C. resistance", (run) => doubted(run.dc_resistance) ?? missing],
      ["QRP", (run) => run.QRP?.verdict ?? missing],
      ["QRO", (run) => run.QRO?.verdict ?? missing],
      ["Conditions", (run) => run.group_conditions ?? missing],
    ];
    const head = this.#names.map((name, i) => el("th", {scope: "col"}, lineSample(i), el("a", {href: `#/run/${runs[i].run}`}, name)));
    return el("div", {class: "scroll", tabindex: "0", role: "group", "aria-label": "Figures beside each other"},
      el("table", {class: "beside"}, el("thead", {}, el("tr", {}, el("td"), ...head)),
        el("tbody", {}, ...rows.map(([name, of]) => el("tr", {}, el("th", {scope: "row"}, name), ...runs.map((run) => el("td", {}, of(run))))))));
  }
}

/** Pack and serial; of a pack that is there twice the run as well. */
function namesOf(runs) {
  const names = runs.map((run) => [run.pack, run.serial].filter(Boolean).join(" "));
  return names.map((name, i) => (names.indexOf(name) === names.lastIndexOf(name) ? name : `${name}, ${runs[i].run}`));
}

/** One ascending charge for all curves, and each curve's voltage there or null. */
function joined(curves) {
  const all = [...new Set(curves.flatMap((curve) => curve.charge_Ah))].sort((a, b) => a - b);
  const columns = curves.map((curve) => {
    const at = new Map(curve.charge_Ah.map((charge, i) => [charge, curve.voltage_V[i]]));
    return all.map((charge) => at.get(charge) ?? null);
  });
  return [all, ...columns];
}
