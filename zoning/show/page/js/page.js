// Puts the parts of the page together: the controls, the chosen zone, and every figure that they move. What is
// reckoned is in what_if.js, what is drawn in map.js, what the reader decides in decisions.js.
const page = (() => {
  "use strict";

  const at = (id) => document.getElementById(id);
  const MARKED = ["c-action", "c-day", "c-rate", "c-net", "c-range", "c-chance", "c-needs"];

  let data = null;
  let model = null; // of what_if.js; null where there is no money
  let answer = null;
  let waits = false;
  const state = { figures: null, units: "us", theme: "decision", zone: null };
  const asPlanned = new WeakMap(); // places that only a change rewrites, as they were rendered

  function keep(place) {
    if (place && !asPlanned.has(place)) asPlanned.set(place, Array.from(place.childNodes));
  }

  function restore(place) {
    if (!place || !asPlanned.has(place)) return;
    place.replaceChildren(...asPlanned.get(place));
    written.units(place, state.units); // they may have been chosen since
  }

  function rewrite(place, isMoved, ...parts) {
    if (!place) return;
    keep(place);
    if (isMoved) place.replaceChildren(...parts);
    else restore(place);
  }

  function figure(quantity, value) {
    const place = document.createElement("span");
    written.put(place, quantity, value);
    return place;
  }

  function unit(kind) {
    const place = document.createElement("span");
    place.className = "u";
    place.dataset.u = kind;
    place.textContent = written.unit(kind);
    return place;
  }

  const areOthers = () =>
    Object.keys(state.figures).some((name) => state.figures[name] !== data.what_if.base[name]);

  const isMoved = () =>
    areOthers() ||
    answer.zones.some((one) => one.action !== zoneOf(one.zone).action || isOtherRate(one.zone));

  const isOtherRate = (zone) => ![null, zoneOf(zone).rate_gal_ac].includes(decisions.rate(zone));

  const zoneOf = (zone) => data.zones.find((one) => one.zone === zone);

  // ---- the top of the page ----

  function showTop(moved) {
    written.put(at("n-spray"), "area_ac", answer.spray_ac);
    const share = answer.spray_ac / data.area_ac;
    if (at("n-spray-share")) at("n-spray-share").textContent = `${written.rounded(100 * share)} %`;
    written.put(at("n-skip"), "area_ac", answer.skip_ac);
    written.put(at("n-net"), "usd", answer.net_usd);
    const area = [figure("whole_area_ac", answer.spray_ac), " of ", figure("whole_area_ac", data.area_ac), " "];
    const areaWord = written.isMetric() ? "hectares" : "acres";
    const head = answer.spray_ac > 0
      ? ["Spray ", ...area, `${areaWord}: expected net `, figure("usd", answer.net_usd)]
      : [`Spray nothing: no pass is worth it at these figures`];
    rewrite(at("decision"), moved, ...head);
    const spread = () => [figure("usd", answer.net_p10_usd), " to ", figure("usd", answer.net_p90_usd)];
    const pays = ["; it pays with a chance of ", figure("chance", answer.chance_frac)];
    const sprays = answer.spray_ac > 0;
    rewrite(at("range"), moved, ...(sprays ? ["8 seasons of 10 bring ", ...spread(), ...pays] : []));
    rewrite(at("n-range"), moved, ...(sprays ? spread() : []));
  }

  function showStays(moved) {
    const place = at("stays");
    if (!place) return;
    const told = ["Dates, passes and carrier rates stay as planned; run again to re-plan."];
    for (const visit of answer.visits) {
      if (visit.stands && visit.number === 0) {
        const zones = visit.zones.length > 1 ? "zones" : "zone";
        told.push(`A visit about ${written.day(visit.day)} for ${zones} ${visit.zones.join(", ")} is reckoned in; ` +
          "it is not in the plan yet.");
      }
      if (!visit.stands && visit.number > 0) told.push(`Pass ${visit.number} is no longer worth it.`);
    }
    const alone = answer.zones.filter((one) => one.by === "figures" && one.wanted && one.action === "skip");
    if (alone.length > 0) {
      const zones = alone.map((one) => one.zone).join(", ");
      told.push(`Zone${alone.length > 1 ? "s" : ""} ${zones}: worth it without the cost of coming, not with it.`);
    }
    place.textContent = told.join(" ");
    place.hidden = !moved;
    document.body.classList.toggle("moved", moved);
    document.body.classList.toggle("other-figures", areOthers()); // what was decided makes no sentence untrue
  }

  // ---- zones ----

  function showZone(one, moved) {
    const plan = zoneOf(one.zone);
    const places = document.querySelectorAll(`[data-zone="${one.zone}"]:not(a)`);
    for (const place of places) {
      place.classList.toggle("spray", one.action === "spray");
      place.classList.toggle("skip", one.action === "skip");
      place.classList.toggle("changed", moved && one.action !== plan.action);
      for (const name of MARKED) {
        for (const cell of place.querySelectorAll(`.${name}`)) showCell(cell, name, one, plan, moved);
      }
    }
    showDone(at(`zone-${one.zone}`), one, plan, moved && one.action !== plan.action);
  }

  // What is done in a zone whose action is another than the plan's: the plan's pass is named as that.
  function showDone(story, one, plan, isOther) {
    if (!story) return;
    let row = story.querySelector(".what");
    if (!row) {
      if (!isOther) return;
      row = document.createElement("div");
      row.className = "what";
      row.append(document.createElement("dt"), document.createElement("dd"));
      row.firstChild.textContent = "What is done";
      story.querySelector("dl").children[1].after(row);
    }
    const pass = mapPasses.of(plan, one);
    const place = row.lastChild;
    keep(place);
    row.hidden = !isOther && asPlanned.get(place).length === 0;
    if (one.action === "skip") {
      const before = asPlanned.get(place).map((node) => node.cloneNode(true));
      rewrite(place, isOther, "nothing", ...(before.length > 0 ? ["; in the plan: ", ...before] : []));
    } else {
      const rate = fieldMap.rate(one.zone);
      const how = pass.isNew ? `, ${mapPasses.NEW}` : "";
      const told = pass.number ? `pass ${pass.number}, ${written.day(pass.day)}` : written.day(pass.day);
      rewrite(place, isOther, told, ...(rate === null ? [] : [", ", figure("rate_gal_ac", rate), " ", unit("rate")]), how);
    }
    if (isOther) written.units(place, state.units);
  }

  function showDay(cell, one, plan, moved) {
    const pass = mapPasses.of(plan, one);
    const note = document.createElement("small");
    note.textContent = mapPasses.NEW;
    rewrite(cell, moved && one.action !== plan.action, written.day(pass.day), ...(pass.isNew ? [" ", note] : []));
  }

  function showCell(cell, name, one, plan, moved) {
    const known = one.net_mean_usd_ac !== null;
    if (!known && !["c-action", "c-day", "c-rate"].includes(name)) return;
    const isSpray = one.action === "spray";
    if (name === "c-action") {
      const mark = one.by === "you" || decisions.rate(one.zone) !== null ? data.decisions.mark : "";
      rewrite(cell, moved, one.action + mark);
    } else if (name === "c-day") {
      showDay(cell, one, plan, moved);
    } else if (name === "c-rate") {
      const rate = isSpray ? fieldMap.rate(one.zone) : null;
      rewrite(cell, moved, rate === null ? "-" : figure("rate_gal_ac", rate));
    } else if (name === "c-net") rewrite(cell, moved, figure("net_usd_ac", one.net_mean_usd_ac));
    else if (name === "c-chance") rewrite(cell, moved, figure("chance", one.chance_frac));
    else if (name === "c-needs") {
      rewrite(cell, moved, figure("response_bu_ac", one.break_even_response_bu_ac));
    } else {
      rewrite(cell, moved, figure("net_usd_ac", one.net_p10_usd_ac), " to ",
        figure("net_usd_ac", one.net_p90_usd_ac));
    }
  }

  // ---- the chosen zone ----

  function choose(zone) {
    state.zone = zone;
    for (const row of document.querySelectorAll("#zone-table tr[data-zone]")) {
      const isChosen = Number(row.dataset.zone) === zone;
      row.classList.toggle("chosen", isChosen);
      if (isChosen) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
    showDetail();
    decisions.chosen(zone);
    fieldMap.show(answer, state);
  }

  // The whole story of the zone beside the map: a copy of the one below, so that nothing is written twice.
  function showDetail() {
    const place = at("detail-story");
    const story = state.zone === null ? null : at(`zone-${state.zone}`);
    if (!place || !story) return;
    const copy = story.cloneNode(true);
    copy.removeAttribute("id");
    for (const one of copy.querySelectorAll("[id]")) one.removeAttribute("id");
    for (const fold of copy.querySelectorAll("details")) fold.open = fold.parentNode === copy;
    place.replaceChildren(copy);
  }

  function listenToZones() {
    const table = at("zone-table");
    if (!table) return;
    table.addEventListener("click", (event) => {
      const row = event.target.closest("tr[data-zone]");
      if (!row) return;
      const link = event.target.closest("a");
      if (link) event.preventDefault();
      choose(Number(row.dataset.zone));
    });
  }

  // On a phone the stories are folded; on a desk, on paper and without scripts they stand open.
  function foldStories() {
    const narrow = window.matchMedia("(max-width: 640px)");
    const fold = () => {
      for (const one of document.querySelectorAll("#stories .story > details")) one.open = !narrow.matches;
    };
    narrow.addListener(fold); // older browsers have no addEventListener here
    fold();
  }

  // ---- all of it ----

  function update() {
    waits = false;
    if (model) {
      answer = whatIf.judge(model, state.figures, decisions.forced());
      mapPasses.show(answer);
      const moved = isMoved();
      showTop(moved);
      showStays(moved);
      for (const one of answer.zones) showZone(one, moved);
      showDetail();
    }
    fieldMap.show(answer, state);
  }

  // One repaint for all that moved since the last.
  function changed() {
    if (waits) return;
    waits = true;
    requestAnimationFrame(update);
  }

  function sayWhatIsPast() {
    const banner = at("past");
    if (!banner) return;
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    const today = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    banner.hidden = today <= banner.dataset.day;
  }

  function start() {
    if (!Element.prototype.replaceChildren) return; // a browser of before 2020: the page stays as it was rendered
    data = written.read(at("data").textContent);
    document.documentElement.classList.add("scripted");
    written.start(data);
    state.units = data.units;
    mapPasses.start(data);
    fieldMap.start(data, { choose });
    decisions.start(data, { changed });
    if (data.what_if) {
      model = whatIf.read(data.what_if);
      state.figures = { ...data.what_if.base };
      controls.start(data, state, changed);
    }
    controls.watchUnits(state, changed);
    for (const one of document.querySelectorAll("#themes input")) {
      one.addEventListener("change", () => {
        state.theme = one.value;
        changed();
      });
    }
    listenToZones();
    foldStories();
    sayWhatIsPast();
    scouting.start(data, { points: (list) => fieldMap.points(list) });
    if (typeof desk !== "undefined") desk.start(data);
    update();
  }

  return { start };
})();

page.start();
