// The map: themes, layers, what is chosen, points. It stands in the page already; here it follows the figures.
// Lengths are in local metres; the scale bars are part of the picture and true at every size.
const fieldMap = (() => {
  "use strict";

  const SVG = "http://www.w3.org/2000/svg";
  const MINUS = "−";
  const DAYS = "r3-days"; // the layer that has the colours of the theme of dates
  const FOOT_PX = 12;
  const [PRINTED_PX, PRINTED] = [310, 0.75]; // height of the map on paper, 82 mm; letters of 8 points there
  const at = (id) => document.getElementById(id);

  let data = null;
  let map = null;
  let choose = () => {};
  let answer = null;
  let state = { theme: "decision", zone: null };
  let px_m = 1;
  let hovered = null; // the zone that a passing mouse shows
  let pinned = null; // the zone that was chosen on purpose, here or in the table: no passing mouse changes it
  const off = new Set(); // layers that are not shown
  const zones = new Map(); // number -> its data, its element, its pattern
  const labels = new Map();

  // ---- what a zone looks like ----

  // Whether it is as somebody decided: action or rate, and the plan could follow.
  function isDecided(zone, judged) {
    if (!judged) return zone.plan.override !== null && zone.plan.override.refused === null;
    return judged.by === "you" || decisions.rate(zone.zone) !== null;
  }

  function decisionLook(zone, judged) {
    const action = judged ? judged.action : zone.plan.action;
    const number = `${zone.zone}${isDecided(zone, judged) ? data.decisions.mark : ""}`;
    if (action !== "spray") {
      return { fill: data.map.inks.skip, over: "hatch", tries: [[number, "skip"], [number]] };
    }
    const rate_gal_ac = rateOf(zone);
    if (rate_gal_ac === null) {
      return { fill: zone.spray, over: "", tries: [[number, "spray"], [number]] };
    }
    const volume = data.map.fills.find((one) => one[0] === rate_gal_ac);
    const fill = volume ? volume[1] : zone.spray;
    return { fill, over: "", tries: mapPasses.tries(number, mapPasses.of(zone.plan, judged), rate_gal_ac) };
  }

  const rateOf = (zone) => decisions.rate(zone.zone) || zone.rate_gal_ac;

  function returnLook(zone, judged) {
    const moved = judged && judged.net_mean_usd_ac !== null;
    const net = moved ? judged.net_mean_usd_ac : zone.net_usd_ac;
    if (net === null) return { fill: data.map.inks.white, over: "", tries: [[String(zone.zone)]] };
    const told = written.net(net, MINUS);
    const tries = [[String(zone.zone), told], [told]];
    const band = state.figures ? state.figures.min_net_usd_ac : data.map.min_net_usd_ac;
    const isTossUp = moved ? judged.action === "skip" && net > 0 && net <= band : zone.toss_up;
    if (Math.abs(net) < band || isTossUp) return { fill: mapColours.ramp(0.5), over: "toss", tries };
    const fill = mapColours.ramp(0.5 + net / data.map.end_usd_ac / 2);
    if (!told.startsWith(MINUS)) return { fill, over: "", tries };
    return { fill, over: mapColours.dark(fill) ? "hatch-light" : "hatch-ink", tries };
  }

  // A day of R3 tells enough without the number of its zone.
  function fixedLook(zone, fill, says) {
    const number = String(zone.zone);
    const alone = state.theme === "date" && zone.plan.r3_likely ? [[says]] : [];
    return { fill, over: "", tries: [[number, says], ...alone, [number]] };
  }

  function lookOf(zone, judged) {
    const fixed = zone[`by_${state.theme}`];
    const moving = () => (state.theme === "return" ? returnLook(zone, judged) : decisionLook(zone, judged));
    const look = fixed ? fixedLook(zone, ...fixed) : moving();
    return { ...look, isYours: isDecided(zone, judged), ink: mapColours.dark(look.fill) ? data.map.inks.white : data.map.inks.ink };
  }

  // ---- drawing ----

  function set(element, name, value) {
    if (element.getAttribute(name) !== value) element.setAttribute(name, value);
  }

  function paint() {
    const judged = new Map(answer ? answer.zones.map((one) => [one.zone, one]) : []);
    const group = at("map-labels");
    const isBare = under();
    for (const zone of zones.values()) {
      const look = lookOf(zone, judged.get(zone.zone));
      set(zone.element, "fill", look.fill);
      set(zone.pattern, "fill", look.over && !isBare ? `url(#map-${look.over})` : "none");
      if (isBare) [look.fill, look.ink] = [data.map.inks.white, data.map.inks.ink];
      mapLabels.show(group, labels, zone, look, zone.plan.area_ac, px_m);
      overEdge(zone, "yours", look.isYours);
      overEdge(zone, "chosen", state.zone === zone.zone);
      say(zone, judged.get(zone.zone));
    }
    set(map, "data-theme", state.theme);
    set(at("map-strips"), "fill-opacity", state.theme === "decision" && !isBare ? "1" : "0");
  }

  function hide(element, isHidden) {
    if (isHidden) element.setAttribute("display", "none");
    else element.removeAttribute("display");
  }

  // A line over a zone's edges: dashed where the reader decided, heavy where it is chosen.
  function overEdge(zone, kind, isOn) {
    const name = `${kind}Edge`;
    if (!isOn || zone[name]) {
      if (zone[name]) hide(zone[name], !isOn);
      return;
    }
    const inks = data.map.inks;
    const lines = kind === "yours"
      ? [[inks.white, 5, ""], [inks.ink, 2.4, "7 5"]]
      : [[inks.white, 8, ""], [inks.chosen, 4.5, ""]];
    const group = document.createElementNS(SVG, "g");
    for (const [ink, width, dashes] of lines) {
      const line = document.createElementNS(SVG, "use");
      line.setAttribute("href", `#map-z${zone.zone}`);
      line.setAttribute("stroke", ink);
      line.setAttribute("stroke-width", width);
      if (dashes) line.setAttribute("stroke-dasharray", dashes);
      group.append(line);
    }
    zone[name] = group;
    at("map-over").append(group);
  }

  // What is read out follows the figures; as long as nothing is moved, it is as it was rendered.
  function say(zone, judged) {
    if (!judged || judged.net_mean_usd_ac === null) return;
    const rate = rateOf(zone);
    const at_rate = judged.action === "spray" && rate !== null
      ? ` ${written.rate(rate)} ${written.unit("rate")}${mapPasses.told(mapPasses.of(zone.plan, judged))}` : "";
    const net = `${written.net(judged.net_mean_usd_ac)} ${written.unit("net")} expected`;
    const begins = zone.plan.r3_likely ? `, R3 begins about ${written.day(zone.plan.r3_likely)}` : "";
    const yours = isDecided(zone, judged) ? ", decided by you" : "";
    set(zone.element, "aria-label", `Zone ${zone.zone}: ${judged.action}${at_rate}, ${net}${begins}${yours}`);
  }

  const under = () => data.map.under.some((key) => !off.has(key));

  function showLayers() {
    for (const key of data.map.under) {
      const image = at(`map-${key}`);
      if (image) hide(image, off.has(key));
    }
    for (const key of ["labels", "points", "strips", "swaths"]) {
      const group = at(`map-${key}`);
      if (group) hide(group, off.has(key));
    }
    at("map-zones").classList.toggle("veiled", under());
    for (const key of document.querySelectorAll("#legend [data-key]")) {
      if (data.map.under.includes(key.dataset.key)) key.hidden = off.has(key.dataset.key);
      if (key.dataset.key === "points" || key.dataset.key === "strips") key.hidden = off.has(key.dataset.key);
    }
  }

  // ---- the legend ----

  function showLegend() {
    for (const list of document.querySelectorAll("#legend [data-theme]")) {
      const theme = list.dataset.theme;
      list.hidden = theme !== state.theme && !(theme === "date" && data.map.under.includes(DAYS) && !off.has(DAYS));
    }
    if (!answer) return;
    const acres = new Map();
    for (const one of answer.zones) {
      const pass = mapPasses.of(zones.get(one.zone).plan, one).number;
      const key = one.action !== "spray" ? "skip" : pass ? `pass-${pass}` : "spray";
      acres.set(key, (acres.get(key) || 0) + zones.get(one.zone).plan.area_ac);
    }
    for (const key of document.querySelectorAll("#legend [data-key]")) {
      const name = key.dataset.key;
      if (name === "overruled") key.hidden = !answer.zones.some((one) => isDecided(zones.get(one.zone), one));
      const isAction = name === "spray" || name === "skip" || name.startsWith("pass-");
      if (!isAction) continue;
      const area_ac = acres.get(name) || 0;
      written.put(key.querySelector('[data-q="area_ac"]'), "area_ac", area_ac);
      key.hidden = area_ac === 0 && name === "spray";
      key.classList.toggle("gone", area_ac === 0 && name.startsWith("pass-"));
    }
  }

  // ---- what the reader does ----

  // The nearest zone in a direction; sideways counts twice.
  function toward(zone, dx, dy) {
    const middle = (one) => one.rooms[0] || [0, 0];
    const [x, y] = middle(zone);
    let best = null;
    for (const other of zones.values()) {
      const [ahead_x, ahead_y] = [middle(other)[0] - x, middle(other)[1] - y];
      const ahead = ahead_x * dx + ahead_y * dy;
      const aside = Math.abs(ahead_x * dy) + Math.abs(ahead_y * dx);
      if (other === zone || ahead <= 0 || ahead < aside / 2) continue;
      if (!best || ahead + 2 * aside < best.far) best = { far: ahead + 2 * aside, zone: other };
    }
    return best && best.zone;
  }

  const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

  function listen() {
    const zoneAt = (event) => {
      const link = event.target.closest("a.zone");
      return link ? zones.get(Number(link.dataset.zone)) : null;
    };
    map.addEventListener("click", (event) => {
      const zone = zoneAt(event);
      if (!event.target.closest("a.point")) mapPoints.leave();
      if (!zone) return;
      event.preventDefault();
      pinned = zone.zone;
      choose(zone.zone);
    });
    // A mouse that passes shows the story of a zone, until one is clicked.
    map.addEventListener("pointerover", (event) => {
      const zone = zoneAt(event);
      if (!zone || event.pointerType !== "mouse" || pinned !== null || state.zone === zone.zone) return;
      hovered = zone.zone;
      choose(zone.zone);
    });
    map.addEventListener("focusin", (event) => {
      const zone = zoneAt(event);
      if (zone && zone.element.matches(":focus-visible") && state.zone !== zone.zone) choose(zone.zone);
    });
    map.addEventListener("keydown", (event) => {
      const zone = zoneAt(event);
      if (event.key === "Escape") {
        [pinned, hovered] = [null, state.zone];
        mapPoints.leave();
      }
      if (!zone || !WAYS[event.key]) return;
      event.preventDefault();
      const next = toward(zone, ...WAYS[event.key]);
      if (next) next.element.focus();
    });
    for (const box of document.querySelectorAll('#layers input[type="checkbox"]')) {
      if (!box.checked) off.add(box.value);
      box.addEventListener("change", () => {
        if (box.checked) off.delete(box.value);
        else off.add(box.value);
        showLayers();
        showLegend();
        paint();
      });
    }
  }

  // ---- size ----

  function fit(wide_px_m) {
    const matrix = map.getScreenCTM();
    const found = wide_px_m || (matrix && matrix.a > 0 ? 1 / matrix.a : px_m);
    if (Math.abs(found / px_m - 1) < 0.005) return;
    px_m = found;
    const group = at("map-labels");
    group.setAttribute("font-size", String(mapLabels.LETTERS_PX * px_m));
    group.setAttribute("stroke-width", String(4 * px_m));
    at("map-foot").setAttribute("font-size", String(FOOT_PX * px_m));
    mapPoints.scale(px_m);
    paint();
  }

  function watchSize() {
    const again = () => requestAnimationFrame(() => fit());
    if (typeof ResizeObserver !== "undefined") new ResizeObserver(again).observe(map);
    else window.addEventListener("resize", again);
    window.addEventListener("beforeprint", () => fit((PRINTED * map.viewBox.baseVal.height) / PRINTED_PX));
    window.addEventListener("afterprint", () => fit());
  }

  function show(judged, now) {
    if (!map) return;
    answer = judged;
    if (now.zone !== null && now.zone !== hovered) pinned = now.zone;
    state = { ...now, theme: data.map.themes.includes(now.theme) ? now.theme : data.map.themes[0] };
    paint();
    showLegend();
  }

  function start(given, hooks) {
    map = at("map");
    if (!map || !given.map) {
      map = null;
      return;
    }
    data = given;
    choose = hooks.choose;
    px_m = data.map.px_m;
    mapColours.start(data.map);
    mapLabels.start(data.map);
    at("map-labels").replaceChildren(...at("map-labels").querySelectorAll("[data-strip]"));
    at("map-over").replaceChildren();
    for (const zone of data.map.zones) {
      const element = map.querySelector(`a.zone[data-zone="${zone.zone}"]`);
      const plan = data.zones.find((one) => one.zone === zone.zone);
      zones.set(zone.zone, { ...zone, plan, element, pattern: element.querySelector("use") });
    }
    mapPoints.start(data.map, map);
    listen();
    showLayers();
    watchSize();
    fit();
  }

  return { start, show, rate: (number) => rateOf(zones.get(number)), points: (list) => mapPoints.add(list) };
})();
