// The stop button: asks once, and says what came of it. Nothing else on the page changes anything.

import {stopRun} from "./feed.js";

const kWords = {
  401: "The program did not accept this page's token. Open the address from the terminal again, or stop the run there.",
  403: "This page may not stop the run: it takes the run's token, or the computer itself.",
  409: "No run goes on any more.",
};

/** button: the one on the page; tell(words, bad): where the outcome is shown. */
export function bindStop(button, tell) {
  const dialog = document.getElementById("stop-dialog");
  button.addEventListener("click", () => dialog.showModal());
  document.getElementById("stop-keep").addEventListener("click", () => dialog.close());
  document.getElementById("stop-now").addEventListener("click", async () => {
    dialog.close();
    button.disabled = true;
    tell("Switching the load off…", false);
    try {
      const answer = await stopRun();
      if (answer.load_off) tell("Stopped. The load is off: no current flows.", false);
      else tell("The load could not be confirmed off. Pull the pack's lead now.", true);
    } catch (problem) {
      tell(`Not stopped. ${kWords[problem.status] ?? `${problem.message}. Stop it at the terminal, or pull the pack's lead.`}`, true);
      button.disabled = false;
    }
  });
}
