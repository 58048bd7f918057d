// How far the voltage fell at the last transmit peaks.

import {el, replaceRows} from "./dom.js";
import {elapsed, figure} from "./words.js";

const kColumns = ["at", "peak, A", "rest, V", "lowest, V", "sag, V"];

export function showPeaks(holder, peaks) {
  const newestFirst = [...peaks].sort((a, b) => b.time_s - a.time_s);
  replaceRows(holder, JSON.stringify(newestFirst), () => [newestFirst.length > 0 ? table(newestFirst)
    : el("p", {class: "quiet"}, "No peak yet: they come in peak-current and transmit steps.")]);
}

function table(peaks) {
  const head = kColumns.map((word) => el("th", {scope: "col"}, word));
  const rows = peaks.map((peak) => el("tr", {}, el("th", {scope: "row"}, elapsed(peak.time_s)),
    ...[[peak.current_A, 1], [peak.rest_V, 2], [peak.least_V, 2], [peak.sag_V, 3]]
      .map(([value, digits]) => el("td", {}, figure(value, digits)))));
  return el("div", {class: "scroll", tabindex: "0", role: "group", "aria-label": "Sag at the last peaks"},
    el("table", {}, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...rows)));
}
