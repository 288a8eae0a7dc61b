// Draws a chart that the page carries as JSON in the place of its drawing once the pointer comes to it, and tells a bay's figures where the pointer is. On paper
// the drawings stand as they were written.
(function () {
  "use strict";
  var plots = [];

  function draw(block) {
    var el = document.getElementById(block.getAttribute("data-for"));
    var options = JSON.parse(block.textContent);
    var still = el.firstChild;
    el.style.height = (el.clientHeight || el.getAttribute("data-height")) + "px";
    el.removeChild(still);
    options.animation = false;
    options.tooltip = { show: true, trigger: "item", formatter: "{b}" };
    options.textStyle = { fontFamily: getComputedStyle(document.body).fontFamily };
    options.tooltip.confine = true;
    options.tooltip.backgroundColor = "var(--paper)";
    options.tooltip.borderColor = "var(--rule)";
    options.tooltip.padding = [5, 9];
    options.tooltip.textStyle = { color: "var(--ink)", fontSize: 12 };
    options.series.forEach(function (s) {
      s.emphasis = { disabled: true };
      s.silent = s.type === "line" && !s.showSymbol;
      if (s.type === "scatter") Object.assign(s.itemStyle, { borderColor: s.itemStyle.color, borderWidth: 1.4, opacity: 1 });
      if (!s.markLine) return;
      s.markLine.symbol = "none";
      s.markLine.label = Object.assign({ show: true, position: "start", formatter: "{b}", color: "var(--soft)", fontSize: 11 }, s.markLine.label);
    });
    [].concat(options.xAxis, options.yAxis).forEach(function (axis) {
      axis.nameTextStyle = { color: "var(--soft)", fontSize: 11 };
      axis.axisTick = { show: false };
      axis.axisLine = { show: true, lineStyle: { color: "var(--rule)" } };
      axis.axisLabel = Object.assign({ color: "var(--soft)", fontSize: 11 }, axis.axisLabel);
      if (!axis.splitLine && axis === [].concat(options.yAxis)[0]) axis.splitLine = { show: true, lineStyle: { color: "var(--faint)" } };
    });
    var chart = echarts.init(el, null, { renderer: "svg" });
    chart.setOption(options);
    var svg = el.querySelector("svg");
    if (svg) {
      svg.setAttribute("viewBox", "0 0 " + el.clientWidth + " " + el.clientHeight);
      svg.setAttribute("aria-hidden", "true");
    }
    plots.push({ chart: chart, el: el, still: still, width: el.clientWidth });
    tell();
  }

  function fit() {
    plots.forEach(function (p) {
      if (p.el.clientWidth === p.width || p.el.clientWidth === 0) return;
      p.width = p.el.clientWidth;
      p.chart.resize();
      var svg = p.el.querySelector("svg");
      if (svg) svg.setAttribute("viewBox", "0 0 " + p.width + " " + p.el.clientHeight);
    });
  }

  // stand puts the drawings back.
  function stand() {
    plots.forEach(function (p) {
      p.chart.dispose();
      p.el.textContent = "";
      p.el.style.height = "";
      p.el.appendChild(p.still);
    });
    plots = [];
    wait();
  }

  function tell() {
    document.documentElement.setAttribute("data-drawn", String(plots.length));
  }

  function wait() {
    Array.prototype.forEach.call(document.querySelectorAll("script[data-for]"), function (block) {
      var el = document.getElementById(block.getAttribute("data-for"));
      el.onpointerenter = function () {
        el.onpointerenter = null;
        draw(block);
      };
    });
    tell();
  }

  wait();
  addEventListener("beforeprint", stand);
  var waiting = 0;
  addEventListener("resize", function () {
    clearTimeout(waiting);
    waiting = setTimeout(fit, 120);
  });
})();
