// Comfort only: without scripts the page says the same, in its sentences and tables.
(function () {
  "use strict";

  function tryAnotherLimit() {
    var box = document.getElementById("try-box"), data = document.getElementById("try-data");
    if (!box || !data) return;
    var rows = JSON.parse(data.textContent), slider = document.getElementById("try-limit"), out = document.getElementById("try-out");
    function say() {
      var row = rows[+slider.value]; // limit, passing it, interval from, to, what follows
      var text = "At " + row[0] + ": " + row[1] + " of 100 go over it (90 % interval " + row[2] + " to " + row[3] + ")." + row[4];
      slider.setAttribute("aria-valuetext", row[0]);
      out.textContent = text;
    }
    slider.addEventListener("input", say);
    box.hidden = false;
    say();
  }

  function cellKey(row, column) {
    var cell = row.cells[column], value = cell.getAttribute("data-v");
    return value === null ? cell.textContent.trim() : Number(value);
  }

  // Numbers before words before nothing; words by the reader's own alphabet.
  function compare(a, b) {
    if (typeof a === "number" && typeof b === "number") return a - b;
    if (typeof a !== typeof b) return typeof a === "number" ? -1 : 1;
    return a.localeCompare(b, undefined, { numeric: true });
  }

  function sortBy(table, heads, column) {
    var head = heads[column], up = head.getAttribute("aria-sort") !== "ascending", body = table.tBodies[0];
    var rows = Array.prototype.slice.call(body.rows);
    rows.sort(function (x, y) { return (up ? 1 : -1) * compare(cellKey(x, column), cellKey(y, column)); });
    heads.forEach(function (other) { other.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", up ? "ascending" : "descending");
    rows.forEach(function (row) { body.appendChild(row); });
  }

  function makeSortable(table) {
    var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
    heads.forEach(function (head, column) {
      var button = document.createElement("button");
      button.type = "button";
      button.textContent = head.textContent;
      head.textContent = "";
      head.appendChild(button);
      button.addEventListener("click", function () { sortBy(table, heads, column); });
    });
  }

  tryAnotherLimit();
  Array.prototype.forEach.call(document.querySelectorAll("table.sort"), makeSortable);
})();
