// Prices, costs, source, rule and units: what the reader moves. Figures are kept in US units as the plan holds them;
// what is shown in the boxes follows the chosen units.
const controls = (() => {
  "use strict";

  const at = (id) => document.getElementById(id);

  // Each figure: its box and slider by the start of their ids, and how it stands in the boxes.
  const MOVED = [
    { id: "f-price", name: "grain_price_usd_bu", kind: "price", step: 0.05, least: 4 },
    { id: "f-product", name: "product_usd_ac", kind: "net", step: 0.5, least: 20 },
    { id: "f-pass", name: "pass_usd_ac", kind: "net", step: 0.5, least: 20 },
    { id: "f-min-net", name: "min_net_usd_ac", kind: "net", step: 0.5, least: 20 },
    { id: "f-min-chance", name: "min_chance_frac", kind: "percent", step: 1, least: 1 },
  ];

  let factors = {};
  let base = {};
  let figures = {};
  let changed = () => {};

  const inputs = (one) =>
    Array.from(document.querySelectorAll(`#controls input[id^="${one.id}"]`)).filter(
      (input) => input.id === one.id || input.id.startsWith(`${one.id}-`) === true,
    );

  function perUnit(kind) {
    if (kind === "percent") return 100;
    if (!written.isMetric()) return 1;
    return kind === "price" ? factors.usd_t_per_usd_bu : 1 / factors.ha_per_ac;
  }

  // A step that people use: 0.05 $/bu becomes 2 $/t, not 1.84.
  function stepOf(one) {
    if (one.kind === "percent") return one.step;
    if (!written.isMetric()) return one.step;
    return one.kind === "price" ? 1 : 1;
  }

  function show(one) {
    const scale = perUnit(one.kind);
    const step = stepOf(one);
    const highest = one.kind === "percent" ? 1 : Math.max(2.5 * base[one.name], one.least);
    const digits = Number.isInteger(step) ? 0 : 2;
    const isBase = figures[one.name] === base[one.name];
    for (const input of inputs(one)) {
      input.min = "0";
      input.max = String(Math.ceil(highest * scale));
      input.step = input.type === "range" ? String(step) : "any";
      const value = figures[one.name] * scale;
      input.value = isBase ? String(written.rounded(value, 2)) : value.toFixed(digits);
    }
  }

  function read(one, input) {
    const value = Number(input.value);
    if (input.value.trim() === "" || !Number.isFinite(value) || value < 0) {
      input.setAttribute("aria-invalid", "true");
      return;
    }
    input.removeAttribute("aria-invalid");
    const scale = perUnit(one.kind);
    const isBase = Math.abs(value - written.rounded(base[one.name] * scale, 2)) < 1e-9;
    figures[one.name] = isBase ? base[one.name] : Math.min(value / scale, one.kind === "percent" ? 1 : Infinity);
    for (const other of inputs(one)) {
      if (other !== input) other.value = input.value;
    }
    changed();
  }

  function showRule() {
    for (const input of inputs(MOVED[4])) {
      const row = input.closest("[data-row]") || input.parentElement;
      row.hidden = figures.rule !== "chance";
    }
  }

  function showAll() {
    MOVED.forEach(show);
    for (const [id, name] of [["f-source", "source"], ["f-rule", "rule"]]) {
      if (at(id)) at(id).value = figures[name];
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
      if (!select) continue;
      select.addEventListener("change", () => {
        figures[name] = select.value;
        showRule();
        changed();
      });
    }
    const form = at("controls");
    if (form) form.addEventListener("submit", (event) => event.preventDefault());
    const reset = at("f-reset");
    if (reset) {
      reset.addEventListener("click", (event) => {
        event.preventDefault();
        Object.assign(figures, base);
        showAll();
        changed();
      });
    }
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
    factors = data.factors;
    base = data.what_if.base;
    figures = state.figures;
    changed = told;
    watch();
    showAll();
  }

  return { start, watchUnits };
})();
