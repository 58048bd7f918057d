// A run's samples in memory, bounded: however long the run, the older part is thinned, its extremes kept.

const kNames = ["time_s", "voltage_V", "current_A", "temperature_C", "charge_Ah"];

export class Samples {
  #most;

  /** most: how many samples are kept at most. */
  constructor(most = 12000) {
    this.#most = most;
    this.clear();
  }

  clear() {
    for (const name of kNames) this[name] = [];
    this.cells_V = [];
  }

  get length() {
    return this.time_s.length;
  }

  /** Newest time, or -Infinity. */
  get last_s() {
    return this.length > 0 ? this.time_s[this.length - 1] : -Infinity;
  }

  /** Newest value of a column that was read at all, or null. */
  newest(name) {
    return newestOf(this[name]);
  }

  newestCells() {
    return this.cells_V.map(newestOf);
  }

  /** Takes over what is newer than what is here; `wire` is a message's columns. */
  append(wire) {
    const begin = firstAfter(wire.time_s, this.last_s);
    const count = wire.time_s.length - begin;
    if (count === 0) return;
    for (const name of kNames) push(this[name], wire[name], begin, count);
    const cells = wire.cells_V ?? [];
    while (this.cells_V.length < cells.length) this.cells_V.push(new Array(this.length - count).fill(null));
    this.cells_V.forEach((cell, i) => push(cell, cells[i], begin, count));
    if (this.length > this.#most) this.#thin();
  }

  /** Drops what is older than `from_s`. */
  forget(from_s) {
    const drop = firstAfter(this.time_s, from_s) - 1;
    if (drop <= 0) return;
    for (const name of kNames) this[name].splice(0, drop);
    for (const cell of this.cells_V) cell.splice(0, drop);
  }

  /** Of the older three quarters, of eight samples each the first and those with the extremes stay. */
  #thin() {
    const old = Math.floor(this.length * 0.75);
    const keep = [];
    for (let i = 0; i < old; i += 8) keep.push(...this.#telling(i, Math.min(i + 8, old)));
    for (let i = old; i < this.length; i++) keep.push(i);
    for (const name of kNames) this[name] = keep.map((i) => this[name][i]);
    this.cells_V = this.cells_V.map((cell) => keep.map((i) => cell[i]));
  }

  #telling(begin, end) {
    const found = new Set([begin]);
    for (const column of [this.voltage_V, this.current_A]) {
      const [least, most] = extremes(column, begin, end);
      if (least !== null) found.add(least).add(most);
    }
    return [...found].sort((a, b) => a - b);
  }
}

/** Where a column is lowest and highest within [begin, end), or nulls where nothing was read. */
export function extremes(column, begin, end) {
  let least = null;
  let most = null;
  for (let i = begin; i < end; i++) {
    if (column[i] === null) continue;
    if (least === null || column[i] < column[least]) least = i;
    if (most === null || column[i] > column[most]) most = i;
  }
  return [least, most];
}

/** Index of the first time after `time`, in ascending times. */
export function firstAfter(times, time) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] > time) high = middle;
    else low = middle + 1;
  }
  return low;
}

function push(to, from, begin, count) {
  for (let i = begin; i < begin + count; i++) to.push(from?.[i] ?? null);
}

function newestOf(column) {
  for (let i = column.length - 1; i >= 0; i--) if (column[i] !== null) return column[i];
  return null;
}
