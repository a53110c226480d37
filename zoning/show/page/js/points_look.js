// What a scout's lines say, and which of them cannot be used: the twin of zoning/inputs/scouting/looked.py, plants.py
// and rows.py, with their own sentences. `ground` says where places lie and what day it is.
const pointsLook = (() => {
  "use strict";

  const BY_STAGE = ["v", "r1", "r2", "r3", "r4", "r5", "r6", "r7", "r8"];
  const WHOLE = /^\+?\d{1,9}(?:\.0*)?$/;
  const NUMBER = /^[+-]?(?:\d+(?:_\d+)*\.?(?:\d+(?:_\d+)*)?|\.\d+(?:_\d+)*)(?:[eE][+-]?\d+)?$/;
  const VEGETATIVE = /^(?:V(?:\d{1,2}|E|C|N|EG)?|BEFORE_?R1)$/;
  const NODES =
    /\bnodes?\s*(?:no\.?|#|number)?\s*(\d{1,2})(?:\s*(?:-|–|to|and|or|,)\s*(\d{1,2}))?\b|\b(\d{1,2})(?:st|nd|rd|th)\s+node\b/gi;
  const FROM_BELOW = /from (?:the )?(?:bottom|below|ground|base)/i;
  const DAY_MS = 864e5;

  let rules = null;

  class CountError extends Error {}

  const thousands = (value) => String(Math.round(value)).replace(/\B(?=(\d{3})+$)/g, ",");

  // A sentence of the tool with its values.
  function said(code, values) {
    return rules.sentences[`inputs.${code}`].replace(/\{(\w+)(?::([^}]*))?\}/g, (whole, name, how) =>
      how ? String(Math.round(values[name])) : String(values[name])
    );
  }

  const refused = (code, line, values = {}) => new CountError(said(code, { where: line.where, ...values }));

  function float(text) {
    return NUMBER.test(text.trim()) ? Number(text.trim().replace(/_/g, "")) : NaN;
  }

  // -- days ------------------------------------------------------------------------------------------------------

  const ISO =
    /^(?:(\d{4})-(\d\d)-(\d\d)|(\d{4})(\d\d)(\d\d))(?:(.)(\d\d)(?::?(\d\d)(?::?(\d\d)(?:[.,]\d+)?)?)?(Z|([+-])(\d\d):?(\d\d)(?::?\d\d)?)?)?$/i;

  // The day of a text on the farm's clock, null where it is none; a time with a zone goes by whole hours of longitude.
  function dayOf(text, lon) {
    const found = ISO.exec(text.trim().replace(/\//g, "-"));
    if (!found) return null;
    const [year, month, day] = [1, 2, 3].map((at) => Number(found[at] || found[at + 3]));
    const [hour, minute, second] = [8, 9, 10].map((at) => Number(found[at] || 0));
    const at = new Date(Date.UTC(year, month - 1, day, hour, minute, second));
    const isDay = at.getUTCFullYear() === year && at.getUTCMonth() === month - 1 && at.getUTCDate() === day;
    if (!isDay || year < 1 || hour > 23 || minute > 59 || second > 59) return null;
    const hasTime = /[:T]/.test(text);
    if (!hasTime || !found[11]) return at.toISOString().slice(0, 10);
    const ahead = found[12] ? (found[12] === "-" ? -1 : 1) * (Number(found[13]) * 60 + Number(found[14])) : 0;
    const here = Math.floor(lon / 15 + 0.5) * 60;
    return new Date(at.getTime() + (here - ahead) * 6e4).toISOString().slice(0, 10);
  }

  // -- one line --------------------------------------------------------------------------------------------------

  const shown = (text) => (text ? `"${text}"` : "(empty)");

  // As a cell is written into a file: a spreadsheet must not reckon with it.
  function plain(text) {
    const isFormula = text.length > 1 && /^[=+\-@]/.test(text) && Number.isNaN(float(text.replace(/,/g, ".")));
    return isFormula ? `'${text}` : text;
  }

  function placeOf(line, faults) {
    const found = {};
    for (const [name, most] of [["lon", 180], ["lat", 90]]) {
      const value = float(line.text(name));
      if (Math.abs(value) <= most) found[name] = value;
      else faults.push(said("scouting_place", { where: line.where, column: name, shown: shown(line.text(name)) }));
    }
    return "lon" in found && "lat" in found ? found : null;
  }

  function severityOf(line, faults) {
    const text = line.text("severity_pct");
    if (!text) return null;
    const value = float(text.replace(/%$/, ""));
    if (value >= 0 && value <= 100) return value + 0;
    faults.push(said("scouting_severity", { where: line.where, text }));
    return null;
  }

  function pressureOf(line, cause, severity, faults) {
    let text = line.text("pressure").toLowerCase();
    if (text && !rules.pressures.includes(text)) {
      faults.push(said("scouting_pressure", { where: line.where, text, classes: rules.pressures.join(", ") }));
      return "";
    }
    if (!text && severity !== null) text = severity > 0 ? "seen" : "low";
    return text && cause === "other" ? "low" : text;
  }

  function look(line) {
    if (line.beyond) {
      const wide = said("scouting_wide", { where: line.where, ...line.beyond });
      return { line, faults: [wide], remarks: [], day: null };
    }
    const faults = [];
    const place = placeOf(line, faults);
    const day = dayOf(line.text("date"), place ? place.lon : 0);
    if (!day) {
      const told = line.text("pressure") || line.text("severity_pct");
      const undated = !line.text("date") && told;
      const values = undated ? { said: told } : { shown: shown(line.text("date")) };
      faults.push(said(undated ? "scouting_undated" : "scouting_date", { where: line.where, ...values }));
    }
    if (!day || !place) return { line, faults, remarks: [], day: null };
    const remarks = [];
    let seen = null;
    try {
      seen = countOf(line, remarks);
    } catch (fault) {
      if (!(fault instanceof CountError)) throw fault;
      faults.push(fault.message);
    }
    const cause = plain(line.text("cause")).toLowerCase();
    const severity = severityOf(line, faults);
    const pressure = pressureOf(line, cause, severity, faults);
    const [note, photo] = ["note", "photo"].map((role) => line.text(role).split(/\s+/).filter(Boolean).join(" "));
    const observer = plain(line.text("observer"));
    return { line, faults, remarks, day, place, seen, cause, severity, pressure, note, photo, observer };
  }

  // -- counts ----------------------------------------------------------------------------------------------------

  function countOf(line, remarks) {
    const byStage = BY_STAGE.some((name) => line.text(name));
    if (byStage && line.text("k")) throw refused("count_two_forms", line);
    if (byStage) return tally(line, remarks);
    if (line.text("k")) return share(line);
    if (line.text("pod_mm") || line.text("pod_in")) return pod(line, remarks);
    return line.text("stage") ? noted(line, remarks) : null;
  }

  // "R6" stands for every stage later than R5, null for one that is not known.
  function stageOf(text) {
    const word = text.toUpperCase().replace(/ /g, "").replace(/-/g, "_");
    if (VEGETATIVE.test(word)) return rules.stages[0];
    if (!/^R[1-8]$/.test(word)) return null;
    return word <= "R5" ? word : "R6";
  }

  function plants(line, name) {
    const text = line.text(name);
    if (!text) return 0;
    if (!WHOLE.test(text)) throw refused("count_whole", line, { column: name, text });
    const found = Math.trunc(Number(text));
    const most = rules.limits.count_most_plants;
    if (found > most) throw refused("count_most", line, { column: name, plants: found, most });
    return found;
  }

  function tally(line, remarks) {
    const found = BY_STAGE.map((name) => plants(line, name));
    const sum = (list) => list.reduce((all, one) => all + one, 0);
    const [r1, r2, r3, r4] = found.slice(1, 5);
    const later = sum(found.slice(5));
    let before = found[0];
    let counted = sum(found);
    if (line.text("n")) {
      const n = plants(line, "n");
      if (counted > n) throw refused("count_sum_above", line, { counted, n });
      if (counted < n && line.text("v")) throw refused("count_sum_below", line, { counted, n });
      before += n - counted;
      counted = n;
    }
    const most = rules.limits.count_most_plants;
    if (counted === 0) throw refused("count_none", line);
    if (counted > most) throw refused("count_most", line, { column: "the sum", plants: counted, most });
    const node = lowNode(line);
    const top = rules.limits.pod_top_nodes;
    if (node && later) throw refused("count_low_seeds", line, { node, top });
    if (node && r3 + r4) {
      remarks.push(said("count_low_plants", { where: line.where, plants: r3 + r4, node, top }));
      return { form: "tally", plants: [before, r1, r2 + r3 + r4, 0, 0, 0] };
    }
    return { form: "tally", plants: [before, r1, r2, r3, r4, later] };
  }

  function share(line) {
    const k = plants(line, "k");
    if (!line.text("stage")) throw refused("count_no_stage", line);
    const stage = knownStage(line);
    if (!line.text("n")) throw refused("count_no_n", line, { k });
    const n = plants(line, "n");
    if (n === 0) throw refused("count_none", line);
    if (k > n) throw refused("count_k_above_n", line, { k, n, stage });
    if (stage === rules.stages[0] || stage === "R6") {
      throw refused("count_at_or_past", line, { stage: line.text("stage") });
    }
    const node = lowNode(line);
    const top = rules.limits.pod_top_nodes;
    if (node && stage > "R2" && k) throw refused("count_low_share", line, { stage, node, top });
    return { form: "share", stage, k, n };
  }

  function knownStage(line) {
    const stage = stageOf(line.text("stage"));
    if (stage === null) throw refused("count_stage", line, { text: line.text("stage") });
    return stage;
  }

  function pod(line, remarks) {
    if (line.text("pod_mm") && line.text("pod_in")) throw refused("count_two_pods", line);
    const column = line.text("pod_mm") ? "pod_mm" : "pod_in";
    const length = float(line.text(column));
    const longest = column === "pod_mm" ? length : length * rules.limits.mm_per_in;
    const most = rules.limits.pod_longest_mm;
    if (!(longest >= 0 && longest <= most)) {
      throw refused("count_pod", line, { column, text: line.text(column), most });
    }
    const node = lowNode(line);
    if (!node) return { form: "pod", longest };
    const low = refused("count_low_pod", line, { node, top: rules.limits.pod_top_nodes });
    if (!line.text("stage")) throw low;
    remarks.push(low.message);
    return noted(line, remarks);
  }

  function noted(line, remarks) {
    const stage = knownStage(line);
    const node = lowNode(line);
    const top = rules.limits.pod_top_nodes;
    if (node && (stage === "R3" || stage === "R4")) {
      remarks.push(said("count_low_note", { where: line.where, stage, node, top }));
      return { form: "note", stage: "R2" };
    }
    if (node && stage > "R4" && stage !== rules.stages[0]) throw refused("count_low_seeds", line, { node, top });
    return { form: "note", stage: stage === "R6" ? "R5" : stage };
  }

  // Node of the pod that was staged, from the top, where it is too low to count; else 0.
  function lowNode(line) {
    const text = line.text("node");
    let node = text ? 0 : nodeIn(line.text("note"));
    if (text) {
      node = WHOLE.test(text) ? Math.trunc(Number(text)) : 0;
      if (!(node >= 1 && node <= rules.limits.node_most)) throw refused("count_node", line, { text });
    }
    return node > rules.limits.pod_top_nodes ? node : 0;
  }

  function nodeIn(note) {
    if (!note.toLowerCase().includes("pod") || FROM_BELOW.test(note)) return 0;
    const found = [];
    note.replace(NODES, (whole, ...groups) => {
      found.push(...groups.slice(0, 3).filter(Boolean).map(Number));
      return whole;
    });
    return found.length ? Math.min(...found) : 0;
  }

  return { dayOf, look, said, thousands, use: (given) => { rules = given; }, DAY_MS };
})();
