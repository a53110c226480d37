// The desk's part of the page: what is saved beside the field, and running it again. Everything that it sends
// goes to the program that served this page, on this computer; it decides nothing.
const desk = (() => {
  "use strict";

  const EVERY_MS = 400;
  const KEPT = "desk-told"; // what is to be said after the page was loaded again
  const STAGES = ["v", "r1", "r2", "r3", "r4", "r5"];
  const at = (id) => document.getElementById(id);

  let data = null;
  let state = null;
  let place = null; // of the count, on the map
  let row = null; // of the scouting files, that is being corrected
  let line = null; // places tapped for a cut; null while none is drawn

  // ---- asking ----

  async function ask(path, body) {
    const how = body === undefined
      ? {}
      : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
    try {
      const answer = await fetch(path, how);
      return { ok: answer.ok, told: await answer.json() };
    } catch (fault) {
      return { ok: false, told: { lines: ["The desk was closed: start it again."] } };
    }
  }

  function paragraph(text, isFault) {
    const found = document.createElement("p");
    found.textContent = text;
    if (isFault) found.className = "fault";
    return found;
  }

  function say(lines, isFault) {
    at("desk-told").replaceChildren(...lines.map((text) => paragraph(text, isFault)));
  }

  async function change(path, body) {
    const answer = await ask(path, body);
    await look();
    if (answer.ok) {
      say([...answer.told.lines, "Saved. Run again to see it in the plan."]);
    } else say(answer.told.lines, true);
    return answer.ok;
  }

  // ---- what stands beside the field ----

  async function look() {
    const answer = await ask("state");
    if (!answer.ok) {
      say(answer.told.lines, true);
      return;
    }
    state = answer.told;
    at("desk-shared").hidden = !state.shared;
    at("desk-farm").hidden = !state.is_farm;
    at("desk-back").hidden = state.by_hand === 0;
    const most = at("desk-zoning").elements.most;
    most.value = state.most_zones === null ? "" : state.most_zones;
    most.disabled = at("desk-number").disabled = state.most_zones === null;
    showRows();
    showEarlier();
  }

  function showRows() {
    at("desk-rows").replaceChildren(...state.counts.map((one) => {
      const found = document.createElement("tr");
      for (const text of [one.where, dayOf(one), said(one.cells)]) {
        const cell = document.createElement("td");
        cell.textContent = text;
        found.append(cell);
      }
      const last = document.createElement("td");
      if (one.editable) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = "Change";
        button.setAttribute("aria-label", `Change ${one.where}`);
        button.addEventListener("click", () => edit(one));
        last.append(button);
      }
      found.append(last);
      return found;
    }));
  }

  function dayOf(one) {
    const day = (one.cells.date || "").slice(0, 10);
    return /^\d{4}-\d\d-\d\d$/.test(day) ? written.day(day) : one.cells.date || "";
  }

  function said(cells) {
    const { date, lat, lon, note, ...says } = cells;
    const told = Object.entries(says).map(([role, text]) => {
      if (role === "v") return `before R1 ${text}`;
      if (role === "severity_pct") return `severity ${text} %`;
      return `${STAGES.includes(role) ? role.toUpperCase() : role} ${text}`;
    });
    return [...told, ...(note ? [note] : [])].join(", ");
  }

  function showEarlier() {
    at("desk-earlier").replaceChildren(...state.history.map((one) => {
      const found = document.createElement("option");
      found.value = one.name;
      found.textContent = `the plan that stood until ${one.until}`;
      return found;
    }));
    at("desk-compare").disabled = state.history.length === 0;
  }

  // ---- counts ----

  function edit(one) {
    row = one;
    place = null;
    const form = at("desk-count");
    for (const field of form.elements) {
      if (field.name) field.value = (one && one.cells[field.name]) || "";
    }
    if (one) form.elements.date.value = (one.cells.date || "").slice(0, 10);
    else form.elements.date.value = state.today;
    at("desk-why-count").hidden = at("desk-strike").hidden = at("desk-new").hidden = !one;
    at("desk-add").textContent = one ? "Correct this row" : "Add this count";
    at("desk-place").textContent = one ? `${one.where}; its place stays, unless you tap the map.`
      : "Tap the map where you counted.";
    if (one) form.elements.date.focus();
  }

  function cells() {
    const form = at("desk-count");
    const found = {};
    for (const field of form.elements) {
      if (!field.name || field.name === "reason") continue;
      const was = row ? row.cells[field.name] || "" : "";
      const isDay = field.name === "date" && row && was.slice(0, 10) === field.value;
      if (field.value !== was && !isDay) found[field.name] = field.value;
    }
    if (!row && STAGES.some((stage) => found[stage])) {
      for (const stage of STAGES.slice(0, 4)) found[stage] = found[stage] || "0";
    }
    return place ? { ...found, x: place[0], y: place[1] } : found;
  }

  async function sendCount(event) {
    event.preventDefault();
    if (!row && !place) {
      say(["Tap the map where you counted."], true);
      return;
    }
    const named = row ? { file: row.file, line: row.line, key: row.key, reason: why("desk-count") } : {};
    if (await change(row ? "counts/correct" : "counts/add", { ...named, cells: cells() })) edit(null);
  }

  async function strike() {
    const { file, line: number, key } = row;
    if (await change("counts/strike", { file, line: number, key, reason: why("desk-count") })) edit(null);
  }

  const why = (form) => at(form).elements.reason.value;

  // ---- zones ----

  function showZones() {
    for (const name of ["one", "other", "cut"]) {
      at("desk-zoning").elements[name].replaceChildren(...data.zones.map((one) => {
        const found = document.createElement("option");
        found.value = one.zone;
        found.textContent = `${one.zone}, block ${one.block}`;
        return found;
      }));
    }
    if (data.zones.length > 1) at("desk-zoning").elements.other.selectedIndex = 1;
  }

  const chosen = (name) => Number(at("desk-zoning").elements[name].value);

  function zoning(path, body) {
    return change(path, { ...body, zones_id: data.zones_id, reason: why("desk-zoning") });
  }

  function draw() {
    line = [];
    document.documentElement.classList.add("desk-drawing");
    at("desk-split").hidden = true;
    say(["Tap two places on the map: the cut runs through both, from edge to edge of the zone."]);
    at("map").scrollIntoView({ block: "center" });
  }

  async function split() {
    const ends = line;
    endDrawing();
    await zoning("zones/split", { zone: chosen("cut"), line: ends });
  }

  function endDrawing() {
    line = null;
    showMarks();
    document.documentElement.classList.remove("desk-drawing");
    at("desk-split").hidden = true;
  }

  // ---- the map ----

  function tapped(event) {
    const map = at("map");
    const screen = map.getScreenCTM();
    if (!screen) return;
    const there = new DOMPoint(event.clientX, event.clientY).matrixTransform(screen.inverse());
    const tap = [Math.round(there.x * 10) / 10, Math.round(there.y * 10) / 10];
    if (line !== null) {
      event.preventDefault();
      event.stopPropagation();
      if (line.length < 2) line.push(tap);
      at("desk-split").hidden = line.length < 2;
      if (line.length === 2) {
        say([`The cut of zone ${chosen("cut")} is drawn: press "Cut it here", or draw it anew.`]);
        at("desk-split").focus({ preventScroll: true });
      }
    } else if (at("desk-counts").open) {
      place = tap;
      at("desk-place").textContent = "The place is marked on the map.";
    }
    showMarks();
  }

  function showMarks() {
    const map = at("map");
    const old = at("desk-marks");
    if (old) old.remove();
    const screen = map.getScreenCTM();
    const marks = svg("g", { id: "desk-marks", "pointer-events": "none" });
    const ends = line || [];
    if (ends.length === 2) {
      const [[x1, y1], [x2, y2]] = ends;
      marks.append(svg("line", { x1, y1, x2, y2 }));
    }
    for (const [cx, cy] of line ? ends : place ? [place] : []) {
      marks.append(svg("circle", { cx, cy, r: 7 / (screen ? screen.a : 1) }));
    }
    map.append(marks);
  }

  function svg(name, attributes) {
    const found = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, value);
    return found;
  }

  // ---- runs and earlier plans ----

  async function run() {
    const answer = await ask("run", {});
    if (!answer.ok) say(answer.told.lines, true);
    else watch();
  }

  async function watch() {
    const answer = await ask("progress");
    if (!answer.ok) {
      say(answer.told.lines, true);
      return;
    }
    const told = answer.told;
    at("desk-run").disabled = told.running;
    if (told.running) {
      say([`${told.steps[told.steps.length - 1] || "starting"} ...`]);
      setTimeout(watch, EVERY_MS);
    } else if (told.faults.length > 0) {
      say([...told.faults, "The last good plan is still shown."], true);
    } else {
      sessionStorage.setItem(KEPT, told.changed ? "This is the new plan." : "The plan is as it was.");
      window.location.reload();
    }
  }

  async function compare() {
    const answer = await ask(`compare?with=${encodeURIComponent(at("desk-earlier").value)}`);
    const told = answer.told;
    const lines = answer.ok
      ? [told.headline, ...told.zones.map((one) => `Zone ${one.zone}: ${one.text}`), told.machine]
      : told.lines;
    at("desk-changes").replaceChildren(...lines.map((text) => paragraph(text, !answer.ok)));
  }

  async function start(given) {
    data = given;
    sessionStorage.removeItem("desk-ran");
    showZones();
    at("desk-run").addEventListener("click", run);
    at("desk-save").addEventListener("click", () => change("decisions", decisions.exported()));
    at("desk-count").addEventListener("submit", sendCount);
    at("desk-strike").addEventListener("click", strike);
    at("desk-new").addEventListener("click", () => edit(null));
    at("desk-number").addEventListener("click", () => zoning("zones/number", { most: chosen("most") }));
    at("desk-merge").addEventListener("click", () => zoning("zones/merge", { zones: [chosen("one"), chosen("other")] }));
    at("desk-back").addEventListener("click", () => zoning("zones/back", {}));
    at("desk-line").addEventListener("click", draw);
    at("desk-split").addEventListener("click", split);
    at("desk-compare").addEventListener("click", compare);
    if (at("map")) at("map").addEventListener("click", tapped, true);
    document.addEventListener("keydown", (event) => event.key === "Escape" && line !== null && endDrawing());
    const kept = sessionStorage.getItem(KEPT);
    sessionStorage.removeItem(KEPT);
    await look();
    edit(null);
    const going = await ask("progress");
    if (going.ok && going.told.running) watch();
    else if (kept) say([kept, ...state.waiting]);
    else if (state && state.waiting.length > 0) say([...state.waiting, "Run again to see it in the plan."]);
  }

  return { start };
})();
