// How far away each safety limit is: words, number and bar, nearest first.

import {el, replaceRows} from "./dom.js";
import {figure, missing, roomWords} from "./words.js";

const kNames = {
  pack_low: "Pack voltage, lowest", pack_high: "Pack voltage, highest",
  cell_low: "Lowest cell", cell_high: "Highest cell",
  current_high: "Current", current_above_setpoint: "Current beyond what is asked for", power_high: "Power",
  contact: "Lost in leads and contacts", temperature_low: "Temperature, lowest", temperature_high: "Temperature, highest",
  charge_high: "Charge removed", duration: "Time in this step",
};
const kDigits = {V: 2, A: 2, "°C": 1, Ah: 3, W: 0, s: 0};

export function limitName(id) {
  return kNames[id] ?? id.replaceAll("_", " ");
}

export function nearestWords(limits) {
  const nearest = limits[0];
  if (!nearest) return "";
  const left = Number.isFinite(nearest.room) ? `, ${percent(nearest.room)} of the way left` : "";
  return `Nearest limit: ${limitName(nearest.id).toLowerCase()}, ${roomWords(nearest.room)}${left}.`;
}

function percent(room) {
  return `${Math.round(Math.min(1, Math.max(0, room)) * 100)} %`;
}

function nearness(room) {
  if (!Number.isFinite(room)) return "unknown";
  return room < 0.05 ? "close" : room < 0.2 ? "near" : "far";
}

function row(limit) {
  const unit = limit.unit === "C" ? "°C" : limit.unit;
  const digits = kDigits[unit] ?? 2;
  const fill = el("span", {});
  fill.style.width = `${100 * Math.min(1, Math.max(0, limit.room ?? 0))}%`;
  const now = Number.isFinite(limit.value) ? `now ${figure(limit.value, digits)}` : "not read";
  const at = Number.isFinite(limit.limit) ? `limit ${figure(limit.limit, digits)} ${unit}` : `limit ${missing}`;
  return el("li", {"data-near": nearness(limit.room)},
    el("span", {class: "limit-name"}, limitName(limit.id)),
    el("span", {class: "limit-room"}, roomWords(limit.room), Number.isFinite(limit.room) ? `, ${percent(limit.room)} left` : ""),
    el("span", {class: "bar", "aria-hidden": "true"}, fill),
    el("span", {class: "limit-figures"}, `${now}, ${at}`));
}

/** limits: of a state message, nearest first. */
export function showLimits(list, limits) {
  replaceRows(list, JSON.stringify(limits), () => limits.map(row));
}

/** What the program switches off at, all of it: [{id, words}]. */
export function explainLimits(list, limits) {
  replaceRows(list, JSON.stringify(limits), () => limits.flatMap(({id, words}) => [el("dt", {}, limitName(id)), el("dd", {}, words)]));
}
