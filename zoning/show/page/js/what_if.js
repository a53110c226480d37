// A field judged again under other prices, costs, source or rule. The twin of zoning/passes/what_if/: the same
// draws, the same order of sums, and one table of answers (tests/passes/test_what_if_twins.py) that holds both.
const whatIf = (() => {
  "use strict";

  const QUANTILES = [0.1, 0.9];
  const SLACK = 1e-9;
  const MOST_STEPS = 32767; // that a draw can hold: beyond it no draw pays, however little grain brings
  const models = new WeakMap();

  // ---- what is read once ----

  // Whole numbers, each by how far it is from a middle one, in the code of zoning/show/page/what_if_data.py.
  function decoded([count, middle, bits, text]) {
    const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const steps = new Int16Array(count);
    let place = -1;
    const bit = () => {
      place += 1;
      return (bytes[place >> 3] >> (7 - (place & 7))) & 1;
    };
    for (let at = 0; at < count; at += 1) {
      let away = 0;
      while (!bit()) away += 1;
      for (let low = 0; low < bits; low += 1) away = 2 * away + bit();
      steps[at] = middle + (away % 2 === 0 ? away / 2 : -(away + 1) / 2);
    }
    return steps;
  }

  // Draws of one zone by one source: sorted for the day on which it is judged, as bushels for its visit.
  function drawn(text, zone, steps_per_bu) {
    const steps = decoded(text);
    const rows = Math.max(zone.judged_on + 1, zone.visit_days);
    const draws = steps.length / rows;
    const sorted = steps.slice(zone.judged_on * draws, (zone.judged_on + 1) * draws).sort();
    const above = new Float64Array(draws + 1); // sum of the steps from a place on
    for (let at = draws - 1; at >= 0; at -= 1) above[at] = above[at + 1] + sorted[at];
    const bushels = new Float64Array(draws);
    let sum = 0;
    for (let draw = 0; draw < draws; draw += 1) {
      let of_days = 0;
      for (let day = 0; day < zone.visit_days; day += 1) of_days += steps[day * draws + draw] / steps_per_bu;
      bushels[draw] = zone.area_ac * (of_days / zone.visit_days);
      sum += bushels[draw];
    }
    return { steps, draws, sorted, above, bushels, mean_bu: sum / draws };
  }

  function read(data) {
    if (models.has(data)) return models.get(data);
    const zones = data.zones.map((zone) => {
      const sources = {};
      for (const [name, text] of Object.entries(zone.steps)) sources[name] = drawn(text, zone, data.steps_per_bu);
      return { ...zone, sources, groups: [] };
    });
    data.swaths.forEach((group, at) => {
      for (const [place, area_ac] of group) zones[place].groups.push([at, area_ac]);
    });
    const members = data.visits.map((_, visit) => zones.map((_, at) => at).filter((at) => zones[at].visit === visit));
    const model = { ...data, zones, members, all_ac: sum(zones.map((zone) => zone.area_ac)) };
    models.set(data, model);
    models.set(model, model);
    return model;
  }

  const sum = (values) => values.reduce((total, value) => total + value, 0);

  // ---- money at some figures ----

  function moneyOf(model, figures, forced) {
    const share = model.share_of_cost_frac;
    const volumes = model.volumes.map((one) => {
      const isProduct = model.product_counts && figures.product_usd_ac !== model.base.product_usd_ac;
      const isPass = model.pass_counts === "treated" && figures.pass_usd_ac !== model.base.pass_usd_ac;
      const product = isProduct ? share * figures.product_usd_ac : one.product_usd_ac;
      const pass = isPass ? share * (figures.pass_usd_ac + one.pass_more_usd_ac) : one.pass_usd_ac;
      const [adjuvant, inTank, feed, water] = one.others_usd_ac;
      return { pass, cost: product + adjuvant + inTank + feed + pass + water };
    });
    const price = model.share_of_grain_frac * (figures.grain_price_usd_bu - model.haul_usd_bu);
    const drawn = model.zones.map((zone) => zone.sources[figures.source] || null);
    const fixed = model.zones.map((zone, place) => {
      if (zone.visit < 0 || drawn[place] === null) return "skip";
      return forced[zone.zone] || zone.stands || null;
    });
    const most = Math.max(...volumes.map((one) => one.pass));
    return { model, figures, forced, volumes, most, price, drawn, fixed };
  }

  function visitCosts(money, area_ac) {
    const { model, figures } = money;
    const isField = model.pass_counts === "field";
    const field = isField ? model.share_of_cost_frac * figures.pass_usd_ac * model.field_ac : 0;
    const billed = field + money.most * area_ac;
    const isPart = model.goes_anyway && area_ac < model.all_ac - SLACK;
    const topUp = Math.max(model.minimum_bill_usd - billed, 0);
    return model.per_visit_usd + field + topUp + (isPart ? model.split_load_usd : 0);
  }

  // ---- one zone ----

  // The first whole step of the response that pays, found with the arithmetic of the draws.
  function leastStep(money, cost, loss) {
    if (money.price <= 0) return Infinity;
    const per_bu = money.model.steps_per_bu;
    let step = Math.min(Math.floor((cost / money.price + loss) * per_bu) - 1, MOST_STEPS);
    while (step <= MOST_STEPS && money.price * (step / per_bu - loss) - cost <= 0) step += 1;
    return step;
  }

  function placeOf(sorted, step) {
    let low = 0;
    let high = sorted.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (sorted[middle] < step) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  // Between two neighbours, as numpy's quantile goes.
  function quantile(at, count, share) {
    const place = (count - 1) * share;
    const low = at(Math.floor(place));
    const high = at(Math.min(Math.floor(place) + 1, count - 1));
    const part = place - Math.floor(place);
    return part >= 0.5 ? high - (high - low) * (1 - part) : low + (high - low) * part;
  }

  function reckoned(money, place, loss) {
    const { model, figures, price } = money;
    const of = money.drawn[place];
    const cost = money.volumes[model.zones[place].volume].cost;
    const per_bu = model.steps_per_bu;
    const from = placeOf(of.sorted, leastStep(money, cost, loss));
    const paying = of.draws - from;
    const mean = (steps, some) => (price * (steps / per_bu - some * loss) - some * cost) / of.draws;
    const net = mean(of.above[0], of.draws);
    const chance = paying / of.draws;
    let wanted = net > figures.min_net_usd_ac;
    if (figures.rule === "chance") wanted = wanted && chance >= figures.min_chance_frac;
    if (figures.rule === "cautious") {
      const gain = mean(of.above[from], paying);
      wanted = wanted && gain - model.loss_weight * (gain - net) > 0;
    }
    return { net, chance, wanted, cost, loss };
  }

  // With its own tracks, or, where it is not wanted, with those that are avoidable.
  function returned(money, place, anyway) {
    const loss = money.model.zones[place].track_loss_bu_ac;
    const found = reckoned(money, place, loss);
    return found.wanted || !(loss * anyway > 0) ? found : reckoned(money, place, loss * (1 - anyway));
  }

  function range(money, place, { cost, loss }) {
    const { sorted, draws } = money.drawn[place];
    const per_bu = money.model.steps_per_bu;
    const at = (rank) =>
      money.price * (sorted[money.price < 0 ? draws - 1 - rank : rank] / per_bu - loss) - cost;
    return QUANTILES.map((share) => quantile(at, draws, share));
  }

  // ---- zones together, and their visits ----

  // Share of each zone on swaths that the other zones of a set make the machine drive.
  function drivenAnyway(model, taken) {
    const on = model.swaths.map((group) => sum(group.map(([place]) => (taken[place] ? 1 : 0))));
    return model.zones.map((zone, place) => {
      let shared = 0;
      for (const [group, area_ac] of zone.groups) {
        if (on[group] - (taken[place] ? 1 : 0) > 0) shared += area_ac;
      }
      return zone.area_ac > 0 ? shared / zone.area_ac : 0;
    });
  }

  function together(money, dropped) {
    const { model } = money;
    const taken = money.fixed.map((action) => action === "spray");
    const isOpen = (place) => money.fixed[place] === null && !dropped.has(model.zones[place].visit);
    const open = model.zones.map((_, place) => place).filter(isOpen);
    for (;;) {
      const anyway = drivenAnyway(model, taken);
      const more = open.filter((place) => !taken[place] && returned(money, place, anyway[place]).wanted);
      if (more.length === 0) return taken;
      for (const place of more) taken[place] = true;
    }
  }

  const membersOf = (money, taken, visit) => money.model.members[visit].filter((place) => taken[place]);

  // Bushels pressed down on the swaths that some zones make the machine drive, and those beside them do not.
  function tracks(model, members, beside) {
    let bushels = 0;
    for (const group of model.swaths) {
      const isDriven = group.some(([place]) => members[place]) && !group.some(([place]) => beside[place]);
      if (!isDriven) continue;
      for (const [place, area_ac] of group) bushels += area_ac * model.zones[place].track_loss_bu_ac;
    }
    return bushels;
  }

  // What a visit returns beyond all that it costs, its own tracks and the least return too.
  function beyond(money, taken, visit) {
    const { model, figures } = money;
    const places = membersOf(money, taken, visit);
    const members = taken.map((isIn, place) => isIn && model.zones[place].visit === visit);
    const area_ac = sum(places.map((place) => model.zones[place].area_ac));
    const due = money.volumes[model.visits[visit].volume].cost + figures.min_net_usd_ac;
    const others = taken.map((isIn, place) => isIn && !members[place]);
    const gained = sum(places.map((place) => money.drawn[place].mean_bu)) - tracks(model, members, others);
    return money.price * gained - due * area_ac - visitCosts(money, area_ac);
  }

  // Leave out visits that do not pay, the worst first, until all that are left do.
  function settled(money) {
    const dropped = new Set();
    for (;;) {
      const taken = together(money, dropped);
      let worst = -1;
      let least = Infinity;
      money.model.visits.forEach((_, visit) => {
        const places = membersOf(money, taken, visit);
        if (places.length === 0 || places.some((place) => money.fixed[place] !== null)) return;
        const usd = beyond(money, taken, visit);
        if (usd < least) [least, worst] = [usd, visit];
      });
      if (worst < 0 || least > 0) return taken;
      dropped.add(worst);
    }
  }

  // Beside a pass that goes anyway: every zone, where a load for some of them costs more.
  function filled(money, taken) {
    const { model, figures, fixed } = money;
    const visit = model.zones[0].visit;
    const may = model.goes_anyway && model.split_load_usd > 0 && figures.rule === "expected";
    const isOne = model.zones.every((zone) => zone.visit === visit) && !fixed.includes("skip");
    if (!may || !isOne || taken.every((isIn) => isIn)) return taken;
    const every = taken.map(() => true);
    const asItIs = taken.some((isIn) => isIn) ? beyond(money, taken, visit) : 0;
    return beyond(money, every, visit) > asItIs ? every : taken;
  }

  // ---- the answer ----

  function zoneAnswer(money, place, taken, anyway) {
    const { zone } = money.model.zones[place];
    const action = taken ? "spray" : "skip";
    const decided = money.fixed[place] === null ? "figures" : "plan";
    const found = money.drawn[place] === null ? null : returned(money, place, anyway);
    const [low, high] = found ? range(money, place, found) : [null, null];
    const needed = (one) => (money.price > 0 ? one.cost / money.price + one.loss : Infinity);
    return {
      zone,
      action,
      by: money.forced[zone] === action ? "you" : decided,
      wanted: found !== null && found.wanted,
      net_mean_usd_ac: found && found.net,
      net_p10_usd_ac: low,
      net_p90_usd_ac: high,
      chance_frac: found && found.chance,
      break_even_response_bu_ac: found && needed(found),
    };
  }

  // What the visits return in each draw, every driven swath and every visit once.
  function fieldNet(money, taken) {
    const { model } = money;
    const first = money.drawn.find((of) => of !== null);
    const net = new Float64Array(first ? first.draws : 1);
    let treated = 0;
    let visits = 0;
    model.visits.forEach((visit, at) => {
      const places = membersOf(money, taken, at);
      for (const place of places) {
        const { bushels } = money.drawn[place];
        for (let draw = 0; draw < net.length; draw += 1) net[draw] += bushels[draw];
        treated += model.zones[place].area_ac * money.volumes[visit.volume].cost;
      }
      if (places.length > 0) visits += visitCosts(money, sum(places.map((place) => model.zones[place].area_ac)));
    });
    const driven = tracks(model, taken, taken.map(() => false));
    for (let draw = 0; draw < net.length; draw += 1) {
      net[draw] = money.price * (net[draw] - driven) - treated - visits;
    }
    return net;
  }

  function judge(given, figures, forced = {}) {
    const model = read(given);
    const money = moneyOf(model, figures, forced);
    const taken = filled(money, settled(money));
    const anyway = drivenAnyway(model, taken);
    const net = fieldNet(money, taken);
    const paying = net.reduce((count, usd) => count + (usd > 0 ? 1 : 0), 0);
    const mean = sum(net) / net.length;
    net.sort();
    const [low, high] = QUANTILES.map((share) => quantile((rank) => net[rank], net.length, share));
    const acres = (isIn) => sum(model.zones.map((zone, place) => (taken[place] === isIn ? zone.area_ac : 0)));
    return {
      zones: model.zones.map((_, place) => zoneAnswer(money, place, taken[place], anyway[place])),
      spray_ac: acres(true),
      skip_ac: acres(false),
      net_usd: mean,
      net_p10_usd: low,
      net_p90_usd: high,
      chance_frac: paying / net.length,
      visits: model.visits.map((visit, at) => {
        const zones = membersOf(money, taken, at).map((place) => model.zones[place].zone);
        return { number: visit.number, day: visit.day, stands: zones.length > 0, zones };
      }),
    };
  }

  return { read, judge };
})();
