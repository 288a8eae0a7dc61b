// Sorts, filters and searches the table of jobs, and unfolds what a link leads to. Nothing is loaded, and nothing stands here that the page does not say
// without it.
(function () {
  "use strict";
  var fold = document.getElementById("alljobs");
  var table = document.querySelector("table.jobs");
  function reveal() {
    var at = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    for (var e = at; e; e = e.parentElement) if (e.tagName === "DETAILS") e.open = true;
    if (at) at.scrollIntoView();
  }
  addEventListener("hashchange", reveal);
  if (location.hash) reveal();
  if (!table || table.tBodies[0].rows.length < 6) return; // what is seen at a glance needs no tools

  var body = table.tBodies[0];
  var rows = Array.from(body.rows).map(function (tr) {
    return { tr: tr, text: tr.textContent.toLowerCase(), crew: tr.cells[1].textContent, need: Array.from(tr.cells[9].children, function (s) { return s.textContent.replace(/^[0-9]+ /, ""); }) };
  });
  var most = 100, all = rows.length <= most; // rows at once: the rest at a press of the button
  var tools = document.createElement("div");
  tools.className = "tools";
  function add(tag, label, set) {
    var e = document.createElement(tag);
    e.setAttribute("aria-label", label);
    set(e);
    tools.append(e);
    return e;
  }
  function choices(name, list) {
    return add("select", name, function (e) {
      e.append(new Option(name, ""));
      Array.from(new Set(list)).filter(Boolean).sort().forEach(function (x) { e.append(new Option(x, x)); });
      e.onchange = show;
    });
  }
  var search = add("input", "Search the jobs", function (e) { e.type = "search"; e.placeholder = "Search job, crew, date"; e.oninput = show; });
  var crew = choices("Every crew", rows.map(function (r) { return r.crew; }));
  var need = choices("Any state", rows.flatMap(function (r) { return r.need; }));
  var more = add("button", "Show all", function (e) { e.type = "button"; e.textContent = "Show all"; e.onclick = function () { all = true; show(); }; });
  var count = add("span", "", function (e) { e.removeAttribute("aria-label"); e.setAttribute("role", "status"); });

  function show() {
    var words = search.value.toLowerCase().split(/\s+/).filter(Boolean), n = 0;
    rows.forEach(function (r) {
      var fits = words.every(function (w) { return r.text.includes(w); }) && (!crew.value || r.crew === crew.value) && (!need.value || r.need.includes(need.value));
      n += fits;
      r.tr.hidden = !fits || !all && n > most;
    });
    more.hidden = all || n <= most;
    count.textContent = (all ? n : Math.min(n, most)) + " of " + n + (n < rows.length ? " that fit, " + rows.length + " in all" : "") + " shown";
  }
  function key(tr, i) {
    var cell = tr.cells[i];
    if (cell.dataset.n) return Number(cell.dataset.n);
    var text = cell.textContent.trim(), number = parseFloat(text.replace(/,/g, ""));
    return i > 3 && i < 9 && !isNaN(number) ? number : i === 9 ? -cell.children.length : text;
  }
  // A head with buttons in it is not repeated on the second sheet of paper.
  var heads = [];
  function buttons(on) {
    heads.forEach(function (h) {
      var from = on ? h.th : h.b, to = on ? h.b : h.th;
      to.append.apply(to, from.childNodes);
      if (on) h.th.append(h.b); else h.b.remove();
    });
  }
  Array.from(table.tHead.rows[0].cells).forEach(function (th, i) {
    if (i === 3) return; // a bar has no order
    var b = document.createElement("button");
    b.type = "button";
    heads.push({ th: th, b: b });
    b.onclick = function () {
      var down = th.getAttribute("aria-sort") !== "ascending";
      Array.from(th.parentNode.cells).forEach(function (x) { x.removeAttribute("aria-sort"); });
      th.setAttribute("aria-sort", down ? "ascending" : "descending");
      var sorted = rows.map(function (r) { return [key(r.tr, i), r]; });
      sorted.sort(function (a, b) {
        var x = a[0], y = b[0];
        var c = typeof x === typeof y ? (x < y ? -1 : x > y ? 1 : 0) : typeof x === "number" ? -1 : 1;
        return down ? c : -c;
      });
      rows = sorted.map(function (s) { return s[1]; });
      rows.forEach(function (r) { body.append(r.tr); });
      show();
    };
  });
  buttons(true);
  fold.insertBefore(tools, fold.children[1]);
  var crews = document.querySelector("#groups details"), folded = false;
  addEventListener("beforeprint", function () {
    rows.forEach(function (r) { r.tr.hidden = false; });
    buttons(false);
    folded = crews && !crews.open;
    if (folded) crews.open = true;
  });
  addEventListener("afterprint", function () { if (folded) crews.open = false; buttons(true); show(); });
  show();
})();
