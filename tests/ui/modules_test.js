// The page's pure parts, without a browser.

import assert from "node:assert/strict";
import {test} from "node:test";

import {extremes, firstAfter, Samples} from "../../bench/live/page/parts/samples.js";
import {Stretch} from "../../bench/live/page/parts/stretch.js";
import {endWords, inputWords} from "../../bench/live/page/parts/run_words.js";
import * as words from "../../bench/live/page/parts/words.js";

/** Columns of `count` samples from `from_s` on, one a second, two cells. */
function columns(from_s, count, voltage = () => 13) {
  const time_s = Array.from({length: count}, (_, i) => from_s + i);
  return {time_s, voltage_V: time_s.map(voltage), current_A: time_s.map(() => 4),
    temperature_C: time_s.map((t) => (t % 10 === 0 ? 23 : null)), charge_Ah: time_s.map((t) => t / 900),
    cells_V: [time_s.map(() => 3.3), time_s.map(() => 3.2)]};
}

test("samples are taken once, whatever is sent twice", () => {
  const samples = new Samples();
  samples.append(columns(0, 10));
  samples.append(columns(5, 10));
  assert.deepEqual(samples.time_s, Array.from({length: 15}, (_, i) => i));
  assert.equal(samples.cells_V[1].length, 15);
  assert.equal(samples.newest("temperature_C"), 23);
  assert.deepEqual(samples.newestCells(), [3.3, 3.2]);
});

test("however long the run, samples stay few, and spikes stay", () => {
  const samples = new Samples(1000);
  for (let i = 0; i < 200; i++) samples.append(columns(i * 100, 100, (t) => (t === 777 ? 9 : t === 888 ? 17 : 13)));
  assert.ok(samples.length <= 1000);
  assert.equal(samples.last_s, 19999);
  assert.equal(samples.time_s[0], 0);
  assert.ok(samples.voltage_V.includes(9) && samples.voltage_V.includes(17));
  assert.ok(samples.time_s.every((t, i) => i === 0 || t > samples.time_s[i - 1]));
  for (const column of [samples.voltage_V, samples.temperature_C, ...samples.cells_V]) assert.equal(column.length, samples.length);
});

test("a run without taps, then with", () => {
  const samples = new Samples();
  samples.append({...columns(0, 3), cells_V: []});
  samples.append(columns(3, 2));
  assert.deepEqual(samples.cells_V[0], [null, null, null, 3.3, 3.3]);
});

test("what is older is forgotten, but for the sample before", () => {
  const samples = new Samples();
  samples.append(columns(0, 100));
  samples.forget(50.5);
  assert.equal(samples.time_s[0], 50);
  assert.equal(samples.last_s, 99);
  assert.equal(samples.cells_V[0].length, samples.length);
});

test("search and extremes", () => {
  assert.equal(firstAfter([1, 2, 2, 3], 2), 3);
  assert.equal(firstAfter([], 2), 0);
  assert.deepEqual(extremes([null, 3, 1, null, 2], 0, 5), [2, 1]);
  assert.deepEqual(extremes([null], 0, 1), [null, null]);
});

test("a stretch stays within the run and never gets shorter than two seconds", () => {
  const stretch = new Stretch();
  assert.deepEqual(stretch.range(1000), [0, 1000]);
  stretch.zoom(0.5, 1000);
  assert.deepEqual(stretch.range(1000), [250, 750]);
  stretch.move(1, 1000);
  assert.deepEqual(stretch.range(1000), [500, 1000]);
  stretch.move(1, 1000);
  assert.deepEqual(stretch.range(1000), [500, 1000]);
  for (let i = 0; i < 40; i++) stretch.zoom(0.5, 1000);
  const [from, to] = stretch.range(1000);
  assert.ok(Math.abs(to - from - 2) < 1e-6);
  for (let i = 0; i < 40; i++) stretch.zoom(2, 1000);
  assert.equal(stretch.mode, "whole");
  stretch.last(600);
  assert.deepEqual(stretch.range(1000), [400, 1000]);
  assert.deepEqual(stretch.range(100), [0, 100]);
});

test("figures and doubts", () => {
  assert.equal(words.quantity(12.8437, 3, "V"), "12.844 V");
  assert.equal(words.quantity(-0.0114, 3, "A"), "−0.011 A");
  assert.equal(words.quantity(-0.0004, 3, "A"), "0.000 A");
  assert.equal(words.quantity(null, 3, "V"), "–");
  assert.equal(words.withDoubt(16.22, 0.059, "Ah"), "16.220 ± 0.059 Ah");
  assert.equal(words.withDoubt(64.7, 6.6, "h"), "64.7 ± 6.6 h");
  assert.equal(words.doubted({value_ohm: 0.02104, expanded_uncertainty_ohm: 2.4e-5}), "21.040 ± 0.024 mΩ");
  assert.equal(words.doubted(null), null);
  assert.equal(words.dateAndTime(null), "date not known");
});

test("times", () => {
  assert.equal(words.duration(12), "12 s");
  assert.equal(words.duration(245), "4 min 05 s");
  assert.equal(words.duration(11220), "3 h 07 min");
  assert.equal(words.elapsed(191), "3:11");
  assert.equal(words.elapsed(7391), "2:03:11");
  assert.equal(words.axisTime(5400, 1800), "1 h 30");
  assert.equal(words.axisTime(0, 1800), "0");
  assert.equal(words.timeLeft(11220, 720), "about 3 h 10 min left, give or take 12 min");
  assert.equal(words.timeLeft(3600, 0), "1 h 00 min left");
  assert.match(words.timeLeft(3600, null), /by how much that may be wrong is not known/);
  assert.match(words.timeLeft(null, null), /cannot be foreseen/);
});

test("nothing old is told as if it were now", () => {
  const state = {input_on: true, commanded_A: 4};
  assert.deepEqual(inputWords(state, true, 0.5), {shape: "on", words: "Load on", more: "4.00 A asked of it."});
  assert.equal(inputWords(state, false, 12).shape, "unknown");
  assert.match(inputWords(state, false, 12).more, /was on 12 s ago/);
  assert.equal(inputWords({input_on: null}, true, 0.5).shape, "unknown");
  assert.equal(inputWords(null, false, null).shape, "unknown");
  assert.equal(endWords({end: "stopped", load_confirmed_off: false}).shape, "unknown");
  assert.equal(endWords({end: "done", load_confirmed_off: true}).shape, "off");
});
