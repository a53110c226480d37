// The figures of each zone, in its row of the table and in its story: they follow what the reader moves. Rows follow
// at once; stories, which are far more of the page, as soon as nothing moves.
const zoneFigures = (() => {
  "use strict";

  const { keep, write, figure, unit } = rewritten;
  const NAMES = ["c-action", "c-day", "c-rate", "c-net", "c-range", "c-chance", "c-needs"];

  let data = null;
  let rows = new Map(); // zone -> where it stands
  let stories = new Map();
  const zoneOf = (zone) => plans.get(zone);
  let plans = new Map();

  // The cells of a row or story, by name, each with the figures that were rendered in it.
  function standing(root) {
    const cells = [];
    for (const name of NAMES) {
      for (const cell of root ? root.querySelectorAll(`.${name}`) : []) {
        cells.push({ name, cell, figures: Array.from(cell.querySelectorAll("[data-q]")) });
      }
    }
    return { root, cells };
  }

  function start(given) {
    data = given;
    plans = new Map(data.zones.map((one) => [one.zone, one]));
    const inTable = (zone) => document.querySelector(`#zone-table tr[data-zone="${zone}"]`);
    rows = new Map(data.zones.map((one) => [one.zone, standing(inTable(one.zone))]));
    stories = new Map(data.zones.map((one) => [one.zone, standing(document.getElementById(`zone-${one.zone}`))]));
  }

  // Figures that stand there already only get their values; what reads the same is left alone.
  function put(one, isMoved, quantity, ...values) {
    if (one.figures.length === values.length) {
      one.figures.forEach((place, at) => written.put(place, quantity, values[at]));
      return;
    }
    const parts = values.map((value) => figure(quantity, value));
    write(one.cell, isMoved, ...(parts.length > 1 ? [parts[0], " to ", parts[1]] : parts));
  }

  function say(cell, isMoved, text) {
    if (isMoved ? cell.textContent !== text : true) write(cell, isMoved, text);
  }

  function showCell(place, one, plan, moved) {
    const known = one.net_mean_usd_ac !== null;
    if (place.name === "c-action") {
      const mark = one.by === "you" || decisions.rate(one.zone) !== null ? data.decisions.mark : "";
      say(place.cell, moved, one.action + mark);
    } else if (place.name === "c-day") {
      showDay(place.cell, one, plan, moved);
    } else if (place.name === "c-rate") {
      const rate = one.action === "spray" ? fieldMap.rate(one.zone) : null;
      write(place.cell, moved, rate === null ? "-" : figure("rate_gal_ac", rate));
    } else if (!known) {
      return;
    } else if (place.name === "c-net") put(place, moved, "net_usd_ac", one.net_mean_usd_ac);
    else if (place.name === "c-chance") put(place, moved, "chance", one.chance_frac);
    else if (place.name === "c-needs") put(place, moved, "response_bu_ac", one.break_even_response_bu_ac);
    else put(place, moved, "net_usd_ac", one.net_p10_usd_ac, one.net_p90_usd_ac);
  }

  function showDay(cell, one, plan, moved) {
    const pass = mapPasses.of(plan, one);
    const note = document.createElement("small");
    note.textContent = mapPasses.NEW;
    write(cell, moved && one.action !== plan.action, written.day(pass.day), ...(pass.isNew ? [" ", note] : []));
  }

  // What is done in a zone whose action is another than the plan's: the plan's pass is named as that.
  function showDone(story, one, plan, isOther) {
    let row = story.querySelector(".what");
    if (!row) {
      if (!isOther) return;
      row = document.createElement("div");
      row.className = "what";
      row.append(document.createElement("dt"), document.createElement("dd"));
      row.firstChild.textContent = "What is done";
      story.querySelector("dl").children[1].after(row);
    }
    const place = row.lastChild;
    const planned = keep(place);
    row.hidden = !isOther && planned.length === 0;
    if (one.action === "skip") {
      const before = planned.map((node) => node.cloneNode(true));
      write(place, isOther, "nothing", ...(before.length > 0 ? ["; in the plan: ", ...before] : []));
    } else {
      const pass = mapPasses.of(plan, one);
      const rate = fieldMap.rate(one.zone);
      const told = pass.number ? `pass ${pass.number}, ${written.day(pass.day)}` : written.day(pass.day);
      const rated = rate === null ? [] : [", ", figure("rate_gal_ac", rate), " ", unit("rate")];
      write(place, isOther, told, ...rated, pass.isNew ? `, ${mapPasses.NEW}` : "");
    }
    if (isOther) written.units(place);
  }

  function show(places, answer, moved) {
    for (const one of answer.zones) {
      const { root, cells } = places.get(one.zone);
      if (!root) continue;
      const plan = zoneOf(one.zone);
      const isOther = moved && one.action !== plan.action;
      root.classList.toggle("spray", one.action === "spray");
      root.classList.toggle("skip", one.action === "skip");
      root.classList.toggle("changed", isOther);
      for (const place of cells) showCell(place, one, plan, moved);
      if (places === stories) showDone(root, one, plan, isOther);
    }
  }

  const showRows = (answer, moved) => show(rows, answer, moved);
  const showStories = (answer, moved) => show(stories, answer, moved);

  return { start, zoneOf, showRows, showStories };
})();
