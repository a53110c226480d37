// Puts the parts of the page together: the controls, the chosen zone, and every figure that they move. What is
// reckoned is in what_if.js, what is drawn in map.js, what the reader decides in decisions.js.
const page = (() => {
  "use strict";

  const at = (id) => document.getElementById(id);
  const { write, figure } = rewritten;

  let data = null;
  let model = null; // of what_if.js; null where there is no money
  let answer = null;
  let waits = false;
  let later = 0; // of the stories
  const state = { figures: null, units: "us", theme: "decision", zone: null };

  const areOthers = () =>
    Object.keys(state.figures).some((name) => state.figures[name] !== data.what_if.base[name]);

  const isMoved = () =>
    areOthers() ||
    answer.zones.some((one) => one.action !== zoneFigures.zoneOf(one.zone).action || isOtherRate(one.zone));

  const isOtherRate = (zone) => ![null, zoneFigures.zoneOf(zone).rate_gal_ac].includes(decisions.rate(zone));

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
    write(at("decision"), moved, ...head);
    const spread = () => [figure("usd", answer.net_p10_usd), " to ", figure("usd", answer.net_p90_usd)];
    const pays = ["; it pays with a chance of ", figure("chance", answer.chance_frac)];
    const sprays = answer.spray_ac > 0;
    write(at("range"), moved, ...(sprays ? ["8 seasons of 10 bring ", ...spread(), ...pays] : []));
    write(at("n-range"), moved, ...(sprays ? spread() : []));
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
      zoneFigures.showRows(answer, moved);
      cancelAnimationFrame(later);
      later = requestAnimationFrame(() => {
        zoneFigures.showStories(answer, moved);
        showDetail();
      });
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
    zoneFigures.start(data);
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
