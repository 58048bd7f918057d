// Says what changed to who listens instead of looks: seldom, the newest of each kind, never the readings.

const kBetween_ms = 5000;

export class Announcer {
  #region;
  #waiting = new Map();
  #timer = 0;
  #said_ms = -Infinity;

  constructor(region) {
    this.#region = region;
  }

  /** `kind`: a newer message of the same kind takes the place of one that was not said yet. */
  say(kind, words) {
    this.#waiting.delete(kind);
    this.#waiting.set(kind, words);
    if (this.#timer) return;
    this.#timer = setTimeout(() => this.#speak(), Math.max(200, this.#said_ms + kBetween_ms - performance.now()));
  }

  #speak() {
    this.#timer = 0;
    this.#said_ms = performance.now();
    this.#region.textContent = [...this.#waiting.values()].join(". ");
    this.#waiting.clear();
  }
}
