// The page of a farm stands as it is; this sorts its table by a column and colours its map by a theme.
const farmPage = (() => {
  "use strict";

  const all = (what, root = document) => Array.from(root.querySelectorAll(what));

  function value(row, column) {
    const cell = row.cells[column];
    const text = cell.dataset.s;
    return text !== "" && !Number.isNaN(Number(text)) ? Number(text) : text;
  }

  // Numbers by size, names by the alphabet; what has no figure comes last either way.
  function compare(one, other, turn) {
    if (one === other) return 0;
    if (one === "") return 1;
    if (other === "") return -1;
    if (typeof one === "number" && typeof other === "number") return turn * (one - other);
    return turn * String(one).localeCompare(String(other));
  }

  function sort(table, column, turn) {
    const body = table.tBodies[0];
    const rows = all("tr", body).map((row) => [value(row, column), Number(value(row, 0)), row]);
    rows.sort((one, other) => compare(one[0], other[0], turn) || one[1] - other[1]);
    body.append(...rows.map((one) => one[2]));
    Array.from(table.tHead.rows[0].cells).forEach((cell, at) => {
      if (at === column) cell.setAttribute("aria-sort", turn > 0 ? "ascending" : "descending");
      else cell.removeAttribute("aria-sort");
    });
  }

  const LARGEST_FIRST = ["area", "spray", "net", "chance", "walk"];

  function sortable(table) {
    Array.from(table.tHead.rows[0].cells).forEach((cell, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = cell.textContent || "Rank";
      cell.replaceChildren(button);
      const first = LARGEST_FIRST.includes(cell.dataset.key) ? -1 : 1;
      button.addEventListener("click", () => {
        const now = cell.getAttribute("aria-sort");
        const turn = now === null ? first : now === "ascending" ? -1 : 1;
        sort(table, column, turn);
      });
    });
  }

  function colour(theme) {
    document.body.dataset.theme = theme;
    for (const ground of all(".ground")) {
      if (!ground.dataset.decision) ground.dataset.decision = ground.getAttribute("fill");
      ground.setAttribute("fill", ground.dataset[theme]);
    }
    for (const text of all(".value")) text.textContent = text.dataset[theme];
    for (const legend of all("[data-legend]")) legend.hidden = legend.dataset.legend !== theme;
  }

  function showPast(now) {
    const banner = document.getElementById("past");
    if (!banner) return;
    const two = (number) => String(number).padStart(2, "0");
    const today = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    banner.hidden = today <= banner.dataset.day;
  }

  function start() {
    showPast(new Date());
    const table = document.getElementById("field-table");
    if (table) sortable(table);
    const themes = document.getElementById("themes");
    if (!themes) return;
    themes.hidden = false;
    themes.addEventListener("change", (event) => colour(event.target.value));
  }

  return { start };
})();
farmPage.start();
