// The stream of a run: opens it, opens it again when it breaks, and goes on where it was.

import {ask, askJson, protocols, Refused} from "./access.js";

const kLongestSilence_ms = 10000;  // the program says something every second
const kIdlePoll_ms = 10000;
const kReadyPoll_ms = 2000;  // a run is about to begin
const kWaits_ms = [500, 1000, 2000, 4000, 8000, 15000];

/**
 * handlers: status({kind, retry_at_ms, words}), now(answer of /api/now), hello(run, anew), columns(wire), state(message),
 * event(message), end(message), last() -> {run, time_s} or null: up to where all is known.
 * kind: "opening", "live", "waiting", "idle" (no run), "ended", "refused" (a token is needed).
 */
export class Feed {
  #handlers;
  #socket = null;
  #timer = 0;
  #silence = 0;
  #failures = 0;
  #over = null;        // id of the run whose end was told
  #idle = false;       // connected, but no run goes on
  #forget = false;     // the next connection asks for everything
  #wanted = false;

  constructor(handlers) {
    this.#handlers = handlers;
    addEventListener("online", () => this.#hurry());
    document.addEventListener("visibilitychange", () => document.hidden || this.#hurry());
  }

  start() {
    this.#wanted = true;
    this.#open();
  }

  stop() {
    this.#wanted = false;
    clearTimeout(this.#timer);
    this.#drop();
  }

  /** Not later, now: the network or the person is back. */
  #hurry() {
    if (!this.#wanted || this.#socket) return;
    clearTimeout(this.#timer);
    this.#open();
  }

  async #open() {
    clearTimeout(this.#timer);
    if (this.#socket) return;
    if (!this.#over) this.#handlers.status({kind: "opening"});
    try {
      const now = await askJson("/api/now", {timeout_ms: 5000});
      if (!this.#wanted || this.#socket) return;
      this.#handlers.now(now);
      if (now.run && now.run !== this.#over) this.#listen();
      else this.#later(now.mode === "run" && !this.#over ? kReadyPoll_ms : kIdlePoll_ms, {kind: this.#over ? "ended" : "idle"});
    } catch (problem) {
      this.#failed(problem);
    }
  }

  #failed(problem) {
    if (problem instanceof Refused && (problem.status === 401 || problem.status === 403)) {
      this.#handlers.status({kind: "refused", words: problem.message});
      return;
    }
    if (this.#over) this.#later(kIdlePoll_ms, {kind: "ended"});
    else this.#again(problem.message);
  }

  #again(words) {
    const wait = kWaits_ms[Math.min(this.#failures++, kWaits_ms.length - 1)] * (0.85 + 0.3 * Math.random());
    this.#later(wait, {kind: "waiting", retry_at_ms: performance.now() + wait, words});
  }

  #later(wait_ms, status) {
    this.#handlers.status(status);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#open(), wait_ms);
  }

  #listen() {
    const last = this.#forget ? null : this.#handlers.last();
    this.#forget = false;
    const query = last ? `?since=${last.time_s}&run=${encodeURIComponent(last.run)}` : "";
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${scheme}//${location.host}/api/live${query}`, protocols());
    this.#socket = socket;
    this.#idle = false;
    this.#heard();
    socket.addEventListener("message", ({data}) => socket === this.#socket && this.#take(JSON.parse(data), last));
    socket.addEventListener("close", () => socket === this.#socket && this.#broken());
  }

  #broken() {
    this.#drop();
    if (!this.#wanted) return;
    if (this.#over) this.#later(kIdlePoll_ms, {kind: "ended"});
    else this.#again("the connection broke");
  }

  #drop() {
    clearTimeout(this.#silence);
    const socket = this.#socket;
    this.#socket = null;
    socket?.close();
  }

  #heard() {
    clearTimeout(this.#silence);
    if (!this.#over && !this.#idle) this.#silence = setTimeout(() => this.#broken(), kLongestSilence_ms);
  }

  #take(message, last) {
    this.#heard();
    switch (message.type) {
      case "hello": this.#hello(message, last); break;
      case "history":
      case "samples": this.#handlers.columns(message.columns); break;
      case "state": this.#handlers.state(message); break;
      case "event": this.#handlers.event(message); break;
      case "end": this.#end(message); break;
      default: break;  // of a newer program
    }
  }

  #hello(message, last) {
    this.#idle = message.run === null;
    if (this.#idle) {
      this.#heard();
      this.#handlers.status({kind: "idle"});
      return;
    }
    const anew = message.history !== "continues";
    if (!anew && last?.run !== message.run.id) {  // what it goes on with is not what we have
      this.#forget = true;
      this.#broken();
      return;
    }
    this.#failures = 0;
    this.#over = null;
    this.#handlers.status({kind: "live"});
    this.#handlers.hello(message.run, anew);
  }

  #end(message) {
    this.#over = message.run;
    clearTimeout(this.#silence);
    this.#handlers.status({kind: "ended"});
    this.#handlers.end(message);
  }
}

/** Ends the run; answers once the load is off, or the alarm sounds. */
export async function stopRun() {
  const response = await ask("/api/stop", {method: "POST", body: JSON.stringify({stop: true}),
    headers: {"Content-Type": "application/json"}, timeout_ms: 60000});
  return response.json();
}
