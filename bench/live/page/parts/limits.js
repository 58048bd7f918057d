// How far away each safety limit is: words, number and bar, nearest first.

import {el, replaceRows} from "./dom.js";
import {figure, missing, roomWords} from "./words.js";

const kDigits = {V: 2, A: 2, "°C": 1, Ah: 3, W: 0, s: 0};

function capitalised(title) {
  return title.charAt(0).toUpperCase() + title.slice(1);
}

export function nearestWords(limits) {
  const nearest = limits[0];
  if (!nearest) return "";
  const left = Number.isFinite(nearest.room) ? `, ${percent(nearest.room)} of the way left` : "";
  return `Nearest limit: ${nearest.title}, ${roomWords(nearest.room)}${left}.`;
}

function percent(room) {
  return `${Math.round(Math.min(1, Math.max(0, room)) * 100)} %`;
}

function nearness(room) {
  if (!Number.isFinite(room)) return "unknown";
  return room < 0.05 ? "close" : room < 0.2 ? "near" : "far";
}

function row(limit) {
  const digits = kDigits[limit.unit] ?? 2;
  const fill = el("span", {});
  fill.style.width = `${100 * Math.min(1, Math.max(0, limit.room ?? 0))}%`;
  const now = Number.isFinite(limit.value) ? `now ${figure(limit.value, digits)}` : "not read";
  const at = Number.isFinite(limit.limit) ? `limit ${figure(limit.limit, digits)} ${limit.unit}` : `limit ${missing}`;
  return el("li", {"data-near": nearness(limit.room)},
    el("span", {class: "limit-name"}, capitalised(limit.title)),
    el("span", {class: "limit-room"}, roomWords(limit.room), Number.isFinite(limit.room) ? `, ${percent(limit.room)} left` : ""),
    el("span", {class: "bar", "aria-hidden": "true"}, fill),
    el("span", {class: "limit-figures"}, `${now}, ${at}`));
}

/** limits: of a state message, nearest first. */
export function showLimits(list, limits) {
  replaceRows(list, JSON.stringify(limits), () => limits.map(row));
}

/** What the program switches off at, all of it: [{title, words}]. */
export function explainLimits(list, limits) {
  replaceRows(list, JSON.stringify(limits), () => limits.flatMap(({title, words}) => [el("dt", {}, capitalised(title)), el("dd", {}, words)]));
}
