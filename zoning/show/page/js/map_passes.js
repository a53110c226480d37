// In which pass a zone is, as the figures now say: one of the plan, a new one, or none; and the check strips, which
// are none where no pass comes any more.
const mapPasses = (() => {
  "use strict";

  const NEW = "not in the plan";

  let data = null;
  let answer = null;

  // Of a zone of the plan and what is judged of it: number, day and whether the plan has no such pass.
  function of(plan, judged) {
    const mine = { number: plan.pass, day: plan.spray_on, isNew: false };
    if (!judged || judged.action === plan.action) return mine;
    const visit = judged.action === "spray" && answer.visits.find((one) => one.zones.includes(plan.zone));
    if (!visit) return { number: null, day: null, isNew: false };
    return { number: visit.number || null, day: visit.day, isNew: data.level > 2 && visit.number === 0 };
  }

  // What a label may say of a zone that is sprayed, the longest first.
  function tries(name, pass, rate_gal_ac) {
    const rate = written.rate(rate_gal_ac);
    const full = `${rate} ${written.unit("rate")}`;
    if (pass.isNew) {
      const day = written.day(pass.day);
      return [[name, full, `${day}, ${NEW}`], [name, full, day, NEW], [name, day, NEW], [name, NEW], [name, "new"], [name]];
    }
    if (!data.map.several || !pass.number) return [[name, full], [name, rate], [name]];
    const number = `P${pass.number}`;
    return [[name, `${number} · ${full}`], [name, `${number} · ${rate}`], [name, number], [name]];
  }

  // What is read out of it.
  function told(pass) {
    if (pass.isNew) return ` on ${written.day(pass.day)}, ${NEW}`;
    return pass.number ? ` in pass ${pass.number}` : "";
  }

  // A treated strip is one as long as its pass comes, and a dry one as long as that beside it is treated.
  function showStrips() {
    const strips = Array.from(document.querySelectorAll("#map-strips g"));
    const left = new Set(answer.visits.filter((one) => !one.stands).map((one) => String(one.number)));
    const comes = (strip) => strip.dataset.pass !== "0" && !left.has(strip.dataset.pass);
    const pairs = new Set(strips.filter(comes).map((strip) => strip.dataset.pair));
    for (const strip of strips) {
      const isIn = strip.dataset.pass === "0" ? pairs.has(strip.dataset.pair) : comes(strip);
      strip.classList.toggle("gone", !isIn);
    }
    for (const name of document.querySelectorAll("#map-labels [data-strip]")) {
      name.classList.toggle("gone", !pairs.has(name.dataset.strip.slice(1)));
    }
    for (const key of document.querySelectorAll('#legend [data-key="strips"]')) {
      key.classList.toggle("gone", pairs.size === 0);
    }
  }

  function show(judged) {
    answer = judged;
    if (answer) showStrips();
  }

  function start(given) {
    data = given;
  }

  return { start, show, of, tries, told, NEW };
})();
