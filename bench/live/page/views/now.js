// The run that goes on: puts what the stream says where a person looks for it.

import {askHistory} from "../parts/access.js";
import {Charts} from "../parts/charts.js";
import {el, fields, replaceRows, say, sayOrHide} from "../parts/dom.js";
import {Events} from "../parts/events.js";
import {Feed} from "../parts/feed.js";
import {Freshness} from "../parts/freshness.js";
import {explainLimits, nearestWords, showLimits} from "../parts/limits.js";
import {showNumbers} from "../parts/numbers.js";
import {showPeaks} from "../parts/peaks.js";
import {Samples} from "../parts/samples.js";
import {bindStop} from "../parts/stop.js";
import {endWords, inputWords, stepWords} from "../parts/run_words.js";
import {showVerdicts} from "../parts/verdicts.js";
import {dateAndTime, duration, packWords} from "../parts/words.js";

export class NowView {
  #f;
  #announcer;
  #link;
  #samples = new Samples();
  #fresh = new Freshness();
  #events;
  #charts;
  #feed;
  #run = null;
  #state = null;
  #ended = null;
  #mayStop = false;
  #status = {kind: "opening"};
  #stopTold = null;

  /** root: the view's section; link(status, fresh): shows the connection; refused(words): a token is needed; told(answer of /api/now). */
  constructor(root, announcer, {link, refused, told}) {
    this.#f = fields(root);
    this.#announcer = announcer;
    this.#link = link;
    this.#events = new Events(this.#f.events);
    this.#charts = new Charts(this.#f.charts, this.#samples, (from, to) => askHistory(this.#run.id, from, to));
    bindStop(this.#f.stop, (words, bad) => this.#tellStop(words, bad));
    this.#feed = new Feed({
      status: (status) => this.#setStatus(status, refused),
      now: (now) => { this.#mayStop = now.may_stop; told(now); },
      hello: (run, anew) => this.#hello(run, anew),
      columns: (wire) => this.#take(wire),
      state: (state) => this.#setState(state),
      event: (event) => this.#addEvent(event),
      end: (end) => this.#end(end),
      last: () => (this.#run && this.#samples.length > 0 ? {run: this.#run.id, time_s: this.#samples.last_s} : null),
    });
    setInterval(() => this.#tick(), 1000);
  }

  start() {
    this.#feed.start();
  }

  /** Nothing is drawn: so the program says, or, where it cannot know, the last current. */
  get #resting() {
    return this.#state?.input_on === false || (!this.#state?.input_on && Math.abs(this.#samples.newest("current_A") ?? 1) < 0.05);
  }

  get title() {
    return this.#run?.pack?.name ?? "Now";
  }

  #setStatus(status, refused) {
    const before = this.#status.kind;
    this.#status = status;
    if (status.kind === "refused") refused(status.words);
    if (status.kind === "waiting" && before === "live") this.#announcer.say("link", "Connection lost, trying again");
    if (status.kind === "live" && before !== "live" && this.#run) this.#announcer.say("link", "Connected again");
    this.#tick();
  }

  #hello(run, anew) {
    if (anew) {
      this.#samples.clear();
      this.#events.clear();
      this.#fresh.forget();
      this.#state = null;
      this.#ended = null;
      this.#stopTold = null;
      this.#f["verdicts-card"].hidden = true;
      this.#f.stop.disabled = false;
    }
    this.#run = run;
    explainLimits(this.#f["limits-explained"], run.limits ?? []);
    this.#showRun(run);
    if (anew) this.#charts.reset();
    this.#tick();
  }

  #showRun(run) {
    say(this.#f.pack, run.pack?.name ?? "Run");
    const about = [packWords(run.pack ?? {}), `run ${run.id}`, `begun ${dateAndTime(run.utc)}`, run.simulated && "simulated bench, no real pack"];
    say(this.#f.about, about.filter(Boolean).join(" · "));
    replaceRows(this.#f.plan, JSON.stringify(run.plan), () => (run.plan ?? []).map((label) => el("li", {}, label)));
  }

  #take(wire) {
    this.#samples.append(wire);
    this.#charts.changed();
    this.#showReadings();
  }

  #setState(state) {
    const before = this.#state;
    this.#state = state;
    this.#fresh.heard(state.time_s, this.#samples.last_s);
    if (before?.step?.index !== state.step?.index) this.#announcer.say("step", stepWords(state.step).title);
    if (before && before.input_on !== state.input_on) this.#announcer.say("input", inputWords(state, true, null).words);
    this.#showSteps(state);
    this.#tick();
  }

  #showSteps(state) {
    const words = stepWords(state.step, state, new Date());
    say(this.#f.step, words.title);
    say(this.#f["step-left"], words.left);
    say(this.#f.next, state.next ? `Next: ${state.next}` : "Nothing comes after it: the run then ends.");
    say(this.#f["run-left"], words.run);
    [...this.#f.plan.children].forEach((item, i) => {
      if (state.step && i === state.step.index - 1) item.setAttribute("aria-current", "step");
      else item.removeAttribute("aria-current");
    });
  }

  #addEvent(event) {
    if (!this.#events.add(event, this.#run?.utc ? new Date(this.#run.utc) : null)) return;
    this.#f["no-events"].hidden = true;
    if (this.#state) this.#announcer.say("event", event.text);
  }

  #end(end) {
    this.#ended = end;
    const words = endWords(end);
    this.#announcer.say("end", words.title);
    this.#charts.changed();
    this.#showOver();
    this.#tick();
    this.#showEnd(end.run);
  }

  /** What was still to come is over. */
  #showOver() {
    say(this.#f.step, "The run is over.");
    for (const field of ["step-left", "next", "run-left"]) say(this.#f[field], "");
    if (this.#samples.length > 0) say(this.#f["step-left"], `It lasted ${duration(this.#samples.last_s)}.`);
  }

  async #showEnd(run) {
    this.#f["verdicts-card"].hidden = false;
    this.#f.verdicts.replaceChildren(el("p", {class: "quiet"}, "The figures are being worked out…"));
    try {
      await showVerdicts(this.#f.verdicts, run);
    } catch (problem) {
      this.#f.verdicts.replaceChildren(el("p", {}, `No figures: ${problem.message}.`),
        el("p", {}, el("a", {href: `#/run/${run}`}, "Look again")));
    }
  }

  #tellStop(words, bad) {
    this.#stopTold = {words, bad};
    this.#tick();
  }

  /** What depends on how old the readings are. */
  #tick() {
    const connected = this.#status.kind === "live";
    const live = this.#fresh.isLive(connected, this.#resting);
    this.#f.idle.hidden = this.#run !== null || this.#status.kind !== "idle";
    this.#f.body.hidden = this.#run === null;
    this.#f.body.dataset.live = String(live || this.#ended !== null);
    this.#link(this.#status, live);
    say(this.#f["numbers-title"], this.#ended ? "Last reading of the run" : live ? "Last reading" : "Last reading, not live");
    if (!this.#run) return;
    this.#showInput(live);
    this.#f.stop.hidden = !this.#mayStop || this.#ended !== null;
    say(this.#f.age, this.#ended ? "" : this.#fresh.words(connected, this.#resting));
    this.#showReadings();
  }

  #showInput(live) {
    const words = this.#ended ? endWords(this.#ended) : inputWords(this.#state, live, this.#fresh.age_s);
    this.#f.input.dataset.input = words.shape;
    say(this.#f["input-words"], words.words ?? words.title);
    say(this.#f["input-more"], words.more);
    const limits = this.#state?.limits ?? [];
    say(this.#f.safety, this.#ended ? "" : live ? nearestWords(limits)
      : "Whether all is well is not known: nothing fresh has come.");
    const alarm = this.#ended && this.#ended.load_confirmed_off === false
      ? {words: "The load could not be confirmed off. Pull the pack's lead now.", bad: true} : this.#stopTold;
    sayOrHide(this.#f.alert, alarm?.words);
    this.#f.alert.classList.toggle("bad", alarm?.bad ?? false);
  }

  #showReadings() {
    showNumbers(this.#f, this.#samples, this.#state);
    const limits = this.#state?.limits ?? [];
    showLimits(this.#f.limits, limits);
    this.#f["no-limits"].hidden = limits.length > 0;
    this.#f["limits-card"].hidden = this.#ended !== null;
    showPeaks(this.#f.peaks, this.#state?.peaks ?? []);
    const cautions = this.#state?.cautions ?? [];
    replaceRows(this.#f.cautions, JSON.stringify(cautions), () => cautions.map((words) => el("li", {}, words)));
  }
}
