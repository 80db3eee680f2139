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
    history.replaceState({ room: room }, "", String(kept) ? "#" + kept : location.pathname + location.search);
  }

  function recall() {
    room = history.state && history.state.room || STEP;
    var kept = new URLSearchParams(location.hash.slice(1));
    if (location.hash.length < 2) { filter(); return; }
    find.value = kept.get("find") || "";
    boxes.forEach(function (box) { box.checked = kept.getAll("not").indexOf(box.value) < 0; });
    var order = (kept.get("sort") || "").split(" ");
    heads.forEach(function (button) {
      if (button.dataset.key === order[0]) { sort(button, order[1] === "descending" ? -1 : 1); }
    });
    filter();
  }

  /* Of what fits only the first rows stand on the page, more as the reader comes near their end or prints: a key is answered
     at once however many there are. */
  var STEP = 100, room = STEP, fitting = rows;
  var more = document.getElementById("more");
  function show() {
    fitting.forEach(function (row, place) {
      var beyond = place >= room;
      if (row.hidden !== beyond) { row.hidden = beyond; }
    });
    more.hidden = fitting.length <= room;
    more.textContent = "Show more: " + Math.min(room, fitting.length) + " of " + fitting.length + " stand here";
  }
  function extend() {
    if (fitting.length <= room) { return; }
    room += STEP;
    history.replaceState({ room: room }, "");
    show();
    if (more.getBoundingClientRect().top < innerHeight + 600) { setTimeout(extend, 0); }
  }
  function filter() {
    var words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    var verdicts = boxes.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
    fitting = rows.filter(function (row) {
      var fits = verdicts.indexOf(row.dataset.verdict) >= 0 &&
        words.every(function (word) { return row.said.indexOf(word) >= 0; });
      if (!fits && !row.hidden) { row.hidden = true; }
      return fits;
    });
    show();
    document.getElementById("count").textContent = fitting.length + " of " + rows.length + " pairings";
    document.getElementById("none").hidden = fitting.length > 0;
  }
  more.addEventListener("click", extend);
  new IntersectionObserver(function (seen) { if (seen[0].isIntersecting) { extend(); } }, { rootMargin: "600px" }).observe(more);
  window.addEventListener("beforeprint", function () { room = rows.length; show(); });

  function value(row, key) {
    var text = row.dataset[key];
    return key === "id" ? text : text === "" ? null : Number(text);
  }

  function compare(a, b) {
    return typeof a === "string" ? a.localeCompare(b, undefined, { numeric: true }) : a - b;
  }

  function sort(button, turn) {
    var head = button.parentNode;
    var key = button.dataset.key;
    heads.forEach(function (other) { other.parentNode.setAttribute("aria-sort", "none"); });
    head.setAttribute("aria-sort", turn > 0 ? "ascending" : "descending");
    rows.sort(function (a, b) {
      var x = value(a, key), y = value(b, key);
      if (x === null || y === null) { return (x === null) - (y === null); }
      return turn * compare(x, y);
    });
    body.append.apply(body, rows);
    filter();
  }

  var waiting = 0;
  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(remember, 200);
  }

  function asked() { room = STEP; filter(); soon(); }
  find.addEventListener("input", asked);
  boxes.forEach(function (box) { box.addEventListener("change", asked); });
  heads.forEach(function (button) {
    button.addEventListener("click", function () {
      sort(button, button.parentNode.getAttribute("aria-sort") === "ascending" ? -1 : 1);
      soon();
    });
  });
  window.addEventListener("pageshow", recall);
  document.getElementById("filters").addEventListener("submit", function (event) { event.preventDefault(); });
  recall();
  document.documentElement.className = "";
}());
