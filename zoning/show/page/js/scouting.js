// Points in the field: those of the plan, by day, and those of a file that is read in the page. What is read stays in
// the page until the tool has it; nothing is reckoned anew here.
const scouting = (() => {
  "use strict";

  const MOST_KEPT = 2000;
  const MOST_REASONS = 20;
  const MOST_OPEN = 14;
  const SAME_M = 1;
  const ADD = "sprayworth scout FIELD --add FILE";

  let data = null;
  let rules = null;
  let hooks = null;
  let box = null;
  let fresh = []; // read in the page and kept
  let tried = null; // read and not yet kept: {file, points, ...}
  const parts = {};

  // -- the map ---------------------------------------------------------------------------------------------------

  // Number of the zone on the map that holds a place, 0 where none does.
  function zoneAt(x, y) {
    const map = document.getElementById("map");
    if (!map) return 0;
    const point = map.createSVGPoint();
    [point.x, point.y] = [x, y];
    for (const zone of map.querySelectorAll(".zone[data-zone]")) {
      const shape = zone.querySelector("path");
      if (shape && shape.isPointInFill(point)) return Number(zone.dataset.zone);
    }
    return 0;
  }

  const onMap = () => [...fresh, ...(tried ? tried.points : [])];

  function draw() {
    hooks.points(onMap());
  }

  // Show a point of the plan, or of those that were read, on the map.
  function show(place, isFresh) {
    const marks = document.querySelectorAll(isFresh ? "#map .point:not([data-at])" : `#map .point[data-at="${place}"]`);
    const mark = marks[isFresh ? place : 0];
    if (!mark) return;
    document.getElementById("map").scrollIntoView({ block: "center" });
    mark.focus({ preventScroll: true });
    mark.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
  }

  // -- words -----------------------------------------------------------------------------------------------------

  function make(name, text = "", values = {}) {
    const found = document.createElement(name);
    found.textContent = text;
    for (const [key, value] of Object.entries(values)) found.setAttribute(key, value);
    return found;
  }

  const several = (count, one) => `${count} ${one}${count === 1 ? "" : "s"}`;

  function whereOf(one) {
    return one.zone ? `zone ${one.zone}` : "in no zone";
  }

  function textOf(one) {
    const more = [];
    if (one.stage && !one.text.includes(one.stage)) more.push(one.stage);
    if (typeof one.severity_pct === "number" && !one.text.includes("%")) more.push(`${one.severity_pct} % of the leaf area`);
    if (one.note && one.note !== one.text) more.push(one.note);
    if (one.photo && !one.text.includes(one.photo)) more.push(`photo ${one.photo}`);
    if (one.observer) more.push(one.observer);
    return `${whereOf(one)}: ${[one.text, ...more].join(", ")}`;
  }

  function list(points, isFresh, ahead = 0) {
    const whole = make("div");
    let items = null;
    let day = null;
    points.forEach((one, place) => {
      if (one.on !== day) {
        day = one.on;
        whole.append(make("p", written.day(day), { class: "day" }));
        items = make("ul", "", { class: "points", "aria-label": written.day(day) });
        whole.append(items);
      }
      const button = make("button", textOf(one), { type: "button", title: "Show it on the map" });
      button.addEventListener("click", () => show(ahead + place, isFresh));
      const item = make("li");
      item.append(button);
      items.append(item);
    });
    return whole;
  }

  // A long list is folded away.
  function folded(whole, count) {
    whole.className = "seen-points";
    if (count <= MOST_OPEN) return whole;
    const found = make("details");
    found.append(make("summary", `All ${count} points, each to be shown on the map`), whole);
    return found;
  }

  // -- what is kept in the page ----------------------------------------------------------------------------------

  const keyOfStore = () => `sprayworth points ${data.zones_id}`;

  function stored() {
    try {
      return JSON.parse(window.localStorage.getItem(keyOfStore()) || "[]");
    } catch (fault) {
      return []; // no store here, or not ours
    }
  }

  function store() {
    try {
      if (fresh.length) window.localStorage.setItem(keyOfStore(), JSON.stringify(fresh));
      else window.localStorage.removeItem(keyOfStore());
    } catch (fault) {
      parts.kept.textContent = "This browser keeps nothing: the points are gone when the page is closed.";
    }
  }

  // A point as it was stored, null where it is none.
  function checked(one) {
    if (typeof one !== "object" || one === null) return null;
    const numbers = [one.lon, one.lat, one.zone].every((value) => Number.isFinite(value));
    const texts = ["kind", "text", "stage", "note", "photo", "observer", "source"];
    if (!numbers || !/^\d{4}-\d\d-\d\d$/.test(one.on) || !texts.every((name) => typeof one[name] === "string")) return null;
    if (!["count", "pressure", "note"].includes(one.kind)) return null;
    const found = { on: one.on, lon: one.lon, lat: one.lat };
    const { x, y } = pointsRead.placed(found, rules.place);
    for (const name of texts) found[name] = one[name];
    return { ...found, x, y, zone: zoneAt(x, y), severity_pct: Number.isFinite(one.severity_pct) ? one.severity_pct : null };
  }

  function isThere(one, others) {
    return others.some(
      (other) =>
        other.on === one.on && other.kind === one.kind && other.text === one.text &&
        Math.hypot(other.x - one.x, other.y - one.y) < SAME_M
    );
  }

  // -- reading ---------------------------------------------------------------------------------------------------

  function today() {
    const now = new Date();
    const here = new Date(now.getTime() - now.getTimezoneOffset() * 6e4).toISOString().slice(0, 10);
    return here > data.today ? here : data.today; // a page is also opened after its day
  }

  function refuse(text) {
    tried = null;
    parts.status.textContent = text;
    parts.tried.hidden = true;
    draw();
  }

  async function read(file) {
    if (/^image\//.test(file.type)) {
      refuse("This is a picture. Name it in the column photo of a list of points, and choose that list.");
    } else if (file.size > rules.limits.bytes) {
      refuse(`The file is larger than ${Math.round(rules.limits.bytes / 1e6)} MB, too large for a list of points.`);
    } else {
      let bytes;
      try {
        bytes = new Uint8Array(await file.arrayBuffer());
      } catch (fault) {
        refuse("The file could not be opened: choose it again.");
        return;
      }
      tryIt(bytes, file.name);
    }
  }

  function tryIt(bytes, file) {
    let found;
    try {
      found = pointsRead.read(bytes, file, { data: rules, today: today(), zoneAt });
    } catch (fault) {
      refuse(fault.message);
      return;
    }
    const known = [...parts.planned, ...fresh];
    const points = found.points.filter((one) => !isThere(one, known));
    tried = { ...found, file, points, already: found.points.length - points.length };
    sayTried();
    draw();
  }

  function sayTried() {
    const told = [`${several(tried.points.length, "point")} of ${several(tried.rows, "row")} read from ${tried.file}.`];
    if (tried.already) told.push(`${several(tried.already, "point")} stood here already.`);
    if (tried.unused) told.push(`Not used: ${several(tried.unused, "row")}.`);
    if (tried.earlier) told.push(`From an earlier season: ${several(tried.earlier, "row")}.`);
    parts.status.textContent = told.join(" ");
    parts.tried.textContent = "";
    parts.tried.hidden = false;
    if (tried.points.length) {
      if (tried.columns) {
        const [day, lat, lon] = tried.columns;
        parts.tried.append(make("p", `Taken as day: column ${day}; as latitude: ${lat}; as longitude: ${lon}.`));
      }
      parts.tried.append(make("p", "They stand on the map, filled. Do they lie where you walked?"));
    }
    const buttons = make("p", "", { class: "choices" });
    if (tried.points.length) buttons.append(button("Keep these points", accept));
    buttons.append(button(tried.points.length ? "Discard them" : "Close", discard));
    parts.tried.append(buttons);
    if (tried.notes.length) {
      parts.tried.append(make("p", "Not used, or not as it stands:"));
      const reasons = make("ul");
      for (const text of tried.notes.slice(0, MOST_REASONS)) reasons.append(make("li", text));
      const more = tried.notes.length - MOST_REASONS;
      if (more > 0) reasons.append(make("li", `and ${more} more: mend the first ones and choose the file again`));
      parts.tried.append(reasons);
    }
    parts.tried.append(list(tried.points, true, fresh.length)); // on the map they stand behind those that are kept
  }

  function button(text, clicked) {
    const found = make("button", text, { type: "button" });
    found.addEventListener("click", clicked);
    return found;
  }

  function accept() {
    const count = tried.points.length;
    fresh = [...fresh, ...tried.points].slice(-MOST_KEPT).sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0));
    tried = null;
    parts.tried.hidden = true;
    parts.status.textContent = `${several(count, "point")} kept in this page.`;
    sayKept();
    store();
    draw();
    parts.input.focus();
  }

  function discard() {
    tried = null;
    parts.tried.hidden = true;
    parts.status.textContent = "Nothing was kept of the file.";
    draw();
    parts.input.focus();
  }

  function forget() {
    fresh = [];
    parts.status.textContent = "The points that were read in the page are gone.";
    sayKept();
    store();
    draw();
    parts.input.focus();
  }

  function sayKept() {
    parts.kept.textContent = "";
    parts.fresh.textContent = "";
    if (!fresh.length) return;
    const where = `not yet in the plan: add them with "${ADD}", then run again.`;
    parts.kept.textContent = `${several(fresh.length, "point")} read in this page, ${where}`;
    parts.fresh.append(list(fresh, true), button("Forget them", forget));
  }

  // -- start -----------------------------------------------------------------------------------------------------

  function build() {
    parts.planned = rules.points.map((one) => ({ ...one, ...pointsRead.placed(one, rules.place) }));
    const before = document.querySelector("#seen > h2 + ul");
    if (parts.planned.length && before) {
      before.hidden = true; // the same points, each a button now
      before.after(folded(list(parts.planned, false), parts.planned.length));
    }
    parts.kept = make("p", "", { class: "mark-fresh" });
    parts.fresh = make("div");
    parts.status = make("p", "", { role: "status" });
    parts.tried = make("div");
    parts.tried.hidden = true;
    parts.input = make("input", "", { type: "file", id: "f-points", accept: ".csv,.txt,.tsv,.json,.geojson" });
    const label = make("label", "Read more points, from CSV or GeoJSON", { for: "f-points" });
    const chooser = make("p", "", { class: "choose" });
    chooser.append(label, parts.input);
    parts.input.addEventListener("change", () => {
      const [file] = parts.input.files;
      parts.input.value = "";
      if (file) read(file);
    });
    box.append(parts.kept, parts.fresh, chooser, parts.status, parts.tried);
  }

  function start(given, { points }) {
    [data, rules, box] = [given, given.scouting, document.getElementById("scouting")];
    if (!rules || !box) return;
    hooks = { points };
    build();
    const kept = stored();
    fresh = (Array.isArray(kept) ? kept : []).map(checked).filter((one) => one && !isThere(one, parts.planned));
    sayKept();
    if (fresh.length) draw();
  }

  return { start };
})();
