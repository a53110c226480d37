// Places of the page that a change rewrites: each keeps what was rendered, so that it comes back word for word.
const rewritten = (() => {
  "use strict";

  const asRendered = new WeakMap();

  function keep(place) {
    if (place && !asRendered.has(place)) asRendered.set(place, Array.from(place.childNodes));
    return place ? asRendered.get(place) : [];
  }

  function restore(place) {
    if (!place || !asRendered.has(place)) return;
    const first = asRendered.get(place);
    if (place.childNodes.length === first.length && first.every((node, at) => node === place.childNodes[at])) return;
    place.replaceChildren(...first);
    written.units(place); // they may have been chosen since
  }

  function write(place, isMoved, ...parts) {
    if (!place) return;
    keep(place);
    if (isMoved) place.replaceChildren(...parts);
    else restore(place);
  }

  function figure(quantity, value) {
    const place = document.createElement("span");
    written.put(place, quantity, value);
    return place;
  }

  function unit(kind) {
    const place = document.createElement("span");
    place.dataset.u = kind;
    place.textContent = written.unit(kind);
    return place;
  }

  return { keep, write, figure, unit };
})();
