// Colours of the map that follow a figure: the twin of zoning/colours.py, with the palettes of the page's data.
const mapColours = (() => {
  "use strict";

  let data = null;

  // As in zoning/colours.py: relative luminance, and whether white stands out more than ink.
  function luminance(colour) {
    const [red, green, blue] = [1, 3, 5].map((from) => {
      const share = parseInt(colour.slice(from, from + 2), 16) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  }

  function dark(colour) {
    const [ground, ink] = [luminance(colour), luminance(data.inks.ink)];
    return 1.05 / (ground + 0.05) > (ground + 0.05) / (ink + 0.05);
  }

  function ramp(share) {
    const stops = data.ramp;
    const place = Math.min(Math.max(share, 0), 1) * (stops.length - 1);
    const left = Math.min(Math.floor(place), stops.length - 2);
    const part = place - left;
    const mixed = [1, 3, 5].map((from) => {
      const [one, other] = [stops[left], stops[left + 1]].map((stop) => parseInt(stop.slice(from, from + 2), 16));
      return Math.round(one + (other - one) * part).toString(16).padStart(2, "0");
    });
    return `#${mixed.join("")}`;
  }

  function start(map) {
    data = map;
  }

  return { start, dark, ramp };
})();
