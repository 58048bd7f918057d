// How old the last reading is. Only what is fresh is shown as live.

import {duration} from "./words.js";

const kSilence_s = 5;      // the program says something every second
const kDrawing_s = 7;      // its watch time while current may flow, and the way here
const kResting_s = 90;     // at rest it reads about once a minute

export class Freshness {
  #lag_s = 0;       // what the program said: its now, less the newest reading's time
  #heard_ms = null;

  /** The program told its now, in the run's seconds; the newest reading is of reading_s. */
  heard(now_s, reading_s) {
    this.#heard_ms = performance.now();
    this.#lag_s = Math.max(0, now_s - reading_s);
  }

  forget() {
    this.#heard_ms = null;
  }

  get #silent_s() {
    return (performance.now() - this.#heard_ms) / 1000;
  }

  /** Seconds, or null where nothing was read yet. */
  get age_s() {
    if (this.#heard_ms === null || !Number.isFinite(this.#lag_s)) return null;
    return this.#lag_s + this.#silent_s;
  }

  /** Whether what is shown may be called live. connected: the stream stands; resting: nothing is drawn. */
  isLive(connected, resting) {
    return connected && this.age_s !== null && this.#silent_s < kSilence_s && this.age_s < (resting ? kResting_s : kDrawing_s);
  }

  words(connected, resting) {
    if (this.age_s === null) return "No reading yet.";
    const ago = `last value ${duration(this.age_s)} ago`;
    if (!this.isLive(connected, resting)) return `Not live: ${ago}.`;
    return this.age_s < kDrawing_s ? "Live: read within the last seconds." : `Live: ${ago}; while nothing is drawn it is read about once a minute.`;
  }
}
