// The last readings as numbers, and the charge removed against the rated one.

import {el, say} from "./dom.js";
import {quantity} from "./words.js";

function numbersOf(samples) {
  const cells = samples.newestCells().filter((value) => value !== null);
  const numbers = [
    ["Voltage", quantity(samples.newest("voltage_V"), 3, "V")],
    ["Current", quantity(samples.newest("current_A"), 3, "A")],
    ["Temperature", quantity(samples.newest("temperature_C"), 1, "°C")],
  ];
  if (cells.length > 0) {
    const low = Math.min(...cells);
    numbers.push([`Lowest cell (number ${samples.newestCells().indexOf(low) + 1})`, quantity(low, 3, "V")],
      ["Between cells", quantity((Math.max(...cells) - low) * 1000, 0, "mV")]);
  }
  return numbers;
}

/** f: fields numbers (a dl), charge-words, charge-bar. */
export function showNumbers(f, samples, state) {
  const numbers = numbersOf(samples);
  if (f.numbers.children.length !== numbers.length)
    f.numbers.replaceChildren(...numbers.map(() => el("div", {}, el("dt"), el("dd"))));
  numbers.forEach(([name, value], i) => {
    const [term, words] = f.numbers.children[i].children;
    say(term, name);
    say(words, value);
  });
  showCharge(f, state?.charge_removed_Ah ?? samples.newest("charge_Ah"), state?.rated_Ah ?? null);
}

function showCharge(f, removed, rated) {
  const known = Number.isFinite(removed) && rated > 0;
  const share = known ? removed / rated : 0;
  const of = rated > 0 ? ` of ${rated} Ah rated` : "";
  say(f["charge-words"], `Charge removed: ${quantity(removed, rated < 2 ? 4 : 2, "Ah")}${of}${known ? ` (${Math.round(share * 100)} %)` : ""}`);
  f["charge-bar"].style.width = `${Math.min(100, share * 100)}%`;
}
