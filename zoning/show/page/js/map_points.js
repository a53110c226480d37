// Points on the map where something was seen: those of the field folder, and those read in the page.
const mapPoints = (() => {
  "use strict";

  const SVG = "http://www.w3.org/2000/svg";

  let map = null;
  let data = null;
  let px_m = 1;
  let points = []; // each with its element
  let isHeld = false; // it was tapped: it stays until something else is
  let told = null; // below the map: what was seen at the point that was touched

  function saying(one) {
    const parts = [written.day(one.on), one.kind === "count" ? "stage counted" : "scouted", one.stage, one.text];
    if (typeof one.severity_pct === "number") parts.push(`${written.rounded(one.severity_pct, 1)} % of the leaf`);
    parts.push(one.note);
    if (one.photo) parts.push(`photo ${one.photo}`);
    if (one.observer) parts.push(`by ${one.observer}`);
    const where = one.zone ? ` (zone ${one.zone})` : "";
    return parts.filter((part) => part && part !== "-").join(", ") + where;
  }

  function show(one) {
    told.textContent = saying(one);
    for (const other of points) other.element.classList.toggle("touched", other === one);
  }

  function leave() {
    isHeld = false;
    told.textContent = "";
    for (const one of points) one.element.classList.remove("touched");
  }

  function stand(one) {
    one.element.setAttribute("transform", `translate(${one.x} ${one.y}) scale(${px_m}) translate(${one.aside || 0} 0)`);
  }

  function listen(one) {
    one.element.addEventListener("click", (event) => {
      event.preventDefault();
      isHeld = true;
      show(one);
    });
    for (const kind of ["pointerenter", "focus"]) one.element.addEventListener(kind, () => show(one));
    for (const kind of ["pointerleave", "blur"]) {
      one.element.addEventListener(kind, () => {
        if (!isHeld) leave();
      });
    }
    one.element.setAttribute("aria-label", saying(one));
  }

  function shape(name, values) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(values)) made.setAttribute(key, value);
    return made;
  }

  // A point that was read in the page looks like the others, but filled.
  function made(one) {
    const { ink, white } = data.inks;
    const link = shape("a", { class: "point", href: "#scouting" });
    link.append(shape("circle", { r: 12, fill: "none", "pointer-events": "all" }));
    const look = { fill: ink, stroke: white, "stroke-width": 1.6 };
    link.append(one.kind === "count"
      ? shape("circle", { r: 5.5, ...look })
      : shape("path", { d: "M0-6.5 6.5 0 0 6.5-6.5 0z", ...look }));
    return link;
  }

  function keep(one) {
    points.push(one);
    listen(one);
    stand(one);
  }

  // The points that were read in the page, each with its place in local metres: the whole list each time.
  function add(list) {
    if (!map) return;
    for (const one of points) if (one.isRead) one.element.remove();
    points = points.filter((one) => !one.isRead);
    for (const given of list) {
      const one = { ...given, isRead: true };
      one.element = made(one);
      document.getElementById("map-points").append(one.element);
      keep(one);
    }
  }

  function scale(length_m) {
    px_m = length_m;
    points.forEach(stand);
  }

  function start(given, svg) {
    [data, map, px_m] = [given, svg, given.px_m];
    told = document.createElement("p");
    told.id = "map-point";
    told.setAttribute("role", "status");
    map.after(told);
    for (const element of map.querySelectorAll("a.point[data-at]")) {
      keep({ ...data.points[Number(element.dataset.at)], element });
    }
  }

  return { start, scale, add, leave };
})();
