// Which label has room on the map, and where: the twin of zoning/show/page/map_labels.py. Places come from there;
// here the letters keep their size on the screen, so a label is chosen again when the map grows or shrinks.
const mapLabels = (() => {
  "use strict";

  const LETTERS_PX = 14;
  const LINE_EM = 1.15;
  const PAD_EM = 0.4;
  const LEAST_AC = 1;
  const SMALL_PX_M = 0.6;
  const KINDS = [[" .,:;·'|ijlItfr-()/*!", 0.42], ["MWmw%@", 1], ["+−–", 0.84]];
  const OTHER_EM = 0.71;
  const SVG = "http://www.w3.org/2000/svg";

  let aspects = [];

  function wideEm(text) {
    let wide = 0;
    for (const letter of text) {
      const kind = KINDS.find((one) => one[0].includes(letter));
      wide += kind ? kind[1] : OTHER_EM;
    }
    return wide;
  }

  // A place is x, y and for each aspect half the height of the largest box there.
  function holds(room, wide, high) {
    return aspects.some((aspect, at) => room[at + 2] >= high / 2 && room[at + 2] * aspect >= wide / 2);
  }

  // The first of the things to say that has room, or null.
  function placed(tries, rooms, size_m, area_ac, px_m) {
    if (area_ac < LEAST_AC && 1 / px_m < SMALL_PX_M) return null;
    for (const lines of tries) {
      const wide = size_m * (Math.max(...lines.map(wideEm)) + PAD_EM);
      const high = size_m * (lines.length * LINE_EM + PAD_EM);
      const room = rooms.find((one) => holds(one, wide, high));
      if (room) return { x: room[0], y: room[1], lines };
    }
    return null;
  }

  const length = (value) => String(Math.round(value * 10) / 10);

  function write(place, label, fill, ink, size_m) {
    place.setAttribute("fill", ink);
    place.setAttribute("stroke", fill);
    const at = `${label.x} ${label.y} ${size_m}`;
    if (place.dataset.at === at && place.childNodes.length === label.lines.length) {
      label.lines.forEach((words, line) => {
        if (place.childNodes[line].textContent !== words) place.childNodes[line].textContent = words;
      });
      return;
    }
    place.dataset.at = at;
    const first = label.y + size_m * (0.36 - (LINE_EM * (label.lines.length - 1)) / 2);
    const lines = label.lines.map((words, number) => {
      const line = document.createElementNS(SVG, "tspan");
      line.setAttribute("x", length(label.x));
      line.setAttribute("y", length(first + number * LINE_EM * size_m));
      line.textContent = words;
      return line;
    });
    place.replaceChildren(...lines);
  }

  // Labels of one zone: its first, and its number in its other parts. `shown` keeps what stands there already.
  function show(group, shown, zone, look, area_ac, px_m) {
    const size_m = LETTERS_PX * px_m;
    const number = look.tries.slice(-1);
    const wanted = [placed(look.tries, zone.rooms, size_m, area_ac, px_m)];
    for (const room of zone.again) wanted.push(placed(number, [room], size_m, area_ac, px_m));
    wanted.forEach((label, at) => {
      const name = `${zone.zone}.${at}`;
      const told = label ? `${label.x} ${label.y} ${label.lines.join("|")} ${look.fill} ${size_m}` : "";
      const before = shown.get(name);
      if (before && before.told === told) return;
      const place = before ? before.place : document.createElementNS(SVG, "text");
      shown.set(name, { told, place });
      if (!label) {
        place.remove();
        return;
      }
      place.dataset.of = String(zone.zone);
      write(place, label, look.fill, look.ink, size_m);
      if (!place.isConnected) group.append(place);
    });
  }

  function start(map) {
    aspects = map.aspects;
  }

  return { start, show, LETTERS_PX };
})();
