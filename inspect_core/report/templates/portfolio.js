(function () {
  "use strict";
  var table = document.getElementById("sites"), body = table.tBodies[0], heads = Array.from(table.tHead.rows[0].cells);
  var rows = Array.from(body.rows).map(function (row, place) {
    return { row: row, place: place, words: row.textContent.toLowerCase() };
  });
  var words = document.getElementById("words"), state = document.getElementById("state");
  var point = document.getElementById("point"), shown = document.getElementById("shown");
  var states = { failed: 3, unusable: 2, held: 1, clear: 0 };

  /* What a cell is sorted by: names by their letters, states by how bad they are, the rest by its number. */
  function value(one, column) {
    var cell = one.row.cells[column];
    if (column === 0) { return cell.textContent.toLowerCase(); }
    if (column === 1) { return states[one.row.dataset.s]; }
    if (cell.className === "n") { return -1; }
    return parseInt(cell.textContent, 10) || 0;
  }

  function sort(column) {
    var head = heads[column], was = head.getAttribute("aria-sort");
    var down = was ? was === "ascending" : column > 0;
    heads.forEach(function (other) { other.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    rows.forEach(function (one) { one.by = value(one, column); });
    rows.sort(function (a, b) {
      var order = a.by < b.by ? -1 : a.by > b.by ? 1 : 0;
      return (down ? -order : order) || a.place - b.place;
    });
    var sorted = document.createDocumentFragment();
    rows.forEach(function (one) { sorted.appendChild(one.row); });
    body.appendChild(sorted);
  }

  function choose() {
    var asked = words.value.toLowerCase().trim(), column = Number(point.value), count = 0;
    rows.forEach(function (one) {
      var fits = one.words.indexOf(asked) >= 0 && (!state.value || one.row.dataset.s === state.value) &&
        (!column || one.row.cells[column].className === "h");
      one.row.hidden = !fits;
      count += fits;
    });
    shown.textContent = count + " of " + rows.length + " sites shown.";
  }

  heads.forEach(function (head, column) {
    if (head.hasAttribute("data-plain")) { return; }
    var button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent;
    button.addEventListener("click", function () { sort(column); });
    head.replaceChildren(button);
  });
  /* On a narrow screen the rows are laid out as blocks; a screen reader still hears a table. */
  table.setAttribute("role", "table");
  table.className = "sorts";
  table.querySelectorAll("thead, tbody").forEach(function (part) { part.setAttribute("role", "rowgroup"); });
  table.querySelectorAll("tr").forEach(function (row) { row.setAttribute("role", "row"); });
  table.querySelectorAll("td").forEach(function (cell) { cell.setAttribute("role", "cell"); });
  heads.forEach(function (head) { head.setAttribute("role", "columnheader"); });
  body.querySelectorAll("th").forEach(function (head) { head.setAttribute("role", "rowheader"); });
  document.getElementById("choose").hidden = false;
  document.getElementById("choose").addEventListener("submit", function (event) { event.preventDefault(); });
  [words, state, point].forEach(function (field) { field.addEventListener("input", choose); });
  choose();
}());
