// Which view is shown, and what stands above all of them.

import {setToken, takeToken} from "./parts/access.js";
import {Announcer} from "./parts/announcer.js";
import {fields, say, sayOrHide} from "./parts/dom.js";
import {dateAndTime, duration} from "./parts/words.js";
import {ArchiveView} from "./views/archive.js";
import {CompareView} from "./views/compare.js";
import {NowView} from "./views/now.js";
import {RecordView} from "./views/record.js";

const kId = /^[0-9]{8}-[0-9]{6}-[0-9a-f]{4}$/;
const at = (id) => document.getElementById(id);

/** Connection: a mark of its own shape and words, for each kind of status. */
function showLink(status, live) {
  const wait_s = status.retry_at_ms ? Math.max(1, Math.ceil((status.retry_at_ms - performance.now()) / 1000)) : 0;
  const words = {opening: "Connecting", live: live ? "Run: live" : "Connected, nothing fresh", idle: "Connected, no run",
    ended: "The run has ended", refused: "Token needed", waiting: `No connection; again in ${duration(wait_s)}`};
  at("link").dataset.state = status.kind === "live" && !live ? "stale" : status.kind;
  say(at("link-words"), words[status.kind]);
}

function showToken(words) {
  const form = fields(at("view-token"));
  sayOrHide(form.error, form.form.dataset.tried ? `Not accepted: ${words}.` : null);
  go("token");
}

const views = {now: at("view-now"), archive: at("view-archive"), run: at("view-run"), compare: at("view-compare"), token: at("view-token")};
let shown = null;

function go(name, title) {
  for (const [key, view] of Object.entries(views)) view.hidden = key !== name;
  for (const link of document.querySelectorAll("nav a")) {
    const here = link.getAttribute("href") === `#/${name}` || (link.getAttribute("href") === "#/archive" && (name === "run" || name === "compare"));
    if (here) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  document.title = `${title ?? views[name].querySelector("h1").textContent} – sagbench`;
  if (shown !== null && shown !== name) views[name].querySelector("h1").focus();
  shown = name;
}

/** Whoever asked for no view in particular sees the archive where no run goes on, nor is about to. */
function told({version, mode, run}) {
  say(at("version"), ` ${version}`);
  if (mode === "archive" && !run && !location.hash) location.replace("#/archive");
}

takeToken();
const shared = {link: showLink, refused: showToken, told};
const now = new NowView(views.now, new Announcer(at("announcer")), shared);
const archive = new ArchiveView(views.archive, shared);
const record = new RecordView(views.run, shared);
const compare = new CompareView(views.compare, shared);

function route() {
  const [view, ...ids] = location.hash.replace(/^#\/?/, "").split("/");
  const known = ids.filter((id) => kId.test(id));
  if (view === "archive") {
    go("archive");
    archive.show();
  } else if (view === "run" && known.length === 1) {
    go("run", `Run ${known[0]}`);
    record.show(known[0]);
  } else if (view === "compare" && known.length >= 2 && known.length <= 6) {
    go("compare");
    compare.show(known);
  } else {
    go("now", now.title);
  }
}

document.querySelector(".skip").addEventListener("click", (event) => {
  event.preventDefault();
  at("main").focus();
});
fields(views.token).form.addEventListener("submit", (event) => {
  event.preventDefault();
  event.target.dataset.tried = "true";
  setToken(new FormData(event.target).get("token"));
  route();
  now.start();
});
addEventListener("hashchange", () => {
  if (location.hash.startsWith("#/")) return route();
  takeToken();  // an address with a token, opened in a tab that was here already
  now.start();
  return route();
});
// Paper is never live.
addEventListener("beforeprint", () => say(at("printed"), `As it was on ${dateAndTime(new Date())}.`));
route();
now.start();
