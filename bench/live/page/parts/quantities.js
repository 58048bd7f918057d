// What is read of a pack, and what a stretch of it was in figures.

import {el} from "./dom.js";
import {extremes, firstAfter} from "./samples.js";
import {figure, missing} from "./words.js";

/** least: the smallest height of a chart's scale, in the quantity's unit, so that noise stays small. */
export const kQuantities = [
  {name: "voltage_V", words: "Voltage", unit: "V", digits: 3, least: 0.05},
  {name: "current_A", words: "Current", unit: "A", digits: 3, least: 0.1},
  {name: "temperature_C", words: "Temperature", unit: "°C", digits: 1, least: 1},
];

/** Of each quantity: name, first, lowest, highest and last value from one time to another, as text. */
export function rowsOf(samples, from_s, to_s) {
  const end = firstAfter(samples.time_s, to_s);
  const after = firstAfter(samples.time_s, from_s);
  const begin = after > 0 && samples.time_s[after - 1] === from_s ? after - 1 : after;
  const columns = [...kQuantities.map((q) => [`${q.words}, ${q.unit}`, samples[q.name], q.digits]),
    ...samples.cells_V.map((cell, i) => [`Cell ${i + 1}, V`, cell, 3])];
  return columns.map(([name, column, digits]) => {
    const values = column.slice(begin, end).filter((value) => value !== null);
    const [least, most] = extremes(values, 0, values.length);
    return [name, ...[values[0], values[least], values[most], values.at(-1)].map((value) => figure(value, digits))];
  });
}

export function sentenceOf(rows) {
  const read = rows.filter((row) => row[2] !== missing);
  return read.map(([name, , least, most]) => `${name}: lowest ${least}, highest ${most}`).join(". ");
}

export function tableOf(rows) {
  const head = ["first", "lowest", "highest", "last"].map((word) => el("th", {scope: "col"}, word));
  const body = rows.map(([name, ...values]) =>
    el("tr", {}, el("th", {scope: "row"}, name), ...values.map((value) => el("td", {}, value))));
  return el("table", {}, el("thead", {}, el("tr", {}, el("td"), ...head)), el("tbody", {}, ...body));
}
