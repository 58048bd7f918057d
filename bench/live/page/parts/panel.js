// One chart: some series against a shared x, drawn by uPlot in the page's own colours.

import uPlot from "../vendor/uplot.js";
import {axisTime} from "./words.js";

const kDashes = [[], [8, 4], [2, 3], [10, 3, 2, 3], [4, 4], [14, 4]];
const kSecondsSteps = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400];

/** Series number n of a chart: a colour and a dash, so that colour alone tells nothing. */
export function strokeOf(n) {
  return {colour: cssColour(`--series-${n % 6}`), dash: kDashes[n % kDashes.length]};
}

export function cssColour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/** A short line as it is drawn in the chart, to stand before a name. */
export function lineSample(n) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
  svg.setAttribute("viewBox", "0 0 32 8");
  svg.setAttribute("class", "line-sample");
  svg.setAttribute("aria-hidden", "true");
  line.setAttribute("d", "M0 4h32");
  line.setAttribute("stroke-dasharray", kDashes[n % kDashes.length].join(" "));
  line.setAttribute("class", `series-${n % 6}`);
  svg.append(line);
  return svg;
}

function seriesOf(names, first) {
  return names.map((label, i) => {
    const {colour, dash} = strokeOf(first + i);
    return {label, stroke: colour, dash, width: 1.5, spanGaps: true, points: {show: false}};
  });
}

function axis(label, more) {
  const ink = cssColour("--soft");
  return {stroke: ink, font: "12px system-ui, sans-serif", labelFont: "12px system-ui, sans-serif", label, labelSize: 18,
    grid: {stroke: cssColour("--grid"), width: 1}, ticks: {stroke: cssColour("--grid"), width: 1, size: 4}, ...more};
}

const tidy = (values) => values.map((v) => (v === null ? "" : String(Number(v.toPrecision(8)))));

/** A range that never shrinks to noise: at least `least` wide, with a little air. */
function airy(least) {
  return (u, low, high) => {
    if (low === null || high === null) return [0, 1];
    const lack = Math.max(0, least - (high - low)) / 2;
    const air = 0.06 * Math.max(high - low, least);
    return [low - lack - air, high + lack + air];
  };
}

/**
 * holder: where it goes. names: of its series. label: "Voltage, V". height in CSS pixels. least: smallest height of the y
 * scale in its unit. time: whether x is time. foot: whether x has numbers. onSelect(from, to), onWhole(), onPoint(index or null).
 */
export function makePanel({holder, names, label, height, least, first = 0, time = true, xLabel = null, foot = true,
  sync = null, onSelect = null, onWhole = null, onPoint = null}) {
  const xAxis = axis(xLabel, {size: foot ? 28 : 6, space: 64, ...(time ? {incrs: kSecondsSteps} : {}),
    values: (u, splits) => (foot ? (time ? splits.map((t) => axisTime(t, splits[1] - splits[0])) : tidy(splits)) : splits.map(() => ""))});
  const plot = new uPlot({
    width: Math.max(200, holder.clientWidth), height, legend: {show: false}, padding: [8, 10, 0, 0],
    scales: {x: {time: false}, y: {range: airy(least)}},
    axes: [xAxis, axis(label, {size: 52, space: 28, values: (u, splits) => tidy(splits)})],
    series: [{}, ...seriesOf(names, first)],
    cursor: {y: false, drag: {x: true, y: false, setScale: false}, points: {size: 7}, ...(sync ? {sync: {key: sync}} : {}),
      bind: {dblclick: () => () => onWhole?.()}},
    hooks: {
      setSelect: [(u) => u.select.width > 4 && onSelect?.(u.posToVal(u.select.left, "x"), u.posToVal(u.select.left + u.select.width, "x"))],
      setCursor: [(u) => onPoint?.(u.cursor.idx ?? null)],
    },
  }, [[], ...names.map(() => [])], holder);
  return plot;
}
