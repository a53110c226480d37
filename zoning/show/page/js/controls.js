// Prices, costs, source, rule and units: what the reader moves. Figures are kept in US units as the plan holds them;
// what is shown in the boxes follows the chosen units.
const controls = (() => {
  "use strict";

  const at = (id) => document.getElementById(id);

  // Each figure: its box and slider by the start of their ids, how it stands in the boxes, and the most that the
  // settings take for it (zoning/settings/shared.py).
  const MOVED = [
    { id: "f-price", name: "grain_price_usd_bu", kind: "price", step: 0.05, least: 4, most: 60 },
    { id: "f-product", name: "product_usd_ac", kind: "net", step: 0.5, least: 20, most: 500 },
    { id: "f-pass", name: "pass_usd_ac", kind: "net", step: 0.5, least: 20, most: 200 },
    { id: "f-min-net", name: "min_net_usd_ac", kind: "net", step: 0.5, least: 20, most: 500 },
    { id: "f-min-chance", name: "min_chance_frac", kind: "percent", step: 1, least: 1, most: 1 },
  ];

  let factors = {};
  let base = {};
  let figures = {};
  let changed = () => {};

  const inputs = (one) => [at(one.id), at(`${one.id}-slider`)];

  function perUnit(kind) {
    if (kind === "percent") return 100;
    if (!written.isMetric()) return 1;
    return kind === "price" ? factors.usd_t_per_usd_bu : 1 / factors.ha_per_ac;
  }

  // A step that people use: 0.05 $/bu becomes 1 $/t, not 1.84.
  const stepOf = (one) => (written.isMetric() && one.kind !== "percent" ? 1 : one.step);

  const mostOf = (one) => Math.max(one.most, base[one.name]);

  function show(one) {
    const scale = perUnit(one.kind);
    const step = stepOf(one);
    const highest = Math.min(Math.max(2.5 * base[one.name], one.least), mostOf(one));
    const digits = Number.isInteger(step) ? 0 : 2;
    const isBase = figures[one.name] === base[one.name];
    for (const input of inputs(one)) {
      input.removeAttribute("aria-invalid");
      input.min = "0";
      input.max = String(Math.ceil(highest * scale));
      input.step = input.type === "range" ? String(step) : "any";
      const value = figures[one.name] * scale;
      input.value = isBase ? String(written.rounded(value, 2)) : value.toFixed(digits);
    }
  }

  function read(one, input) {
    const value = Number(input.value);
    const scale = perUnit(one.kind);
    if (input.value.trim() === "" || !(value >= 0 && value <= Math.ceil(mostOf(one) * scale))) {
      input.setAttribute("aria-invalid", "true");
      return;
    }
    for (const box of inputs(one)) box.removeAttribute("aria-invalid");
    const isBase = Math.abs(value - written.rounded(base[one.name] * scale, 2)) < 1e-9;
    figures[one.name] = isBase ? base[one.name] : Math.min(value / scale, mostOf(one));
    for (const other of inputs(one)) {
      if (other !== input) other.value = input.value;
    }
    changed();
  }

  function showRule() {
    at("f-min-chance").closest("[data-row]").hidden = figures.rule !== "chance";
  }

  function showAll() {
    MOVED.forEach(show);
    for (const [id, name] of [["f-source", "source"], ["f-rule", "rule"]]) {
      at(id).value = figures[name];
    }
    showRule();
  }

  function watch() {
    for (const one of MOVED) {
      for (const input of inputs(one)) {
        input.addEventListener("input", () => read(one, input));
      }
    }
    for (const [id, name] of [["f-source", "source"], ["f-rule", "rule"]]) {
      const select = at(id);
      select.addEventListener("change", () => {
        figures[name] = select.value;
        showRule();
        changed();
      });
    }
    at("controls").addEventListener("submit", (event) => event.preventDefault());
    at("f-reset").addEventListener("click", () => {
      Object.assign(figures, base);
      showAll();
      changed();
    });
  }

  // Units: in every figure, head, legend and box of the page.
  function watchUnits(state, told) {
    const choice = at("f-units");
    if (!choice) return;
    choice.value = state.units;
    choice.addEventListener("change", () => {
      state.units = choice.value;
      written.units(document, state.units);
      if (Object.keys(base).length > 0) showAll();
      told();
    });
  }

  function start(data, state, told) {
    if (!at("controls")) return; // no source has figures
    factors = data.factors;
    base = data.what_if.base;
    figures = state.figures;
    changed = told;
    watch();
    showAll();
  }

  return { start, watchUnits };
})();
