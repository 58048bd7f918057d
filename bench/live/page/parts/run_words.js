// A run's state in words: the load's input, the step, the end.

import {clock, duration, quantity, timeLeft} from "./words.js";

/** {shape: "on" | "off" | "unknown", words, more}. live: what is told is fresh; age_s: how old it is. */
export function inputWords(state, live, age_s) {
  if (!state) return {shape: "unknown", words: "Load: nothing known yet", more: ""};
  if (state.input_on === null || state.input_on === undefined)
    return {shape: "unknown", words: "Load: not known from here", more: "Another program runs this test; its readings are below."};
  const last = state.input_on ? "on" : "off";
  if (!live) return {shape: "unknown", words: "Load: not known now", more: age_s === null ? "" : `It was ${last} ${duration(age_s)} ago.`};
  if (!state.input_on) return {shape: "off", words: "Load off", more: "Nothing is drawn from the pack."};
  return {shape: "on", words: "Load on", more: `${quantity(state.commanded_A, 2, "A")} asked of it.`};
}

/** "done" -> how a run ended, for the title and the shape. */
export function endWords(end) {
  const titles = {done: "Run finished", stopped: "Stopped by the operator", "safety stop": "A safety limit ended the run",
    "instrument failed": "An instrument failed"};
  const off = end.load_confirmed_off;
  const load = off === true ? "Load off, confirmed." : off === false ? "LOAD NOT CONFIRMED OFF." : "Whether the load is off is not known from here.";
  return {shape: off === true ? "off" : "unknown", title: titles[end.end] ?? `Run ended: ${end.end}`,
    more: [end.reason, load].filter(Boolean).join(" ")};
}

function until(seconds, now) {
  if (!Number.isFinite(seconds) || seconds < 60) return "";
  return `, until around ${clock(new Date(now.getTime() + seconds * 1000), now)}`;
}

/** {title, left, run}: of the step and the whole run. */
export function stepWords(step, state = {}, now = new Date()) {
  if (!step) return {title: "Getting ready", left: "", run: ""};
  return {
    title: `Step ${step.index} of ${step.count}: ${step.label}`,
    left: `This step: ${timeLeft(step.ends_in_s, step.ends_in_doubt_s)}${until(step.ends_in_s, now)}.`,
    run: `Whole run: ${timeLeft(state.run_ends_in_s, state.run_ends_in_doubt_s)}${until(state.run_ends_in_s, now)}.`,
  };
}
