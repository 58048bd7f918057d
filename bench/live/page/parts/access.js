// Asking the program over HTTP, with the run's token where there is one.

const kKey = "sagbench-token";
let token = "";

/** The program said no, or nothing: `status` is 0 where it could not be reached. */
export class Refused extends Error {
  constructor(status, words) {
    super(words);
    this.status = status;
  }
}

/** Takes the token out of the address line, so that it is neither seen nor shared with it. */
export function takeToken() {
  const fragment = location.hash.slice(1);
  if (/^[a-z2-7]{16,64}$/.test(fragment)) {
    sessionStorage.setItem(kKey, fragment);
    history.replaceState(null, "", `${location.pathname}#/now`);
  }
  token = sessionStorage.getItem(kKey) ?? "";
}

export function setToken(typed) {
  token = typed.trim().toLowerCase();
  sessionStorage.setItem(kKey, token);
}

/** What a WebSocket offers: browsers let it carry no header of ours. */
export function protocols() {
  return token ? ["sagbench.1", `token.${token}`] : ["sagbench.1"];
}

async function wordsOf(response) {
  try {
    return (await response.json()).error ?? response.statusText;
  } catch {
    return response.statusText || `answer ${response.status}`;
  }
}

/** The response; throws Refused for whatever is not a success. */
export async function ask(path, {timeout_ms = 15000, ...options} = {}) {
  const headers = {...options.headers, ...(token ? {Authorization: `Bearer ${token}`} : {})};
  let response;
  try {
    response = await fetch(path, {...options, headers, cache: "no-store", credentials: "omit",
      signal: AbortSignal.timeout(timeout_ms)});
  } catch {
    throw new Refused(0, "the program does not answer");
  }
  if (!response.ok) throw new Refused(response.status, await wordsOf(response));
  return response;
}

export async function askJson(path, options) {
  return (await ask(path, options)).json();
}

/** A stretch of a run, thinned by the program; times in seconds since the run's start, all of it where left out. */
export function askHistory(run, from = null, to = null) {
  const stretch = from === null ? "" : `?from=${from.toFixed(3)}&to=${to.toFixed(3)}`;
  return askJson(`/api/runs/${encodeURIComponent(run)}/history${stretch}`, {timeout_ms: 60000});
}

/** Fetches a file that needs the token, and hands it to the browser as a download. */
export async function download(path, name) {
  const bytes = await (await ask(path, {timeout_ms: 180000})).blob();
  const url = URL.createObjectURL(bytes);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}
