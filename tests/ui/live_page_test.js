// The live page in a real browser, on real runs in real time.

import assert from "node:assert/strict";
import fs from "node:fs";
import {after, before, test} from "node:test";

import {Bench, exitOf, freePort, until} from "./bench.js";
import {accessibilityFaults, Browser, kAllLooks, kPhone, kTwoLooks} from "./browser.js";
import {CuttableLine} from "./cuttable_line.js";

const kFar = process.env.SAGBENCH_FAR_ADDRESS;
const kStopped = 5;

const bench = new Bench();
const browser = new Browser();
before(() => browser.open(process.env.SAGBENCH_CHROMIUM));
after(async () => {
  await browser.close();
  await bench.finish();
});

/** Begins a run of a pack that lasts long enough, and waits for its page. */
async function begin(address) {
  const capacity_Ah = 0.1;
  const battery = await bench.battery(capacity_Ah);
  const port = await freePort(address);
  const run = bench.run(battery, capacity_Ah, address, port);
  await until(() => run.said.includes(`http://${address}:${port}/`), `the page's address in "${run.said}"`);
  return {battery, run, port, token: /#([a-z2-7]{26})/.exec(run.said)?.[1]};
}

const words = (page, field, view = "now") => page.locator(`#view-${view} [data-f="${field}"]`).first().textContent();
const voltage = (page) => page.locator("#view-now .numbers dd").first().textContent();
const isLive = (page) => until(async () => (await page.locator("#link-words").textContent()) === "Run: live", "a live page");

/** Times and voltages of every message of samples that the page gets, and how each connection began. */
function listenIn(page) {
  const heard = {time_s: [], voltage_V: [], hellos: []};
  page.on("websocket", (socket) => socket.on("framereceived", ({payload}) => {
    const message = JSON.parse(payload);
    if (message.type === "hello" && message.run) heard.hellos.push(message.history);
    if (!message.columns) return;
    heard.time_s.push(...message.columns.time_s);
    heard.voltage_V.push(...message.columns.voltage_V);
  }));
  return heard;
}

/** What was heard over all connections is what the archive has: in order, each once, none missing. */
function assertHeardAll(heard, kept) {
  assert.equal(heard.time_s.length, kept.length);
  kept.forEach((sample, i) => {
    assert.ok(Math.abs(sample.time_s - heard.time_s[i]) < 1e-4, `sample ${i}: ${sample.time_s} s, heard ${heard.time_s[i]} s`);
    assert.ok(Math.abs(sample.voltage_V - heard.voltage_V[i]) < 1e-4);
  });
}

async function stop(page) {
  await page.getByRole("button", {name: "Stop this run"}).click();
  await page.getByRole("button", {name: "Switch off and end"}).click();
  await until(async () => (await words(page, "alert")).startsWith("Stopped. The load is off"), "the stop's answer");
}

test("a run is watched, its line cut and mended, and stopped", async (context) => {
  const {battery, run, port} = await begin("127.0.0.1");
  const line = new CuttableLine({host: "127.0.0.1", port});
  context.after(() => line.close());
  await line.listen("127.0.0.2", port);
  const page = await browser.page("about:blank");
  const heard = listenIn(page);
  await page.goto(`http://127.0.0.2:${port}/`);

  await isLive(page);
  await until(async () => (await words(page, "input-words")) === "Load on", "the load in words");
  assert.equal(await words(page, "pack"), "Thimble & <b>Co</b>");
  assert.match(await words(page, "step"), /^Step 1 of 2: /);
  assert.match(await words(page, "next"), /^Next: rest/);
  assert.match(await words(page, "safety"), /^Nearest limit: /);
  assert.ok(await page.locator("#view-now .limits li").count() >= 4);
  assert.equal(await page.locator("#view-now canvas").count(), 2);  // there is no thermometer
  const first = await voltage(page);
  assert.match(first, /^1[0-9]\.\d{3} V$/);
  await until(async () => (await voltage(page)) !== first, "another voltage");
  assert.deepEqual(await accessibilityFaults(page, "run", kAllLooks), []);
  assert.deepEqual(page.complaints, []);

  line.cut();
  await until(async () => (await page.locator("#link-words").textContent()).startsWith("No connection"), "the loss in words");
  await until(async () => /^Not live: last value \d+ s ago/.test(await words(page, "age")), "the age in words");
  assert.equal(await words(page, "input-words"), "Load: not known now");
  line.mend();
  await isLive(page);
  assert.deepEqual(heard.hellos, ["anew", "continues"]);

  page.complaints.length = 0;  // that the network was gone
  await page.getByRole("button", {name: "Stop this run"}).click();
  await page.getByRole("button", {name: "Let it go on"}).click();
  await until(() => battery.inputOn() === true, "the load still on");
  await stop(page);
  await until(() => battery.inputOn() === false, "the load off");
  await until(async () => (await words(page, "input-words")) === "Stopped by the operator", "the end in words");
  await until(() => page.getByRole("button", {name: "Download the report"}).isVisible(), "the verdicts");
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", {name: "Download the report"}).click()]);
  assert.equal(fs.readFileSync(await download.path()).subarray(0, 5).toString(), "%PDF-");

  const id = /\d{8}-\d{6}-[0-9a-f]{4}/.exec(await words(page, "about"))[0];
  assertHeardAll(heard, bench.samples(id));
  assert.deepEqual(page.complaints, []);
  await page.context().close();
  assert.equal(await exitOf(run), kStopped);
});

test("from elsewhere nothing is shown or stopped without the token", {skip: kFar ? false : "no network of its own here"}, async () => {
  const {battery, run, port, token} = await begin(kFar);
  const url = `http://${kFar}:${port}/`;
  const stranger = await browser.page(url, {viewport: kPhone});
  await until(() => stranger.getByLabel("Token from the terminal").isVisible(), "the question for the token");
  assert.deepEqual(await accessibilityFaults(stranger, "token", kTwoLooks), []);
  const status = await stranger.evaluate(() => fetch("/api/stop", {method: "POST", body: '{"stop": true}',
    headers: {"Content-Type": "application/json"}}).then((answer) => answer.status));
  assert.equal(status, 401);
  await stranger.getByLabel("Token from the terminal").fill("a".repeat(26));
  await stranger.getByRole("button", {name: "Open"}).click();
  await until(async () => (await words(stranger, "error", "token")).startsWith("Not accepted"), "the refusal in words");
  await until(() => battery.inputOn() === true, "the load still on");

  const owner = await browser.page(`${url}#${token}`, {viewport: kPhone});
  await isLive(owner);
  assert.ok(!owner.url().includes(token));
  await stop(owner);
  await until(() => battery.inputOn() === false, "the load off");
  assert.deepEqual(owner.complaints, []);
  await owner.context().close();
  await stranger.context().close();
  assert.equal(await exitOf(run), kStopped);
});

test("the archive is listed, filtered, shown and compared", async () => {
  const whole = bench.importDischarge(1);
  const other = bench.importDischarge(0.5);
  const port = await freePort();
  const server = bench.live("127.0.0.1", port);
  await until(() => server.said.includes(`:${port}`), "the archive's page");
  const page = await browser.page(`http://127.0.0.1:${port}/`);
  const rows = page.locator("#view-archive tbody tr");
  await until(async () => (await rows.count()) >= 2, "the runs, without being asked: none goes on");
  assert.equal(await page.getByRole("button", {name: "Stop this run"}).count(), 0);
  assert.deepEqual(await accessibilityFaults(page, "archive", kAllLooks), []);

  await page.getByLabel("Chemistry").selectOption("AGM");
  await page.getByRole("button", {name: "Show", exact: true}).click();
  await until(async () => (await rows.count()) === 0, "the filter's result");
  await page.getByRole("button", {name: "Show all"}).click();
  await until(async () => (await rows.count()) >= 2, "all runs");
  for (const run of [whole, other]) await page.locator(`tr:has(a[href="#/run/${run}"]) input`).check();
  await page.getByRole("button", {name: "Compare"}).click();
  await until(() => page.locator("#view-compare table").isVisible(), "the comparison");
  assert.ok(await page.locator("#view-compare canvas").isVisible());
  assert.deepEqual(await accessibilityFaults(page, "compare", kTwoLooks), []);

  await page.goto(`http://127.0.0.1:${port}/#/run/${whole}`);
  await until(() => page.locator("#view-run .figures").isVisible(), "the figures");
  assert.match(await page.locator("#view-run .figures").textContent(), /Capacity(1\.99|2\.0)/);
  await page.locator("#view-run summary").click();
  const figures = await page.locator("#view-run table tbody tr").first().locator("td").allTextContents();
  const kept = bench.samples(whole).map((sample) => sample.voltage_V);
  assert.deepEqual(figures, [kept[0], Math.min(...kept), Math.max(...kept), kept.at(-1)].map((value) => value.toFixed(3)));
  await zoomByKeyboard(page);
  assert.deepEqual(await accessibilityFaults(page, "record", kTwoLooks), []);
  assert.deepEqual(page.complaints, []);
  await page.context().close();
  server.kill("SIGTERM");
  await exitOf(server);
});

/** A zoom asks the program for that stretch, and Home shows the whole run again. */
async function zoomByKeyboard(page) {
  const asked = page.waitForResponse((response) => response.url().includes("/history?from="));
  await page.locator("#view-run .panels").focus();
  await page.keyboard.press("+");
  const {columns} = await (await asked).json();
  assert.ok(columns.time_s[0] > 1000 && columns.time_s.at(-1) < 6000);
  assert.match(await words(page, "stretch", "run"), /^Part of the run: 30:00 to 1:30:00/);
  await page.keyboard.press("Home");
  assert.match(await words(page, "stretch", "run"), /^Whole run/);
}
