// A file of decisions: written, and read back with every fault told in one go. The twin of
// zoning/inputs/decisions.py, whose limits it gets with the page. Touches nothing of the page.
const decisionsFile = (() => {
  "use strict";

  const HIDDEN = /[\p{Cc}\p{Cs}\p{Co}\p{Cn}\p{Zl}\p{Zp}\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/u;
  const DAY = /^(?!0000)\d{4}-\d\d-\d\d$/;

  const isHidden = (text) => HIDDEN.test(text);
  const letters = (text) => Array.from(text).length;
  const isWhole = (value) => typeof value === "number" && Number.isSafeInteger(value);

  function short(value) {
    const text = JSON.stringify(value === undefined ? null : value);
    return text.length <= 30 ? text : `${text.slice(0, 30)}...`;
  }

  // What is wrong with a reason as it was typed; empty where nothing is.
  function wrongReason(reason, rules) {
    if (typeof reason !== "string" || !reason.trim()) return "the reason is missing: write down why";
    const text = reason.trim();
    if (letters(text) > rules.reason_most) {
      return `the reason has ${letters(text)} letters: use ${rules.reason_most} at most`;
    }
    return isHidden(text) ? "the reason holds letters that do not show: write it on one line" : "";
  }

  function isDay(text) {
    if (typeof text !== "string" || !DAY.test(text)) return false;
    const day = new Date(`${text}T00:00:00Z`);
    return !Number.isNaN(day.getTime()) && day.toISOString().slice(0, 10) === text;
  }

  // The volume of the field that is meant, null where there is none.
  function volumeOf(rate, rules) {
    const near = rules.volumes_gal_ac.filter((volume) => Math.abs(volume - rate) <= rules.same_gal_ac);
    return near.length > 0 ? near[0] : null;
  }

  // `volume` writes a volume in the reader's units.
  function wrongRate(rate, action, rules, volume) {
    if (rate === null) return "";
    if (typeof rate !== "number" || !Number.isFinite(rate) || rate <= 0) {
      return `the rate is ${short(rate)}: give a number above 0, in gal/ac`;
    }
    if (action === "skip") return "a zone that is skipped has no rate";
    if (volumeOf(rate, rules) !== null) return "";
    if (rules.volumes_gal_ac.length === 0) return "a rate is decided, but this plan has no sprayer and label";
    const may = rules.volumes_gal_ac.map(volume).join(", ");
    return `${volume(rate)} is not a rate that label and sprayer allow here: take one of ${may}`;
  }

  function wrongIn(told, rules, volume) {
    const { action = null, rate_gal_ac: rate = null, reason, decided_on: on = null } = told;
    const wrong = [];
    if (action !== null && action !== "spray" && action !== "skip") {
      wrong.push(`the action is ${short(action)}: say spray or skip`);
    }
    if (action === null && rate === null) wrong.push("neither spray, skip nor a rate is decided");
    wrong.push(wrongRate(rate, action, rules, volume), wrongReason(reason, rules));
    if (on !== null && !isDay(on)) wrong.push(`the day is ${short(on)}: write it as 2026-07-09`);
    return wrong.filter(Boolean);
  }

  function whole(text) {
    try {
      return JSON.parse(text);
    } catch (fault) {
      throw new Error("This is no file of decisions: it cannot be read as one that the page saved.");
    }
  }

  // The object of a file that is of this kind, of a version that is known, and of these zones.
  function mine(found, rules) {
    if (found === null || typeof found !== "object" || found.kind !== rules.kind) {
      throw new Error("This is another kind of file, not decisions that the page saved.");
    }
    const { field, schema_version: version } = found;
    const isOurs = typeof field === "string" && field !== "" && !isHidden(field);
    if (!isOurs || !isWhole(version) || version < 1 || !Array.isArray(found.decisions)) {
      throw new Error("This file of decisions is broken: save it again from the page.");
    }
    if (version > rules.schema_version) {
      throw new Error("A newer version made this file: bring the program up to date and run the field again.");
    }
    if (found.zones_id !== rules.zones_id) {
      throw new Error(`These decisions were made for other zones (${short(found.zones_id)} of ${field}; the zones here are ` +
        `${rules.zones_id}): open the page of those zones, or decide again.`);
    }
    return found.decisions;
  }

  function text(bytes, rules) {
    if (bytes.length > rules.most_bytes) throw new Error("This file is too large for decisions.");
    try {
      return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    } catch (fault) {
      throw new Error("This is no file of decisions: it holds no text, perhaps a picture.");
    }
  }

  // The decisions in a file (a Uint8Array); throws an Error whose message has a line for each fault.
  function read(bytes, rules, zones, volume) {
    const faults = [];
    const found = new Map();
    mine(whole(text(bytes, rules)), rules).forEach((told, at) => {
      if (told === null || typeof told !== "object") {
        faults.push(`Decision ${at + 1}: it is broken.`);
        return;
      }
      const { zone } = told;
      const isKnown = isWhole(zone) && zones.includes(zone);
      const wrong = wrongIn(told, rules, volume);
      if (!isKnown) wrong.unshift(`there is no zone ${short(zone)}`);
      else if (found.has(zone)) wrong.unshift("it is decided twice: keep one of the two");
      const where = isKnown ? `Zone ${zone}` : `Decision ${at + 1}`;
      faults.push(...wrong.map((one) => `${where}: ${one}.`));
      if (wrong.length === 0) {
        found.set(zone, {
          zone,
          action: told.action === undefined ? null : told.action,
          rate_gal_ac: told.rate_gal_ac ? volumeOf(told.rate_gal_ac, rules) : null,
          reason: told.reason.trim(),
          decided_on: told.decided_on || null,
        });
      }
    });
    if (faults.length > 0) throw new Error(faults.join("\n"));
    return Array.from(found.values());
  }

  function object(list, rules) {
    const keys = ["zone", "action", "rate_gal_ac", "reason", "decided_on"];
    const plain = (one) => keys.reduce((made, key) => ({ ...made, [key]: one[key] }), {});
    return {
      schema_version: rules.schema_version,
      kind: rules.kind,
      zones_id: rules.zones_id,
      run_id: rules.run_id,
      field: rules.field,
      decisions: list.map(plain).sort((one, other) => one.zone - other.zone),
    };
  }

  // What the plan of the page follows, or would not follow.
  const ofPlan = (rules) => object(rules.overrides, rules).decisions;

  // What a browser kept. Where another plan was made since, what this one holds wins, zone by zone.
  function kept(text, rules, zones, volume) {
    const list = read(new TextEncoder().encode(text), rules, zones, volume);
    if (JSON.parse(text).run_id === rules.run_id) return list;
    const planned = ofPlan(rules);
    return [...planned, ...list.filter((one) => !planned.some((other) => other.zone === one.zone))];
  }

  const written = (list, rules) => `${JSON.stringify(object(list, rules), null, 2)}\n`;

  return { read, kept, ofPlan, object, written, wrongReason };
})();
