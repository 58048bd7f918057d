// One Chromium for all tests: pages that keep what they complained about, pictures, and the accessibility check.

import fs from "node:fs";
import {createRequire} from "node:module";
import path from "node:path";

// What npm installed lies beside the build, not beside this file.
const kModules = process.env.SAGBENCH_UI_MODULES ?? ".";
const require = createRequire(path.join(path.resolve(kModules), "package.json"));
const {chromium} = require("playwright-core");
const kAxe = require.resolve("axe-core/axe.min.js");
const kPictures = process.env.SAGBENCH_UI_PICTURES ?? path.join(kModules, "pictures");

export const kPhone = {width: 360, height: 740};
export const kDesktop = {width: 1920, height: 1080};

const look = (size, viewport, colorScheme) => ({size, viewport, colorScheme});
export const kAllLooks = ["light", "dark"].flatMap((scheme) => [look("phone", kPhone, scheme), look("desktop", kDesktop, scheme)]);
export const kTwoLooks = [look("phone", kPhone, "light"), look("desktop", kDesktop, "dark")];

export class Browser {
  #chromium;

  /** As root, and in many containers, Chromium's sandbox cannot be had; the pages are our own. */
  async open(program) {
    this.#chromium = await chromium.launch({executablePath: program, args: ["--no-sandbox"]});
    fs.mkdirSync(kPictures, {recursive: true});
  }

  async close() {
    await this.#chromium?.close();
  }

  /** A page whose `complaints` are what the console and the page's scripts said was wrong. */
  async page(url, {viewport = kDesktop, colorScheme = "light", ...more} = {}) {
    const context = await this.#chromium.newContext({viewport, colorScheme, reducedMotion: "reduce", ...more});
    const page = await context.newPage();
    page.complaints = [];
    page.on("console", (message) => {
      if (["error", "warning"].includes(message.type())) page.complaints.push(message.text());
    });
    page.on("pageerror", (error) => page.complaints.push(error.message));
    await page.goto(url);
    return page;
  }
}

/** What the check finds in any of the looks, one line each; a picture of each is kept. */
export async function accessibilityFaults(page, name, looks) {
  const found = [];
  for (const {size, viewport, colorScheme} of looks) {
    await page.setViewportSize(viewport);
    await page.emulateMedia({colorScheme});
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (wide > 0) found.push(`${name} ${size}: ${wide} px wider than the screen`);
    await page.screenshot({path: path.join(kPictures, `${name}-${size}-${colorScheme}.png`), fullPage: true});
    for (const {id, nodes} of await violations(page))
      found.push(...nodes.map((node) => `${name} ${size} ${colorScheme}: ${id}: ${node.target.join(" ")}: ${node.failureSummary}`));
  }
  return found;
}

async function violations(page) {
  await page.evaluate(fs.readFileSync(kAxe, "utf8"));  // by the debugger, past the page's content security policy
  const {violations: list} = await page.evaluate(() => globalThis.axe.run(document, {resultTypes: ["violations"],
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}));
  return list;
}
