// A scout's file as lines with named cells: the twin of zoning/inputs/scouting/points.py and zoning/inputs/table.py.
// Knows columns and formats; not what a cell means. A fault is an Error with one plain sentence.
const pointsFile = (() => {
  "use strict";

  const LINE_ENDS = /\r\n|[\n\r\v\f\x1c\x1d\x1e\x85\u2028\u2029]/;
  const SEPARATORS = [",", ";", "\t"];
  const [MOST_COLUMNS, MOST_JOINED] = [1000, 100];
  const TEXTS = ["observer", "note", "photo"]; // two of them do no harm
  const TABLE = "This is not a text table: export it again as CSV or GeoJSON.";

  function decoded(bytes) {
    let text;
    try {
      text = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    } catch (fault) {
      text = new TextDecoder("windows-1252").decode(bytes); // what spreadsheets on older systems write
    }
    return text;
  }

  const stripped = (text, signs) => {
    let from = 0;
    let to = text.length;
    while (from < to && signs.includes(text[from])) from += 1;
    while (to > from && signs.includes(text[to - 1])) to -= 1;
    return text.slice(from, to);
  };

  const holdsCells = (words) => stripped(words, ' ,;\t"\r\n') !== "" && !words.trimStart().startsWith("#");

  const count = (text, sign) => text.split(sign).length - 1;

  function separatorOf(header) {
    return SEPARATORS.reduce((best, one) => (count(header, one) > count(header, best) ? one : best));
  }

  // The cells of one row, and whether a quoted one is still open at its end.
  function parted(words, separator) {
    const cells = [];
    let cell = "";
    let state = "start";
    for (const sign of words) {
      if (state === "quoted") {
        if (sign === '"') state = "closing";
        else cell += sign;
      } else if (sign === separator) {
        cells.push(cell);
        cell = "";
        state = "start";
      } else if (sign === '"' && state === "start") {
        state = "quoted";
      } else {
        if (state === "closing" && sign === '"') state = "quoted";
        else state = "inside";
        cell += sign;
      }
    }
    cells.push(cell);
    return { cells, open: state === "quoted" };
  }

  // Lines that a quoted cell runs over are one; its number is that of the first.
  function joined(lines) {
    const separator = separatorOf((lines.find((one) => holdsCells(one.words)) || { words: "" }).words);
    const whole = [];
    let open = 0; // lines that the open cell runs over so far
    for (const one of lines) {
      if (open) {
        const last = whole[whole.length - 1];
        last.words = `${last.words} ${one.words}`;
      } else whole.push({ ...one });
      const last = whole[whole.length - 1].words;
      open = holdsCells(last) && parted(last, separator).open ? open + 1 : 0;
      if (open >= MOST_JOINED) break;
    }
    if (open) throw new Error("A quoted cell is not closed: take line breaks out of its cells.");
    return whole.filter((one) => holdsCells(one.words));
  }

  const plainName = (name) => name.toLowerCase().replace(/-/g, " ").split(/\s+/).filter(Boolean).join("_");

  // Role -> name of the column that plays it.
  function rolesOf(names, rules) {
    const places = new Map();
    for (const name of names) if (!places.has(plainName(name))) places.set(plainName(name), name);
    const found = new Map();
    for (const [role, known] of Object.entries(rules.roles)) {
      const name = known.find((one) => places.has(one));
      if (name !== undefined) found.set(role, places.get(name));
    }
    return found;
  }

  function line(number, where, raw, rules, decimalComma) {
    const roles = rolesOf([...raw.keys()], rules);
    const cells = new Map();
    for (const [role, name] of roles) {
      const text = raw.get(name);
      cells.set(role, decimalComma && rules.decimal.includes(role) ? text.replace(/,/g, ".") : text);
    }
    const taken = new Set(roles.values());
    const others = [...raw].filter(([name]) => !taken.has(name)).map(([, text]) => text);
    const text = (role) => {
      const found = cells.get(role) || "";
      return rules.empty.includes(found.toLowerCase()) ? "" : found;
    };
    return { number, where, cells, others, text, roles };
  }

  function rows(text, file, rules) {
    if (text.includes("\0")) throw new Error(TABLE);
    const lines = joined(text.split(LINE_ENDS).map((words, at) => ({ number: at + 1, words })));
    if (!lines.length) throw new Error("The file has no rows: export it again with a header and its rows.");
    const separator = separatorOf(lines[0].words);
    const header = parted(lines[0].words, separator).cells.map((name) => name.trim());
    if (header.length > MOST_COLUMNS) throw new Error("The file has too many columns: export it with fewer.");
    const roles = Object.keys(rules.roles).filter((role) => !TEXTS.includes(role));
    const counted = roles.flatMap((role) => rules.roles[role]);
    const lower = header.map((name) => name.toLowerCase());
    const twice = lower.find((name, at) => lower.indexOf(name) < at && counted.includes(name));
    if (twice) throw new Error(`The column ${twice} stands there twice: take one of them away.`);
    const columns = new Map();
    header.forEach((name, at) => {
      if (!columns.has(name.toLowerCase())) columns.set(name.toLowerCase(), at);
    });
    const names = rolesOf([...columns.keys()], rules);
    const lacking = rules.needed.filter((role) => !names.has(role));
    if (lacking.length) {
      const has = [...columns.keys()].join(", ").slice(0, 300);
      throw new Error(`There is no column ${lacking.join(" or ")}: add it to the header; the file has ${has}.`);
    }
    return lines.slice(1).map((one) => {
      const cells = parted(one.words, separator).cells.map((cell) => cell.trim());
      const raw = new Map([...columns].map(([name, at]) => [name, at < cells.length ? cells[at] : ""]));
      const found = line(one.number, `${file}:${one.number}`, raw, rules, separator === ";");
      const isWide = cells.slice(header.length).some((cell) => cell !== "");
      return isWide ? { ...found, beyond: { cells: cells.length, columns: header.length } } : found;
    });
  }

  const clean = (text) => text.replace(/\0/g, "").split(LINE_ENDS).join(" ").trim();

  function asText(value) {
    if (value === null || value === undefined) return "";
    return clean(typeof value === "string" ? value : JSON.stringify(value));
  }

  const isObject = (one) => typeof one === "object" && one !== null && !Array.isArray(one);

  function feature(number, one, file, rules) {
    const whole = isObject(one) ? one : {};
    const properties = isObject(whole.properties) ? whole.properties : {};
    const geometry = isObject(whole.geometry) ? whole.geometry : null;
    const ofPlace = [...rules.roles.lat, ...rules.roles.lon]; // the geometry says where the point lies
    const raw = new Map();
    for (const [name, value] of Object.entries(properties)) {
      const key = name.trim().toLowerCase();
      if (!ofPlace.includes(key)) raw.set(clean(key), asText(value));
    }
    const place = geometry && geometry.type === "Point" ? geometry.coordinates : null;
    const isPlace = Array.isArray(place) && place.length > 1;
    raw.set("lat", asText(isPlace ? place[1] : geometry ? geometry.type : "no geometry"));
    raw.set("lon", isPlace ? asText(place[0]) : "");
    return { ...line(number, `${file}: point ${number}`, raw, rules, false), roles: null };
  }

  function features(text, file, rules) {
    let whole;
    try {
      whole = JSON.parse(text);
    } catch (fault) {
      throw new Error("The file cannot be read as GeoJSON: save or export it again.");
    }
    const list = !isObject(whole) ? null : whole.type === "Feature" ? [whole] : whole.features;
    if (!Array.isArray(list)) {
      throw new Error("The file holds no GeoJSON features: save it again as a FeatureCollection of points.");
    }
    if ("crs" in whole && !/CRS84|4326/.test(JSON.stringify(whole.crs))) {
      throw new Error("The file is not in longitude and latitude: save it again in WGS 84.");
    }
    if (!list.length) throw new Error("The file holds no points: save or export it again.");
    const found = list.map((one, at) => feature(at + 1, one, file, rules));
    if (!found.some((one) => one.cells.has("date"))) {
      throw new Error("No point has a property date: give each one, as 2026-07-06.");
    }
    return found;
  }

  // The points of a file, by the ending of its name; `bytes` is a Uint8Array.
  function read(bytes, file, rules) {
    if (!bytes.length) throw new Error("The file is empty: export it again.");
    if (bytes.length > rules.limits.bytes) {
      const most = Math.round(rules.limits.bytes / 1e6);
      throw new Error(`The file is larger than ${most} MB, too large for a list of points.`);
    }
    if (/\.gpx$/i.test(file)) {
      throw new Error("The page reads CSV and GeoJSON; sprayworth scout FIELD --add FILE also reads GPX.");
    }
    const text = decoded(bytes);
    return /\.(geo)?json$/i.test(file) ? features(text, file, rules) : rows(text, file, rules);
  }

  return { read };
})();
