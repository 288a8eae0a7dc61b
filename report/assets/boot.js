// Draws the charts that the page carries as JSON. Without it the page says where the same figures stand.
(function () {
  "use strict";
  var plots = [];

  function draw(block) {
    var el = document.getElementById(block.getAttribute("data-for"));
    var options = JSON.parse(block.textContent);
    el.textContent = "";
    el.style.height = el.getAttribute("data-height") + "px";
    options.textStyle = { fontFamily: getComputedStyle(document.body).fontFamily };
    options.tooltip.confine = true;
    options.tooltip.padding = [5, 9];
    options.tooltip.textStyle = { color: "var(--ink)", fontSize: 12 };
    options.series.forEach(function (s) {
      s.emphasis = { disabled: true };
      s.silent = s.type === "line" && !s.showSymbol;
    });
    [].concat(options.xAxis, options.yAxis).forEach(function (axis) {
      axis.nameTextStyle = { color: "var(--soft)", fontSize: 11 };
      axis.axisTick = { show: false };
    });
    var chart = echarts.init(el, null, { renderer: "svg" });
    chart.setOption(options);
    var svg = el.querySelector("svg");
    if (svg) {
      svg.setAttribute("viewBox", "0 0 " + el.clientWidth + " " + el.clientHeight);
      svg.setAttribute("aria-hidden", "true");
    }
    plots.push({ chart: chart, el: el, width: el.clientWidth });
  }

  function fit() {
    if (matchMedia("print").matches) return;
    plots.forEach(function (p) {
      if (p.el.clientWidth === p.width || p.el.clientWidth === 0) return;
      p.width = p.el.clientWidth;
      p.chart.resize();
      var svg = p.el.querySelector("svg");
      if (svg) svg.setAttribute("viewBox", "0 0 " + p.width + " " + p.el.clientHeight);
    });
  }

  var blocks = document.querySelectorAll("script[data-for]");
  Array.prototype.forEach.call(blocks, draw);
  document.documentElement.setAttribute("data-drawn", String(plots.length));
  var waiting = 0;
  addEventListener("resize", function () {
    clearTimeout(waiting);
    waiting = setTimeout(fit, 120);
  });
})();
