// What came of a run: verdicts first, then figures, from the same JSON as `sagbench analyse`.

import {askJson, download} from "./access.js";
import {el} from "./dom.js";
import {doubted, figure} from "./words.js";

const kMarks = {suits: ["✓", "good"], marginal: ["≈", "doubt"], "does not suit": ["✕", "bad"]};

function verdict(rating) {
  const [mark, kind] = kMarks[rating.verdict] ?? ["?", "none"];
  return el("li", {class: `verdict ${kind}`},
    el("span", {class: "verdict-mark", "aria-hidden": "true"}, mark),
    el("div", {}, el("p", {class: "verdict-words"}, `${rating.class}: ${rating.verdict}`),
      rating.radio ? el("p", {class: "quiet"}, rating.radio) : null,
      el("p", {}, rating.because ?? "")));
}

/** A figure with its doubt, or why there is none. */
function value(figures, key) {
  return doubted(figures[key]) ?? figures[key]?.why ?? figures[`${key}_why`] ?? "not measured";
}

function capacityMore(capacity) {
  if (!capacity || !Number.isFinite(capacity.to_voltage_V)) return "";
  return ` (down to ${figure(capacity.to_voltage_V, 2)} V at ${figure(capacity.rate_It, 2)} It, ${figure(capacity.temperature_C, 0)} °C)`;
}

function figuresOf(figures) {
  const rows = [
    ["Capacity", value(figures, "capacity") + capacityMore(figures.capacity)],
    ["Energy", value(figures, "energy")],
    ["D.C. resistance", value(figures, "dc_resistance")],
  ];
  return el("dl", {class: "figures"}, ...rows.flatMap(([name, words]) => [el("dt", {}, name), el("dd", {}, words)]));
}

function pdfButton(run, tell) {
  return el("button", {type: "button", onclick: async (event) => {
    const button = event.currentTarget;
    button.disabled = true;
    tell("The report is being made…");
    try {
      await download(`/api/runs/${encodeURIComponent(run)}/report.pdf`, `sagbench-${run}.pdf`);
      tell("The report is in your downloads.");
    } catch (problem) {
      tell(`The report could not be had: ${problem.message}`);
    }
    button.disabled = false;
  }}, "Download the report (PDF)");
}

/** Fills `holder` from the figures of `run`; throws Refused where there are none yet. */
export async function showVerdicts(holder, run) {
  const figures = await askJson(`/api/runs/${encodeURIComponent(run)}`, {timeout_ms: 120000});
  const told = el("p", {class: "quiet", role: "status"});
  const cautions = figures.cautions ?? [];
  holder.replaceChildren(
    figures.complete ? "" : el("p", {class: "box"}, "This run is not complete: figures hold for what was measured."),
    el("ul", {class: "verdicts"}, ...(figures.ratings ?? []).map(verdict)),
    figuresOf(figures),
    cautions.length === 0 ? "" : el("div", {class: "box"}, el("h3", {}, "Cautions"),
      el("ul", {}, ...cautions.map((words) => el("li", {}, words)))),
    el("p", {class: "quiet"}, "Doubts are expanded uncertainties with a coverage factor of 2. The report says what is behind each figure."),
    el("div", {class: "row"}, pdfButton(run, (words) => told.replaceChildren(words))), told);
  return figures;
}
