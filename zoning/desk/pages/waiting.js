// A field without a page of this version: has it run, says the step, and loads the page once it is there.
const waiting = (() => {
  "use strict";

  const EVERY_MS = 500;
  const RAN = "desk-ran"; // so that a page that cannot be shown is not made for ever
  const at = (id) => document.getElementById(id);

  function say(lines, isFault) {
    at("steps").replaceChildren(...lines.map((text) => {
      const line = document.createElement("p");
      line.textContent = text;
      if (isFault) line.className = "fault";
      return line;
    }));
  }

  async function look() {
    let told = null;
    try {
      told = await (await fetch("progress")).json();
    } catch (fault) {
      say(["The desk was closed: start it again."], true);
      return;
    }
    if (told.running) {
      say([`${told.steps[told.steps.length - 1] || "starting"} ...`]);
      setTimeout(look, EVERY_MS);
    } else if (told.faults.length > 0) {
      say(told.faults, true);
      at("again").hidden = false;
    } else {
      sessionStorage.setItem(RAN, "yes");
      window.location.reload();
    }
  }

  async function run() {
    at("again").hidden = true;
    const asked = { method: "POST", headers: { "Content-Type": "application/json" }, body: "{}" };
    const answer = await fetch("run", asked);
    if (answer.ok) look();
    else {
      say((await answer.json()).lines, true);
      at("again").hidden = false;
    }
  }

  async function start() {
    if (!at("steps")) return; // the list of a farm's fields
    at("again").addEventListener("click", run);
    const told = await (await fetch("progress")).json();
    const hasRun = sessionStorage.getItem(RAN);
    sessionStorage.removeItem(RAN);
    if (told.running) look();
    else if (!hasRun) run();
    else {
      say(["The field was run, but its page cannot be shown here."], true);
      at("again").hidden = false;
    }
  }

  return { start };
})();

waiting.start();
