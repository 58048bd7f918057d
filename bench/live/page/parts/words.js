// Figures and times as a person reads them. A figure that is not there is said to be missing, never guessed.

export const missing = "–";

const kLanguage = "en-GB";  // the page's own: no German weekday in an English sentence

/** 12.8437 with 3 digits: "12.844"; "–" for what could not be had. */
export function figure(value, digits) {
  if (!Number.isFinite(value)) return missing;
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");  // there is no "−0"
}

/** "12.84 V", or "–". */
export function quantity(value, digits, unit) {
  return Number.isFinite(value) ? `${figure(value, digits)} ${unit}` : missing;
}

/** Decimals that show two significant digits of a doubt: 0.059 -> 3, 6.6 -> 1. */
function digitsOfDoubt(doubt) {
  return doubt > 0 ? Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(doubt)))) : 3;
}

/** "16.220 ± 0.059 Ah"; without a doubt four significant digits. */
export function withDoubt(value, doubt, unit) {
  if (!Number.isFinite(value)) return missing;
  if (!(doubt > 0)) return `${Number(value.toPrecision(4))} ${unit}`;
  const digits = digitsOfDoubt(doubt);
  return `${figure(value, digits)} ± ${figure(doubt, digits)} ${unit}`;
}

/** {value_Ah, expanded_uncertainty_Ah} with its doubt; null where there is no figure. Ohms are told in milliohms. */
export function doubted(found) {
  const key = Object.keys(found ?? {}).find((name) => name.startsWith("value_"));
  if (!key || !Number.isFinite(found[key])) return null;
  const unit = key.slice("value_".length);
  const scale = unit === "ohm" ? 1000 : 1;
  return withDoubt(found[key] * scale, found[`expanded_uncertainty_${unit}`] * scale, unit === "ohm" ? "mΩ" : unit);
}

const two = (n) => String(n).padStart(2, "0");

/** "3 h 07 min", "4 min 05 s", "12 s". */
export function duration(seconds) {
  const whole = Math.max(0, Math.round(seconds));
  const h = Math.floor(whole / 3600);
  const min = Math.floor((whole % 3600) / 60);
  if (h > 0) return `${h} h ${two(min)} min`;
  return min > 0 ? `${min} min ${two(whole % 60)} s` : `${whole} s`;
}

/** For what is only estimated: "about 3 h 10 min", "about 25 min", "less than a minute". */
function roughly(seconds) {
  if (seconds < 60) return "less than a minute";
  if (seconds < 600) return `about ${Math.round(seconds / 60)} min`;
  const step = seconds < 7200 ? 300 : 600;
  return `about ${duration(Math.round(seconds / step) * step).replace(/ 00 (s|min)$/, "")}`;
}

/** "about 3 h 10 min left, give or take 12 min"; says so where it cannot be foreseen. */
export function timeLeft(seconds, doubt) {
  if (!Number.isFinite(seconds)) return "how long it takes cannot be foreseen yet";
  if (doubt === 0) return `${duration(seconds)} left`;
  const around = Number.isFinite(doubt) ? `, give or take ${duration(Math.max(60, Math.round(doubt / 60) * 60)).replace(/ 00 s$/, "")}`
    : "; by how much that may be wrong is not known";
  return `${roughly(seconds)} left${around}`;
}

/** "2:03:11" or "3:11": time since the run's start. */
export function elapsed(seconds) {
  const whole = Math.floor(Math.max(0, seconds) + 1e-6);
  const h = Math.floor(whole / 3600);
  const rest = `${two(Math.floor((whole % 3600) / 60))}:${two(whole % 60)}`;
  return h > 0 ? `${h}:${rest}` : rest.replace(/^0/, "");
}

/** The same on an axis with marks every step_s: "1 h 30", "45 min", or "2:03:11" where marks are close. */
export function axisTime(seconds, step_s) {
  if (step_s < 60) return elapsed(seconds);
  const h = Math.floor(seconds / 3600 + 1e-9);
  const min = Math.round((seconds - h * 3600) / 60);
  if (h === 0) return min === 0 ? "0" : `${min} min`;
  return min === 0 ? `${h} h` : `${h} h ${two(min)}`;
}

/** "21:14" here, and the day's name where that is not today. */
export function clock(date, now = new Date()) {
  const time = date.toLocaleTimeString(kLanguage, {hour: "2-digit", minute: "2-digit"});
  if (date.toDateString() === now.toDateString()) return time;
  return `${date.toLocaleDateString(kLanguage, {weekday: "short", day: "numeric", month: "short"})} ${time}`;
}

/** "20 Jun 2026, 08:00"; says so where it is not known. */
export function dateAndTime(utc) {
  const date = new Date(utc ?? NaN);
  return Number.isNaN(date.getTime()) ? "date not known"
    : date.toLocaleString(kLanguage, {day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit"});
}

/** A room of 0..1 in words. */
export function roomWords(room) {
  if (!Number.isFinite(room)) return "not known";
  if (room <= 0) return "reached";
  if (room < 0.05) return "very near";
  if (room < 0.2) return "near";
  return room < 0.5 ? "some way off" : "far off";
}

/** "LFP, 4 in series, 1 parallel, 20 Ah rated", of what is known. */
export function packWords(pack) {
  const words = [pack.chemistry, pack.series && `${pack.series} in series`,
    pack.parallel > 1 && `${pack.parallel} parallel`,
    Number.isFinite(pack.rated_capacity_Ah) && `${pack.rated_capacity_Ah} Ah rated`,
    pack.serial && `serial ${pack.serial}`];
  return words.filter(Boolean).join(", ");
}
