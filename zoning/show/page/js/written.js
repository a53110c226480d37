// How a figure is written for people, in the units that they chose. The twin of zoning/show/figures.py: the same
// figure gives the same text in both, ties included. Factors come from the page's data.
const written = (() => {
  "use strict";

  let factors = {};
  let metric = false;
  let own = "us"; // units of the farm, in which the page was written

  const UNITS = {
    area: ["ac", "ha"],
    area_word: ["acres", "hectares"],
    rate: ["gal/ac", "L/ha"],
    net: ["$/ac", "$/ha"],
    response: ["bu/ac", "kg/ha"],
    price: ["$/bu", "$/t"],
    volume: ["gal", "L"],
  };

  // Whether the digits behind a place are a 5 and nothing more: a double written out has at most 60 that count.
  function isTie(value, digits) {
    const [, behind] = Math.abs(value).toFixed(60).split(".");
    return /^50*$/.test(behind.slice(digits));
  }

  // To the nearest step of 10^-digits, ties to the even one, as Python rounds; never "-0".
  function rounded(value, digits = 0) {
    const scale = 10 ** digits;
    const below = Math.floor(value * scale);
    const part = value * scale - below;
    if (Math.abs(part - 0.5) < 1e-6 && isTie(value, digits)) {
      return (below % 2 === 0 ? below : below + 1) / scale || 0;
    }
    return Number(value.toFixed(digits)) || 0;
  }

  function thousands(value, digits = 0) {
    const [whole, rest] = Math.abs(rounded(value, digits)).toFixed(digits).split(".");
    const parted = whole.replace(/\B(?=(\d{3})+$)/g, ",");
    const sign = rounded(value, digits) < 0 ? "-" : "";
    return sign + parted + (rest ? `.${rest}` : "");
  }

  const whole = (value) => thousands(value);
  const plain = (value, digits) => String(rounded(value, digits));

  function signed(value, minus = "-") {
    const number = rounded(value);
    if (number === 0) return "0";
    return (number > 0 ? "+" : minus) + thousands(Math.abs(number));
  }

  function dollars(value) {
    const number = rounded(value);
    return `${number < 0 ? "-" : ""}$${thousands(Math.abs(number))}`;
  }

  // Draws never make it certain.
  function chance(share) {
    const percent = 100 * share;
    if (percent > 99) return ">99 %";
    if (percent < 1) return "<1 %";
    return `${rounded(percent)} %`;
  }

  const area = (area_ac) => thousands(metric ? area_ac * factors.ha_per_ac : area_ac, 1);

  function wholeArea(area_ac) {
    const value = metric ? area_ac * factors.ha_per_ac : area_ac;
    return value === 0 || value >= 1 ? whole(value) : thousands(value, 1);
  }

  function rate(rate_gal_ac) {
    if (rate_gal_ac === null || rate_gal_ac === undefined) return "-";
    return metric ? plain(rate_gal_ac * factors.l_ha_per_gal_ac, 0) : plain(rate_gal_ac, 1);
  }

  const perArea = (usd_ac) => (metric ? usd_ac / factors.ha_per_ac : usd_ac);
  const net = (net_usd_ac, minus) => signed(perArea(net_usd_ac), minus);

  // A line of a bill: whole where it is, else with cents.
  function cost(cost_usd_ac) {
    const value = perArea(cost_usd_ac);
    return rounded(value, 2) === rounded(value) ? whole(value) : thousands(value, 2);
  }

  function response(response_bu_ac, digits = 1) {
    if (!Number.isFinite(response_bu_ac)) return "-";
    if (metric) return whole(response_bu_ac * factors.kg_ha_per_bu_ac);
    return rounded(response_bu_ac, digits).toFixed(digits);
  }

  function price(price_usd_bu) {
    const inUnit = (value) =>
      metric ? whole(value * factors.usd_t_per_usd_bu) : rounded(value, 2).toFixed(2);
    if (price_usd_bu === null || price_usd_bu >= factors.no_price_pays_usd_bu) return "none";
    if (price_usd_bu > factors.highest_price_usd_bu) return `>${inUnit(factors.highest_price_usd_bu)}`;
    return inUnit(price_usd_bu);
  }

  const volume = (volume_gal) => whole(metric ? volume_gal * factors.l_per_gal : volume_gal);

  const BY_QUANTITY = {
    area_ac: area,
    whole_area_ac: wholeArea,
    rate_gal_ac: rate,
    net_usd_ac: (value) => net(value),
    cost_usd_ac: cost,
    usd: dollars,
    response_bu_ac: (value) => response(value),
    price_usd_bu: price,
    chance,
    volume_gal: volume,
  };

  // The figure as text; `quantity` is one of those that the page marks with data-q.
  function figure(quantity, value) {
    const write = BY_QUANTITY[quantity];
    return write && value !== null && !Number.isNaN(value) ? write(value) : "-";
  }

  // Put a figure into a place of the page, so that it follows a later change of units.
  function put(place, quantity, value) {
    if (!place) return;
    const text = figure(quantity, value);
    place.dataset.q = quantity;
    place.dataset.v = value === null ? "" : String(value);
    if (place.textContent !== text) place.textContent = text;
  }

  const unit = (kind) => UNITS[kind][metric ? 1 : 0];

  // Parts of sentences hold what they are in the other units: Python wrote both.
  function turn(place, isOther) {
    if (isOther === ("own" in place.dataset)) return;
    if (isOther) place.dataset.own = place.textContent;
    place.textContent = isOther ? place.dataset.t : place.dataset.own;
    if (!isOther) delete place.dataset.own;
  }

  // Write every marked figure and unit below `root` in the chosen units.
  function units(root, chosen = metric ? "metric" : "us") {
    metric = chosen === "metric";
    for (const place of root.querySelectorAll("[data-q]")) {
      const value = place.dataset.v === "" ? null : Number(place.dataset.v);
      place.textContent = figure(place.dataset.q, value);
    }
    for (const place of root.querySelectorAll("[data-u]")) {
      place.textContent = unit(place.dataset.u);
    }
    for (const place of root.querySelectorAll("[data-t]")) turn(place, chosen !== own);
  }

  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

  // A day by the name of its month, as "Jul 11".
  function day(iso) {
    if (!iso) return "-";
    const [, month, date] = iso.split("-").map(Number);
    return `${MONTHS[month - 1]} ${date}`;
  }

  // The page's data: a list of objects with the same keys is written as a table, see zoning/show/page/data.py.
  function read(text) {
    const isTable = (value) => value !== null && Array.isArray(value.keys) && Array.isArray(value.rows);
    const asObject = (keys, row) => Object.fromEntries(keys.map((key, at) => [key, row[at]]));
    return JSON.parse(text, (_, value) => (isTable(value) ? value.rows.map((row) => asObject(value.keys, row)) : value));
  }

  function start(data) {
    factors = data.factors;
    own = data.units;
    metric = own === "metric";
  }

  return { start, read, units, unit, put, figure, rounded, whole, signed, dollars, chance, area, wholeArea, rate, net,
    cost, response, price, volume, day, isMetric: () => metric };
})();
