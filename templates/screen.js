/* Sorting and filtering of the one table on the page; without it the table is complete, only unsorted. */
(function () {
  "use strict";
  var body = document.querySelector("#pairings tbody");
  var rows = Array.prototype.slice.call(body.rows);
  var find = document.getElementById("find");
  var boxes = Array.prototype.slice.call(document.querySelectorAll("input[name=verdict]"));
  var heads = Array.prototype.slice.call(document.querySelectorAll("#pairings thead button"));

  function filter() {
    var words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    var verdicts = boxes.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
    var shown = 0;
    rows.forEach(function (row) {
      var fits = verdicts.indexOf(row.dataset.verdict) >= 0 &&
        words.every(function (word) { return row.dataset.words.indexOf(word) >= 0; });
      row.hidden = !fits;
      shown += fits ? 1 : 0;
    });
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
    rows.forEach(function (row) { body.appendChild(row); });
  }

  find.addEventListener("input", filter);
  boxes.forEach(function (box) { box.addEventListener("change", filter); });
  heads.forEach(function (button) { button.addEventListener("click", function () { sort(button); }); });
  document.getElementById("filters").addEventListener("submit", function (event) { event.preventDefault(); });
}());
