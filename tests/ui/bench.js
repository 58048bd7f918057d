// A pack behind a load, both simulated by a program that is not ours, and runs of the program under test on it.

import {spawn, spawnSync} from "node:child_process";
import {once} from "node:events";
import fs from "node:fs";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import {setTimeout as pause} from "node:timers/promises";

const kProgram = process.env.SAGBENCH ?? "sagbench";
const kScenarios = path.resolve(import.meta.dirname ?? path.dirname(new URL(import.meta.url).pathname), "../scenario");
const kPython = process.env.SAGBENCH_PYTHON ?? "/usr/bin/python3";

/** A port that is free at `host` just now. */
export async function freePort(host = "127.0.0.1") {
  const server = net.createServer().listen(0, host);
  await once(server, "listening");
  const {port} = server.address();
  server.close();
  return port;
}

/** Waits until `condition` gives something; fails by what it last threw, or after a minute. */
export async function until(condition, what) {
  for (const begun = Date.now(); Date.now() - begun < 60000; await pause(50)) {
    const found = await condition();
    if (found) return found;
  }
  throw new Error(`waited in vain for ${what}`);
}

/** Null while the file is being written. */
function inputOf(status) {
  try {
    return JSON.parse(fs.readFileSync(status, "utf8")).input_on;
  } catch {
    return null;
  }
}

export class Bench {
  folder = fs.mkdtempSync(path.join(os.tmpdir(), "sagbench-ui-"));
  archive = path.join(this.folder, "club.db");
  #started = [];

  async finish() {
    for (const process of this.#started) {
      if (process.exitCode === null) process.kill("SIGKILL");
      process.stdout.destroy();
      process.stderr.destroy();
    }
    fs.rmSync(this.folder, {recursive: true, force: true});
  }

  #start(program, ...words) {
    const process = spawn(program, words, {cwd: this.folder, stdio: ["ignore", "pipe", "pipe"]});
    process.said = "";
    for (const stream of [process.stdout, process.stderr]) stream.setEncoding("utf8").on("data", (text) => { process.said += text; });
    this.#started.push(process);
    return process;
  }

  /** A load with a pack of capacity_Ah; inputOn() is its own truth. */
  async battery(capacity_Ah) {
    const status = path.join(this.folder, `status-${this.#started.length}.json`);
    const server = this.#start(kPython, "-B", path.join(kScenarios, "battery_server.py"), "--capacity", String(capacity_Ah), "--status", status);
    const port = await until(() => /:(\d+)\s/.exec(server.said)?.[1], "the battery's address");
    return {port, inputOn: () => inputOf(status)};
  }

  #write(name, document) {
    const file = path.join(this.folder, name);
    fs.writeFileSync(file, JSON.stringify(document));
    return file;
  }

  pack(capacity_Ah) {
    return this.#write("pack.json", {schema: "sagbench/pack/1", name: "Thimble & <b>Co</b>", serial: "T-1", chemistry: "LFP", series: 4,
      rated_capacity_Ah: capacity_Ah, max_discharge_current_A: 2, end_of_discharge_V: 10});
  }

  /** Begins a run that serves its page at address:port. */
  run(battery, capacity_Ah, address, port) {
    const accuracy = {voltage: {of_reading: 0.0005, of_range: 0.0001, range_V: 20}, current: {of_reading: 0.001, of_range: 0.0002, range_A: 5}};
    const bench = this.#write("bench.json", {schema: "sagbench/bench/1", name: "Server bench", load: {port: `tcp:127.0.0.1:${battery.port}`,
      max_current_A: 5, max_power_W: 100, max_voltage_V: 20, accuracy}});
    const plan = this.#write("plan.json", {schema: "sagbench/plan/1", steps: [{do: "capacity", current_A: 1.2}, {do: "rest", minutes: 1}]});
    return this.#start(kProgram, "run", "--bench", bench, "--pack", this.pack(capacity_Ah), "--plan", plan, "--archive", this.archive,
      "--attended", "--live", `${address}:${port}`);
  }

  /** Serves the archive alone. */
  live(address, port) {
    return this.#start(kProgram, "live", "--archive", this.archive, "--listen", `${address}:${port}`);
  }

  /** Runs the program to its end; its stdout. */
  sagbench(...words) {
    const result = spawnSync(kProgram, words, {cwd: this.folder, encoding: "utf8"});
    if (result.status !== 0) throw new Error(`${words.join(" ")}: ${result.stderr}`);
    return result.stdout;
  }

  /** A whole discharge at current_A, measured elsewhere, comes into the archive; its id. */
  importDischarge(current_A) {
    const rows = ["time_s,voltage_V,current_A,temperature_C"];
    const lasts_s = Math.round(7200 / current_A);
    for (let t = 0; t <= lasts_s; t += 10) {
      const removed = t / lasts_s;
      rows.push(`${t},${(13.3 - 0.6 * removed - 2.8 * removed ** 14).toFixed(4)},${current_A},23`);
    }
    const file = path.join(this.folder, "discharge.csv");
    fs.writeFileSync(file, `${rows.join("\n")}\n`);
    return /\d{8}-\d{6}-[0-9a-f]{4}/.exec(this.sagbench("import", "--archive", this.archive, "--pack", this.pack(2), file))[0];
  }

  /** Samples as the archive has them: [{time_s, voltage_V}]. */
  samples(run) {
    const out = path.join(this.folder, "exported");
    this.sagbench("export", "--archive", this.archive, run, "--out", out);
    const [head, ...rows] = fs.readFileSync(path.join(out, run, "samples.csv"), "utf8").trim().split("\n").map((line) => line.split(","));
    const at = (name) => head.indexOf(name);
    return rows.map((row) => ({time_s: Number(row[at("time_s")]), voltage_V: Number(row[at("voltage_V")])}));
  }
}

/** Ends with its exit code. */
export async function exitOf(process) {
  if (process.exitCode === null) await once(process, "exit");
  return process.exitCode;
}
