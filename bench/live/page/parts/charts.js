// Voltage, current, temperature and cells against time, one below the other, and the stretch of time they show.

import {bindTouch} from "./touch.js";
import {el, fields, say} from "./dom.js";
import {lineSample, makePanel} from "./panel.js";
import {kQuantities, rowsOf, sentenceOf, tableOf} from "./quantities.js";
import {Samples} from "./samples.js";
import {Stretch} from "./stretch.js";
import {elapsed, figure} from "./words.js";

const kHeights = {voltage_V: 190, current_A: 140, temperature_C: 120};
const kRefetch_ms = 250;
const kDrawEvery_ms = 250;

let groups = 0;

export class Charts {
  #fields;
  #samples;
  #near = null;       // samples of the stretch alone, asked for
  #ask;
  #stretch = new Stretch();
  #panels = [];
  #list = [];         // quantities that have a chart, the cells as one
  #asked = 0;
  #timer = 0;
  #drawn_ms = 0;
  #drawing = false;
  #point = null;
  #key = `charts-${++groups}`;

  /** holder: an empty element. samples: of the whole run. ask(from_s, to_s): columns of a stretch, or throws. */
  constructor(holder, samples, ask) {
    holder.replaceChildren(document.getElementById("t-charts").content.cloneNode(true));
    this.#fields = fields(holder);
    this.#samples = samples;
    this.#ask = ask;
    holder.querySelector(".tools").addEventListener("click", (event) => this.#do(event.target.closest("button")?.dataset.do));
    this.#fields.panels.addEventListener("focus", () => this.#describe());
    this.#fields.panels.addEventListener("keydown", (event) => this.#press(event));
    new ResizeObserver(() => this.#resize()).observe(this.#fields.panels);
    holder.querySelector("details").addEventListener("toggle", () => this.#tell());
    const redo = () => this.#build();
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redo);
    matchMedia("print").addEventListener("change", redo);
    this.#build();
    this.#describe();
  }

  /** More has come: draws, but not more than a few times a second. */
  changed() {
    if (this.#near && this.#stretch.mode === "last") this.#follow();
    if (this.#drawing || document.hidden) return;
    this.#drawing = true;
    const wait = Math.max(0, this.#drawn_ms + kDrawEvery_ms - performance.now());
    setTimeout(() => requestAnimationFrame(() => this.#draw()), wait);
  }

  /** Another run: from its beginning. */
  reset() {
    this.#near = null;
    this.#stretch.whole();
    this.changed();
  }

  get #end_s() {
    return Math.max(0, this.#samples.last_s);
  }

  get #shown() {
    return this.#near ?? this.#samples;
  }

  #build() {
    for (const panel of this.#panels) panel.destroy();
    this.#list = this.#charted();
    this.#fields.panels.replaceChildren();
    this.#panels = this.#list.map((quantity, i) => this.#panel(quantity, i === this.#list.length - 1));
    this.#draw();
  }

  /** What is not read has no chart. */
  #charted() {
    const list = kQuantities.filter(({name}) => name !== "temperature_C" || this.#samples.newest(name) !== null)
      .map((quantity) => ({...quantity, height: kHeights[quantity.name]}));
    const cells = this.#samples.cells_V.length;
    if (cells > 0) list.push({words: "Cells", unit: "V", least: 0.02, height: 150, cells});
    return list;
  }

  #panel(quantity, foot) {
    const names = quantity.cells ? Array.from({length: quantity.cells}, (_, i) => `Cell ${i + 1}`) : [quantity.words];
    const holder = el("div", {class: "panel"});
    this.#fields.panels.append(el("p", {class: "panel-name"}, `${quantity.words}, ${quantity.unit}`), holder);
    if (quantity.cells)
      this.#fields.panels.append(el("ul", {class: "legend"}, ...names.map((name, i) => el("li", {}, lineSample(i), name))));
    const plot = makePanel({holder, names, label: null, height: quantity.height + (foot ? 22 : 0), least: quantity.least,
      foot: foot, sync: this.#key, onSelect: (from, to) => this.#fix(from, to), onWhole: () => this.#do("whole"),
      onPoint: (index) => this.#pointAt(index)});
    bindTouch(plot.over, {move: (share) => this.#change(() => this.#stretch.move(share, this.#end_s)),
      zoom: (factor, at) => this.#change(() => this.#stretch.zoom(factor, this.#end_s, at))});
    return plot;
  }

  #resize() {
    const width = this.#fields.panels.clientWidth;
    if (width > 0) for (const panel of this.#panels) panel.setSize({width, height: panel.height});
  }

  #press(event) {
    const what = {ArrowLeft: "earlier", ArrowRight: "later", "+": "in", "=": "in", "-": "out", Home: "whole", End: "latest"}[event.key];
    if (!what || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.#do(what);
  }

  #do(what) {
    const acts = {
      whole: () => this.#stretch.whole(),
      hour: () => this.#stretch.last(3600),
      minutes: () => this.#stretch.last(600),
      latest: () => this.#latest(),
      earlier: () => this.#stretch.move(-0.25, this.#end_s),
      later: () => this.#stretch.move(0.25, this.#end_s),
      in: () => this.#stretch.zoom(0.5, this.#end_s),
      out: () => this.#stretch.zoom(2, this.#end_s),
    };
    if (acts[what]) this.#change(acts[what]);
  }

  #latest() {
    const [from, to] = this.#stretch.range(this.#end_s);
    this.#stretch.last(to - from);
  }

  #fix(from, to) {
    for (const panel of this.#panels) panel.setSelect({left: 0, width: 0, top: 0, height: 0}, false);
    this.#change(() => this.#stretch.fix(from, to, this.#end_s));
  }

  /** Shows at once what is here, and asks for the stretch with all that the program has of it. */
  #change(act) {
    act();
    this.#near = null;
    this.#draw();
    this.#describe();
    clearTimeout(this.#timer);
    const number = ++this.#asked;
    if (this.#stretch.mode !== "whole") this.#timer = setTimeout(() => this.#fetch(number), kRefetch_ms);
  }

  async #fetch(number) {
    const [from, to] = this.#stretch.range(this.#end_s);
    try {
      const answer = await this.#ask(from, to);
      if (number !== this.#asked) return;
      const near = new Samples();
      near.append(answer.columns);
      this.#near = near;
    } catch {
      if (number === this.#asked) say(this.#fields.readout, "Finer data of this stretch could not be had just now; shown is what is here.");
      return;
    }
    this.#follow();
    this.#draw();
  }

  /** What came since the stretch was asked for, while it follows the newest. */
  #follow() {
    if (this.#stretch.mode !== "last") return;
    this.#near.append({...this.#samples, cells_V: this.#samples.cells_V});
    this.#near.forget(this.#stretch.range(this.#end_s)[0]);
  }

  #draw() {
    this.#drawing = false;
    this.#drawn_ms = performance.now();
    if (JSON.stringify(this.#charted()) !== JSON.stringify(this.#list)) {
      this.#build();
      return;
    }
    const [from, to] = this.#stretch.range(this.#end_s);
    const shown = this.#shown;
    this.#panels.forEach((panel, i) => {
      const {name, cells} = this.#list[i];
      const columns = cells ? this.#columnsOfCells(shown, cells) : [shown[name]];
      panel.setData([shown.time_s, ...columns], false);
      panel.setScale("x", {min: from, max: to});
    });
    this.#tell();
  }

  #columnsOfCells(shown, cells) {
    return Array.from({length: cells}, (_, i) => shown.cells_V[i] ?? new Array(shown.length).fill(null));
  }

  #pointAt(index) {
    if (index === this.#point) return;
    this.#point = index;
    const shown = this.#shown;
    if (index === null || index >= shown.length) {
      say(this.#fields.readout, "");
      return;
    }
    const parts = kQuantities.map((q) => [shown[q.name][index], q]).filter(([value]) => value !== null)
      .map(([value, q]) => `${figure(value, q.digits)} ${q.unit}`);
    const cells = shown.cells_V.map((cell) => cell[index]).filter((value) => value !== null && value !== undefined);
    if (cells.length > 0) parts.push(`cells ${cells.map((value) => figure(value, 3)).join(" ")} V`);
    say(this.#fields.readout, `At ${elapsed(shown.time_s[index])}: ${parts.join(", ")}`);
  }

  #tell() {
    const [from, to] = this.#stretch.range(this.#end_s);
    const words = {whole: "Whole run", last: "The newest", fixed: "Part of the run"}[this.#stretch.mode];
    say(this.#fields.stretch, `${words}: ${elapsed(from)} to ${elapsed(to)} since the start`);
    if (this.#fields.figures.parentElement.open) this.#fields.figures.replaceChildren(tableOf(rowsOf(this.#shown, from, to)));
  }

  /** For who does not see the charts. Only when asked: what changes by itself would be read out again and again. */
  #describe() {
    const [from, to] = this.#stretch.range(this.#end_s);
    this.#fields.panels.setAttribute("aria-label",
      `Charts of ${elapsed(from)} to ${elapsed(to)}. ${sentenceOf(rowsOf(this.#shown, from, to))}`);
  }
}
