// Which of a scout's lines count, where they lie, and in few words what they found: the twin of
// zoning/inputs/scouting/rows.py and of the words in zoning/offers/scouted.py.
const pointsRead = (() => {
  "use strict";

  const { said, thousands } = pointsLook;

  // -- places ----------------------------------------------------------------------------------------------------

  const REACH = 4; // half widths of the ground that taught the places: beyond it they stray by metres

  // Local metres of a place, and whether it lies so near that they hold.
  function placed(lonlat, place) {
    const u = (lonlat.lon - place.lon) / place.wide_deg;
    const v = (lonlat.lat - place.lat) / place.high_deg;
    const terms = [1, u, v, u * u, u * v, v * v];
    const sum = (numbers) => numbers.reduce((all, one, at) => all + one * terms[at], 0);
    return { x: sum(place.x), y: sum(place.y), near: Math.abs(u) <= REACH && Math.abs(v) <= REACH };
  }

  function isInside(x, y, rings) {
    let inside = false;
    for (const ring of rings) {
      for (let at = 0, last = ring.length - 1; at < ring.length; last = at, at += 1) {
        const [ax, ay] = ring[at];
        const [bx, by] = ring[last];
        if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
      }
    }
    return inside;
  }

  function distance(x, y, rings) {
    let least = Infinity;
    for (const ring of rings) {
      for (let at = 0, last = ring.length - 1; at < ring.length; last = at, at += 1) {
        const [ax, ay] = ring[last];
        const [dx, dy] = [ring[at][0] - ax, ring[at][1] - ay];
        const along = dx || dy ? ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy) : 0;
        const share = Math.min(1, Math.max(0, along));
        least = Math.min(least, Math.hypot(x - ax - share * dx, y - ay - share * dy));
      }
    }
    return least;
  }

  // How far a place beyond the reach of the local metres lies from the middle of the field, on a round earth.
  function farAway(lonlat, place) {
    const rad = Math.PI / 180;
    const [a, b] = [lonlat.lat * rad, place.lat * rad];
    const half = Math.sin((a - b) / 2) ** 2 + Math.cos(a) * Math.cos(b) * Math.sin(((lonlat.lon - place.lon) * rad) / 2) ** 2;
    return `about ${thousands((12742 * Math.asin(Math.sqrt(half))))} km`;
  }

  // -- lines -----------------------------------------------------------------------------------------------------

  const days = (from, to) => Math.round((Date.parse(to) - Date.parse(from)) / pointsLook.DAY_MS);

  function faultOf(one, ground) {
    const where = one.line.where;
    const { data, today } = ground;
    if (one.day > today) return { text: said("scouting_later", { where, on: one.day, today }) };
    const { x, y, near } = placed(one.place, data.place);
    if (!near || !isInside(x, y, data.boundary)) {
      const far = near ? distance(x, y, data.boundary) : Infinity;
      if (far > 2 * data.place.error_m) {
        const told = near ? `${thousands(far)} m` : farAway(one.place, data.place);
        return { text: said("scouting_outside", { where, far: told }) };
      }
    }
    one.x = x;
    one.y = y;
    one.zone = ground.zoneAt(x, y);
    const all = Object.values(data.planted).sort();
    const planted = data.planted[one.zone] || all[0];
    if (planted && one.day < planted) {
      const isEarlier = days(one.day, planted) > data.limits.earlier_season_d;
      return { text: said("scouting_planting", { where, on: one.day, planted }), isEarlier };
    }
    return null;
  }

  const keyOf = (seen) => (seen ? JSON.stringify(seen) : "");

  function same(one) {
    const key = [one.day, one.place.lon.toFixed(6), one.place.lat.toFixed(6)];
    if (one.pressure || one.seen) {
      return JSON.stringify([...key, one.pressure, one.cause, one.severity, keyOf(one.seen), one.observer]);
    }
    const texts = [...one.line.cells].filter(([role]) => !["date", "lat", "lon"].includes(role)).map(([, text]) => text);
    return JSON.stringify([...key, ...[...texts, ...one.line.others].filter(Boolean).sort()]);
  }

  // -- counts of one plot ----------------------------------------------------------------------------------------

  const FORMS = { tally: 3, share: 2, pod: 1, note: 0 };

  function sizeOf(seen) {
    return seen.form === "tally" ? seen.plants.reduce((all, one) => all + one, 0) : seen.n || 0;
  }

  // As Python writes a count, by which counts of one size are put in order.
  function writtenOut(seen) {
    if (seen.form === "tally") return `Tally(plants=(${seen.plants.join(", ")}))`;
    if (seen.form === "share") return `AtOrPast(stage='${seen.stage}', k=${seen.k}, n=${seen.n})`;
    if (seen.form === "pod") return `PodLength(longest_mm=${seen.longest})`;
    return `StagedNote(stage='${seen.stage}')`;
  }

  function before(one, other) {
    const keys = [one, other].map((each) => [
      -sizeOf(each.seen), -FORMS[each.seen.form], writtenOut(each.seen), each.observer, each.x, -each.y,
    ]);
    for (let at = 0; at < keys[0].length; at += 1) {
      if (keys[0][at] !== keys[1][at]) return keys[0][at] < keys[1][at] ? -1 : 1;
    }
    return 0;
  }

  // The larger of two counts of one day on one plot stays, whatever the order of the rows.
  function oneAPlot(counts, reach) {
    const stays = new Map();
    const order = counts.map((one, at) => at).sort((a, b) => before(counts[a], counts[b]) || a - b);
    for (const mine of order) {
      const here = counts[mine];
      const rivals = counts
        .map((one, at) => at)
        .filter((at) => stays.get(at) === at && Math.hypot(counts[at].x - here.x, counts[at].y - here.y) <= reach);
      const first = rivals.find((at) => counts[at].day === here.day);
      stays.set(mine, first === undefined ? mine : first);
    }
    const notes = [];
    counts.forEach((one, mine) => {
      if (stays.get(mine) === mine) return;
      const kept = counts[stays.get(mine)].line.where;
      notes.push(said("count_plot", { where: one.line.where, kept, on: one.day, m: reach }));
    });
    return { kept: counts.filter((one, mine) => stays.get(mine) === mine), notes };
  }

  // -- words -----------------------------------------------------------------------------------------------------

  const short = (value) => String(Number(value.toPrecision(6)));

  function words(seen, stages) {
    const last = stages[stages.length - 1];
    const named = (stage) => (stage === last ? `${stage} or later` : stage);
    if (seen.form === "tally") {
      const total = sizeOf(seen);
      const at = seen.plants.map((plants, k) => (plants ? `${plants} ${named(stages[k])}` : "")).filter(Boolean);
      return `${total} plant${total > 1 ? "s" : ""}: ${at.join(", ")}`;
    }
    if (seen.form === "share") return `${seen.k} of ${seen.n} at or past ${seen.stage}`;
    if (seen.form === "pod") return `longest pod ${short(Math.round(seen.longest * 10) / 10)} mm`;
    return `${named(seen.stage)} noted`;
  }

  function wordsOfPressure(one) {
    const part = one.severity !== null ? `on ${short(one.severity)} % of the leaf area` : "";
    if (one.pressure === "seen") return `${one.cause || "lesions"} seen${part && `, ${part}`}`;
    const pressure = one.pressure === "unknown" ? "pressure unknown" : one.pressure;
    const cause = one.cause === "other" ? "other cause" : one.cause;
    return `${cause ? `${pressure}, ${cause}` : pressure}${part && `, lesions ${part}`}`;
  }

  // -- a file ----------------------------------------------------------------------------------------------------

  function point(one, kind, text) {
    return {
      on: one.day, lon: one.place.lon, lat: one.place.lat, x: one.x, y: one.y, zone: one.zone, kind, text,
      stage: kind === "count" ? one.line.text("stage") : "", severity_pct: kind === "pressure" ? one.severity : null,
      note: one.note, photo: one.photo, observer: one.observer, source: one.line.where,
    };
  }

  // Which columns day and place were taken from; null where the file's form says it.
  function columnsOf(lines) {
    const roles = lines.length ? lines[0].roles : null;
    return roles ? ["date", "lat", "lon"].map((role) => roles.get(role)) : null;
  }

  // Points that count, in the order of a plan, and what is to be said of the others; throws an Error with one
  // sentence where the file itself cannot be used. `ground` is {data, today, zoneAt(x, y)}.
  function read(bytes, file, ground) {
    const { data } = ground;
    pointsLook.use(data);
    const lines = pointsFile.read(bytes, file, data);
    const first = new Map();
    const good = [];
    const notes = [];
    let earlier = 0;
    for (const one of lines.map(pointsLook.look)) {
      const fault = one.day === null ? null : faultOf(one, ground);
      if (fault && fault.isEarlier) earlier += 1;
      else if (fault || one.day === null) notes.push(...(fault ? [fault.text] : one.faults));
      else {
        const key = same(one);
        if (!first.has(key)) first.set(key, one.line.where);
        const where = first.get(key);
        if (where !== one.line.where && (one.pressure || one.seen)) {
          notes.push(said("scouting_twice", { where: one.line.where, first: where }));
        } else {
          notes.push(...one.faults, ...one.remarks);
          good.push(one);
        }
      }
    }
    const { kept, notes: ofPlots } = oneAPlot(good.filter((one) => one.seen), data.limits.same_plot_m);
    notes.push(...ofPlots);
    const beside = new Map();
    for (const one of good) {
      const key = JSON.stringify([one.day, one.x, one.y, one.note, one.photo, one.observer]);
      if ((one.note || one.photo) && !one.pressure && !one.seen && !beside.has(key)) beside.set(key, one);
    }
    const pressed = good.filter((one) => one.pressure);
    const points = [
      ...kept.map((one) => point(one, "count", words(one.seen, data.stages))),
      ...pressed.map((one) => point(one, "pressure", wordsOfPressure(one))),
      ...[...beside.values()].map((one) => point(one, "note", one.note || `photo ${one.photo}`)),
    ];
    const ofDay = points.map((one, at) => [one, at]).sort((a, b) => (a[0].on < b[0].on ? -1 : a[0].on > b[0].on ? 1 : a[1] - b[1]));
    const used = new Set(points.map((one) => one.source));
    return { points: ofDay.map(([one]) => one), notes, earlier, rows: lines.length, unused: lines.length - used.size, columns: columnsOf(lines) };
  }

  return { read, placed, isInside };
})();
