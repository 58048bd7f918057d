// Which stretch of time is shown. Pure: no document, no clock.

const kLeast_s = 2;

export class Stretch {
  mode = "whole";  // "whole", "last" (the newest span_s) or "fixed"
  span_s = 600;
  #from_s = 0;
  #to_s = 1;

  /** What to show where the run lasted until end_s. */
  range(end_s) {
    const end = Math.max(end_s, kLeast_s);
    if (this.mode === "whole") return [0, end];
    if (this.mode === "last") return [Math.max(0, end - this.span_s), end];
    return [this.#from_s, this.#to_s];
  }

  whole() {
    this.mode = "whole";
  }

  last(span_s) {
    this.mode = "last";
    this.span_s = span_s;
  }

  /** Between two times, within the run and no shorter than two seconds. */
  fix(from_s, to_s, end_s) {
    const end = Math.max(end_s, kLeast_s);
    const span = Math.min(end, Math.max(kLeast_s, to_s - from_s));
    this.mode = "fixed";
    this.#from_s = Math.min(Math.max(0, from_s), end - span);
    this.#to_s = this.#from_s + span;
    if (span >= end * 0.999) this.whole();
  }

  /** factor < 1 shows less; `at` is the share of the width that stays where it is. */
  zoom(factor, end_s, at = 0.5) {
    const [from, to] = this.range(end_s);
    const span = Math.max(kLeast_s, (to - from) * factor);
    const centre = from + at * (to - from);
    this.fix(centre - at * span, centre + (1 - at) * span, end_s);
  }

  /** Moves by a share of the width; later is positive. */
  move(share, end_s) {
    const [from, to] = this.range(end_s);
    const by = share * (to - from);
    this.fix(from + by, to + by, end_s);
  }
}
