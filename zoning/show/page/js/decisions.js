// What the reader decides for zones, and why: the form of the chosen zone, the list of all decisions, undo, and the
// file that the next run follows. Nothing is sent anywhere; what is kept is kept by this browser.
const decisions = (() => {
  "use strict";

  const MOST_STEPS = 200; // that can be taken back
  const at = (id) => document.getElementById(id);

  let data = null;
  let rules = null;
  let changed = () => {};
  let zone = null; // the chosen one
  let steps = [[]]; // lists of decisions, one after the other
  let here = 0; // the one that counts
  let isKept = true;
  const volume = (rate_gal_ac) => `${written.rate(rate_gal_ac)} ${written.unit("rate")}`;

  const list = () => steps[here];
  const of = (number) => list().find((one) => one.zone === number) || null;
  const planned = (number) => rules.overrides.find((one) => one.zone === number) || null;
  const inPlan = (number) => data.zones.find((one) => one.zone === number);
  const key = () => `sprayworth decisions ${rules.zones_id}`;

  // ---- keeping ----

  function keep() {
    try {
      window.localStorage.setItem(key(), decisionsFile.written(list(), rules));
      isKept = true;
    } catch (fault) {
      isKept = false;
    }
  }

  function kept() {
    try {
      const text = window.localStorage.getItem(key());
      return text === null ? null : decisionsFile.kept(text, rules, numbers(), volume);
    } catch (fault) {
      return null; // forbidden, or no longer of these zones and volumes: the plan's own are shown
    }
  }

  const numbers = () => data.zones.map((one) => one.zone);

  function take(now) {
    steps = [...steps.slice(0, here + 1), now].slice(-MOST_STEPS);
    here = steps.length - 1;
    settled();
  }

  function step(by) {
    const next = here + by;
    if (next < 0 || next >= steps.length) return;
    here = next;
    settled();
    say(by < 0 ? "Taken back one step." : "Done again.");
  }

  function settled() {
    keep();
    show();
    changed();
  }

  // ---- small parts of the page ----

  function make(name, attributes = {}, ...inside) {
    const found = document.createElement(name);
    for (const [attribute, value] of Object.entries(attributes)) {
      if (value === true) found.setAttribute(attribute, "");
      else if (value !== false && value !== null) found.setAttribute(attribute, value);
    }
    found.append(...inside);
    return found;
  }

  function button(text, id, done) {
    const found = make("button", { type: "button", id }, text);
    found.addEventListener("click", done);
    return found;
  }

  function say(text, isFault = false) {
    const place = at("decisions-told");
    place.className = isFault ? "fault" : "";
    place.replaceChildren(...text.split("\n").map((line) => make("span", {}, line)));
  }

  // ---- the form of the chosen zone ----

  function radio(value, text, isOn) {
    const input = make("input", { type: "radio", name: "overrule", value });
    input.checked = isOn;
    input.addEventListener("change", showRate);
    return make("label", {}, input, ` ${text}`);
  }

  function showRate() {
    const rate = at("overrule-rate");
    if (rate) rate.disabled = decided() === "skip";
  }

  const decided = () =>
    (document.querySelector('#overrule input[name="overrule"]:checked') || { value: "" }).value;

  function rates(now) {
    const select = make("select", { id: "overrule-rate" }, make("option", { value: "" }, "as planned"));
    for (const one of rules.volumes_gal_ac) {
      const option = make("option", { value: String(one) }, volume(one));
      option.selected = now !== null && now.rate_gal_ac === one;
      select.append(option);
    }
    return make("p", {}, make("label", { for: "overrule-rate" }, "Carrier rate"), " ", select);
  }

  function showForm() {
    const place = at("overrule");
    place.replaceChildren();
    if (zone === null || inPlan(zone).action === null) return;
    const now = of(zone);
    const reason = make("input", {
      type: "text", id: "overrule-reason", value: now === null ? "" : now.reason, maxlength: rules.reason_most,
      required: true, autocomplete: "off", "aria-describedby": "decisions-told",
    });
    reason.addEventListener("input", () => reason.removeAttribute("aria-invalid"));
    const form = make("form", { novalidate: true },
      make("h3", {}, `Decide for zone ${zone} yourself`),
      make("fieldset", {}, make("legend", {}, "What is done"), " ",
        radio("spray", "spray", now !== null && now.action === "spray"),
        radio("skip", "skip", now !== null && now.action === "skip"),
        ...(rules.volumes_gal_ac.length > 0
          ? [radio("", "as the rule says, at another rate", now !== null && now.action === null)] : [])),
      ...(rules.volumes_gal_ac.length > 0 ? [rates(now)] : []),
      make("p", {}, make("label", { for: "overrule-reason" }, "Why (it goes with the map)"), " ", reason),
      make("p", { class: "buttons" }, make("button", { type: "submit" }, "Decide"),
        ...(now === null ? [] : [button("Leave it to the rule", "overrule-back", () => back(zone))])));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      decide();
    });
    place.replaceChildren(form);
    showRate();
  }

  function today() {
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  }

  function decide() {
    const reason = at("overrule-reason");
    const action = decided() || null;
    const select = at("overrule-rate");
    const rate = select && action !== "skip" && select.value ? Number(select.value) : null;
    if (action === null && rate === null) {
      say("Nothing is decided: choose spray, skip or another rate.", true);
      return;
    }
    const wrong = decisionsFile.wrongReason(reason.value, rules);
    if (wrong) {
      reason.setAttribute("aria-invalid", "true");
      reason.focus();
      say(`Not kept: ${wrong}.`, true);
      return;
    }
    const made = { zone, action, rate_gal_ac: rate, reason: reason.value.trim(), decided_on: today() };
    take([...list().filter((one) => one.zone !== zone), made].sort((one, other) => one.zone - other.zone));
    const money = rate === null ? "" : " The money of another rate is reckoned by the next run.";
    say(`Zone ${zone}: ${what(made)}, as you decided.${money}`);
  }

  function back(number) {
    take(list().filter((one) => one.zone !== number));
    const still = planned(number) ? " The plan still has your decision, until the next run." : "";
    say(`Zone ${number} is left to the rule.${still}`);
  }

  // ---- the list ----

  function what(one) {
    const rate = one.rate_gal_ac === null ? "" : volume(one.rate_gal_ac);
    if (one.action === null) return `as the rule says, at ${rate}`;
    return one.action + (rate ? ` at ${rate}` : "");
  }

  const isSame = (one, other) =>
    other !== null && ["action", "rate_gal_ac", "reason"].every((name) => one[name] === other[name]);

  function beside(one) {
    const known = planned(one.zone);
    const computed = known === null ? inPlan(one.zone).action : known.computed;
    const told = [computed === null ? "" : `By the rule: ${computed}.`];
    if (!isSame(one, known)) told.push("Not in the plan yet.");
    else told.push(known.refused === null ? "In the plan." : `Not followed: ${known.refused}.`);
    return told.filter(Boolean).join(" ");
  }

  function row(one) {
    const on = one.decided_on === null ? "" : ` (${written.day(one.decided_on)})`;
    return make("li", { "data-zone-decided": one.zone },
      make("b", {}, `Zone ${one.zone}: ${what(one)}`), ` because: ${one.reason}${on}. `,
      make("small", {}, beside(one)), " ",
      button("Take back", `take-back-${one.zone}`, () => {
        back(one.zone);
        at("decisions-head").focus();
      }));
  }

  const gone = () =>
    rules.overrides
      .filter((one) => of(one.zone) === null)
      .map((one) => make("li", {}, `Zone ${one.zone}: taken back here; the plan has it until the next run.`));

  function show() {
    showForm();
    const rows = [...list().map(row), ...gone()];
    at("decisions-list").replaceChildren(...rows);
    at("decisions-none").hidden = rows.length > 0;
    at("decisions-undo").disabled = here === 0;
    at("decisions-redo").disabled = here === steps.length - 1;
    at("decisions-text").value = decisionsFile.written(list(), rules);
    at("decisions-kept").hidden = isKept;
  }

  // ---- the file ----

  function save() {
    const blob = new Blob([decisionsFile.written(list(), rules)], { type: "application/json" });
    const url = URL.createObjectURL(blob);
    const link = make("a", { href: url, download: "decisions.json", hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 1000);
    say("Saved as decisions.json. If no file came, copy the text below into one.");
  }

  async function open(event) {
    const [file] = event.target.files;
    if (!file) return;
    try {
      const found = decisionsFile.read(new Uint8Array(await file.arrayBuffer()), rules, numbers(), volume);
      take(found);
      say(`${found.length} decision${found.length === 1 ? "" : "s"} read from the file; they stand for those before.`);
    } catch (fault) {
      say(`Not taken. ${fault.message}`, true);
    }
    event.target.value = ""; // so that the same file can be read again
  }

  function panel() {
    const file = make("input", { type: "file", id: "decisions-open", accept: ".json,application/json" });
    file.addEventListener("change", open);
    const text = make("textarea", { id: "decisions-text", readonly: true, rows: 6, spellcheck: "false" });
    text.addEventListener("focus", () => text.select());
    return [
      make("p", { id: "decisions-told", role: "status" }),
      make("h3", { id: "decisions-head", tabindex: "-1" }, "What you decided"),
      make("p", { id: "decisions-none" }, "Nothing: every zone is as the plan has it."),
      make("ul", { id: "decisions-list", "aria-labelledby": "decisions-head" }),
      make("p", { id: "decisions-kept", hidden: true },
        "This browser keeps nothing of it: save the file before you close the page."),
      make("p", { class: "buttons" },
        button("Undo", "decisions-undo", () => step(-1)),
        button("Redo", "decisions-redo", () => step(1)),
        button("Save decisions.json", "decisions-save", save)),
      make("p", { class: "hint" }, "Put the file into the field's folder and run again: dates, passes and rates then " +
        "follow it. A new price or day does not make it invalid, other zones do."),
      make("details", {}, make("summary", {}, "Read a file, or copy the text"),
        make("p", {}, make("label", { for: "decisions-open" }, "Read a decisions.json"), " ", file),
        make("p", {}, make("label", { for: "decisions-text" }, "The text of decisions.json"), " ", text)),
    ];
  }

  // ---- what others ask ----

  // Whether it counts: one that the plan could not follow does not.
  function counts(one) {
    const known = planned(one.zone);
    return known === null || known.refused === null || !isSame(one, known);
  }

  // Zones that are sprayed or skipped whatever the figures say.
  const forced = () =>
    Object.fromEntries(list().filter((one) => one.action !== null && counts(one)).map((one) => [one.zone, one.action]));

  function rate(number) {
    const one = of(number);
    return one !== null && counts(one) ? one.rate_gal_ac : null;
  }

  function chosen(number) {
    zone = number;
    if (rules !== null) showForm();
  }

  const exported = () => decisionsFile.object(list(), rules);

  function start(given, hooks) {
    if (!at("decisions") || !given.decisions) return;
    data = given;
    rules = given.decisions;
    changed = hooks.changed;
    if (!at("overrule")) at("decisions").before(make("div", { id: "overrule" }));
    at("decisions").replaceChildren(...panel());
    steps = [kept() || decisionsFile.ofPlan(rules)];
    show();
    const units = at("f-units");
    if (units) units.addEventListener("change", () => setTimeout(show, 0));
  }

  return { start, chosen, forced, rate, exported };
})();
