// Comfort only: without scripts the page says the same, in its sentences and tables.
(function () {
  "use strict";

  function byId(id) { return document.getElementById(id); }

  // The card shows the cut-offs of the nearest limit looked at that is not later: earlier than needed, never too late.
  function cardFor(data, limit) {
    var at = -1;
    (data.at || []).forEach(function (index, i) { if (index <= limit) at = i; });
    return at;
  }

  // What stands there as given, or this text in its place; nothing where there is none.
  function put(element, text, isGiven) {
    if (!element) return;
    if (!element.given) element.given = Array.prototype.slice.call(element.childNodes);
    if (isGiven) element.replaceChildren.apply(element, element.given); else element.textContent = text;
    element.hidden = element.textContent === "";
  }

  // A cell of the card. What was one word as given may be a sentence now, and has to wrap.
  function putCell(cell, text, key, isGiven) {
    if (!cell.given) cell.given = { nodes: Array.prototype.slice.call(cell.childNodes), key: cell.getAttribute("data-v"), isShort: cell.classList.contains("s") };
    var words = document.createElement("bdi");
    words.textContent = text;
    cell.replaceChildren.apply(cell, isGiven ? cell.given.nodes : [words]);
    cell.classList.toggle("s", isGiven && cell.given.isShort);
    var v = isGiven ? cell.given.key : key;
    if (v === null || v === "") cell.removeAttribute("data-v"); else cell.setAttribute("data-v", v);
  }

  // Head, verdicts and what is out of reach are this card's, as the command with that limit says them.
  function putAbout(data, at, limit, wish, isGiven) {
    var figure = byId("fig-cutoff"), of = at < 0 ? ["No time to begin by can be given", "", "", "", "No times to begin by", "", ""] : data.about[at * data.wish.length + wish];
    put(byId("card-verdicts"), of[1], isGiven);
    put(byId("card-reach"), of[2], isGiven);
    put(byId("card-second"), of[3], isGiven);
    put(byId("t-card"), of[4], isGiven);
    put(byId("card-limit"), of[5], isGiven);
    put(byId("card-exactly"), of[6], isGiven);
    if (!figure) return;
    figure.classList.toggle("of-another", !isGiven);
    put(figure.querySelector("figcaption").firstElementChild, of[0], isGiven);
  }

  // The times on a clock stay as they are; whether elapsed time asks for the work sooner is of the limit that is tried.
  function showClocks(notes, isGiven) {
    Object.keys(notes).forEach(function (clock) {
      var caption = byId("t-clock-" + clock);
      if (!caption) return;
      Array.prototype.forEach.call(caption.closest("table").tBodies[0].rows, function (row) {
        putCell(row.cells[row.cells.length - 2], notes[clock][row.id.replace(caption.id + "-r", "")] || "", "", isGiven);
      });
    });
  }

  function showCard(data, limit, wish, isGiven) {
    var at = cardFor(data, limit), note = byId("card-note");
    if (!data.card || !note) return isGiven || !byId("t-card") ? "" : " The times to begin by below stay those of the limit as given.";
    var sameCard = isGiven || (wish === data.given[1] && at >= 0 && data.at[at] === data.given[0]);
    var rows = at < 0 ? null : data.card[at * data.wish.length + wish], table = byId("t-card").closest("table");
    Array.prototype.forEach.call(table.tBodies[0].rows, function (row) {
      var cells = rows && rows[row.id.replace("t-card-r", "")];
      for (var c = 0; c < 5; c++) // an id that is the title has no column
        putCell(row.cells[row.cells.length - 6 + c], cells ? cells[c] : "\u2013", cells ? cells[5][c] : "", sameCard);
    });
    showClocks(at < 0 ? data.early : data.clock[at * data.wish.length + wish], sameCard);
    putAbout(data, at, limit, wish, sameCard);
    keepSorted(table);
    note.hidden = isGiven;
    var words = at < 0 ? "" : data.about[at * data.wish.length + wish][7];
    note.textContent = (at < 0 ? "Tried, not given: a limit of " + data.limit[limit] + ". " + data.say[wish][limit] + " No cut-offs were worked out for so early a limit."
      : (sameCard ? "These times are, as given, for " : "Tried, not given: these times are for ") + words + ". " + data.say[wish][data.at[at]]
        + (data.at[at] === limit ? "" : " Of the limits for which they were worked out, it is the nearest that is not later than " + data.limit[limit] + ": they ask for it sooner than need be, never too late."))
      + data.kept;
    return isGiven ? "" : at < 0 ? " No times to begin by were worked out for so early a limit." : " The card below shows when to begin for " + words + ".";
  }

  function tryAnotherLimit() {
    var box = byId("try-box"), source = byId("try-data");
    if (!box || !source) return;
    var data = JSON.parse(source.textContent), slider = byId("try-limit"), wish = byId("try-wish"), out = byId("try-out");
    function say() {
      var at = +slider.value, w = +wish.value, isGiven = at === data.given[0] && w === data.given[1];
      var card = showCard(data, at, w, isGiven);
      slider.setAttribute("aria-valuetext", data.limit[at]);
      byId("try-at").textContent = data.limit[at];
      out.textContent = data.say[w][at] + card;
      byId("try-back").disabled = isGiven;
    }
    slider.addEventListener("input", say);
    wish.addEventListener("change", say);
    byId("try-back").addEventListener("click", function () {
      slider.value = data.given[0];
      wish.value = data.given[1];
      say();
    });
    box.hidden = false;
    say();
  }

  // One reader's sheet alone, or all of them.
  function offerSheets() {
    var bar = byId("sheets");
    if (!bar) return;
    bar.addEventListener("click", function (event) {
      var sheet = event.target.getAttribute("data-print");
      if (sheet === null) return;
      if (sheet) document.body.setAttribute("data-sheet", sheet);
      window.print();
      document.body.removeAttribute("data-sheet");
    });
    bar.hidden = false;
  }

  // A row that a chart links to may stand in a closed part of the page.
  function openWhatIsLinked() {
    var target = location.hash.length > 1 && byId(decodeURIComponent(location.hash.slice(1)));
    var closed = target && target.closest("details");
    if (closed) closed.open = true;
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

  function order(table, column, up) {
    var body = table.tBodies[0], rows = Array.prototype.slice.call(body.rows);
    rows.sort(function (x, y) { return (up ? 1 : -1) * compare(cellKey(x, column), cellKey(y, column)); });
    rows.forEach(function (row) { body.appendChild(row); });
  }

  // Other values in its cells: what the head says of the order stays true.
  function keepSorted(table) {
    Array.prototype.forEach.call(table.tHead.rows[0].cells, function (head, column) {
      if (head.hasAttribute("aria-sort")) order(table, column, head.getAttribute("aria-sort") === "ascending");
    });
  }

  function sortBy(table, heads, column) {
    var head = heads[column], up = head.getAttribute("aria-sort") !== "ascending";
    heads.forEach(function (other) { other.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", up ? "ascending" : "descending");
    order(table, column, up);
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
  offerSheets();
  openWhatIsLinked();
  window.addEventListener("hashchange", openWhatIsLinked);
  Array.prototype.forEach.call(document.querySelectorAll("table.sort"), makeSortable);
})();
