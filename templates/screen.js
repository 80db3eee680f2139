/* Sorting and filtering of the one table on the page; without it the table is complete, only unsorted. */
(function () {
  "use strict";
  var body = document.querySelector("#pairings tbody");
  var rows = Array.prototype.slice.call(body.rows);
  rows.forEach(function (row) { row.said = row.dataset.words; });
  var find = document.getElementById("find");
  var boxes = Array.prototype.slice.call(document.querySelectorAll("input[name=verdict]"));
  var heads = Array.prototype.slice.call(document.querySelectorAll("#pairings thead button"));

  /* What was looked for is kept in the address, so that it is there again after Back. */
  function remember() {
    var kept = new URLSearchParams();
    if (find.value) { kept.set("find", find.value); }
    boxes.forEach(function (box) { if (!box.checked) { kept.append("not", box.value); } });
    var sorted = document.querySelector("th[aria-sort=ascending], th[aria-sort=descending]");
    if (sorted) { kept.set("sort", sorted.querySelector("button").dataset.key + " " + sorted.getAttribute("aria-sort")); }
    history.replaceState(null, "", String(kept) ? "#" + kept : location.pathname + location.search);
  }

  function recall() {
    var kept = new URLSearchParams(location.hash.slice(1));
    if (location.hash.length < 2) { filter(); return; }
    find.value = kept.get("find") || "";
    boxes.forEach(function (box) { box.checked = kept.getAll("not").indexOf(box.value) < 0; });
    var order = (kept.get("sort") || "").split(" ");
    heads.forEach(function (button) {
      if (button.dataset.key !== order[0]) { return; }
      sort(button);
      if (order[1] === "descending") { sort(button); }
    });
    filter();
  }

  /* Rows come back some at a time, so that a key is answered at once however many there are. */
  var turn = 0, missing = [];
  function show(back, mine) {
    if (mine !== turn) { return; }
    back.slice(0, 200).forEach(function (row) { row.hidden = false; });
    missing = back.slice(200);
    if (missing.length) { setTimeout(show, 0, missing, mine); }
  }
  window.addEventListener("beforeprint", function () { missing.forEach(function (row) { row.hidden = false; }); });

  function filter() {
    var words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    var verdicts = boxes.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
    var shown = 0, back = [];
    rows.forEach(function (row) {
      var fits = verdicts.indexOf(row.dataset.verdict) >= 0 &&
        words.every(function (word) { return row.said.indexOf(word) >= 0; });
      if (!fits && !row.hidden) { row.hidden = true; }
      if (fits && row.hidden) { back.push(row); }
      shown += fits ? 1 : 0;
    });
    show(back, ++turn);
    document.getElementById("count").textContent = shown + " of " + rows.length + " pairings";
    document.getElementById("none").hidden = shown > 0;
  }

  function value(row, key) {
    var text = row.dataset[key];
    return key === "id" ? text : text === "" ? null : Number(text);
  }

  function compare(a, b) {
    return typeof a === "string" ? a.localeCompare(b, undefined, { numeric: true }) : a - b;
  }

  function sort(button) {
    var head = button.parentNode;
    var turn = head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
    var key = button.dataset.key;
    heads.forEach(function (other) { other.parentNode.setAttribute("aria-sort", "none"); });
    head.setAttribute("aria-sort", turn > 0 ? "ascending" : "descending");
    rows.sort(function (a, b) {
      var x = value(a, key), y = value(b, key);
      if (x === null || y === null) { return (x === null) - (y === null); }
      return turn * compare(x, y);
    });
    body.append.apply(body, rows);
  }

  var waiting = 0;
  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(remember, 200);
  }

  find.addEventListener("input", function () { filter(); soon(); });
  boxes.forEach(function (box) { box.addEventListener("change", function () { filter(); soon(); }); });
  heads.forEach(function (button) { button.addEventListener("click", function () { sort(button); soon(); }); });
  window.addEventListener("pageshow", recall);
  document.getElementById("filters").addEventListener("submit", function (event) { event.preventDefault(); });
}());
