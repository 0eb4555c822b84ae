(function () {
  "use strict";
  var body = document.body, key = "snugbay/" + body.dataset.store, memory = {}, kept = true;
  function read(name) {
    try { return window.localStorage.getItem(name); } catch (error) { kept = false; return null; }
  }
  function write(name, value) {
    try { window.localStorage.setItem(name, value); } catch (error) { kept = false; }
  }
  try { memory = JSON.parse(read(key) || "{}") || {}; } catch (error) { memory = {}; }
  var boxes = Array.prototype.slice.call(document.querySelectorAll("input[data-tick]"));
  function count() {
    document.querySelectorAll("output[data-count]").forEach(function (out) {
      var start = out.dataset.count;
      if (start.slice(-1) !== "-") { start += "-"; }
      var mine = boxes.filter(function (box) { return box.dataset.tick.indexOf(start) === 0; });
      var done = mine.filter(function (box) { return box.checked; }).length;
      out.textContent = mine.length ? body.dataset.done.replace("{done}", done).replace("{all}", mine.length) : "";
    });
    document.getElementById("not-saved").hidden = kept;
  }
  function save() { write(key, JSON.stringify(memory)); count(); }
  boxes.forEach(function (box) {
    box.checked = memory[box.dataset.tick] === 1;
    box.addEventListener("change", function () {
      boxes.forEach(function (other) { if (other.dataset.tick === box.dataset.tick) { other.checked = box.checked; } });
      if (box.checked) { memory[box.dataset.tick] = 1; } else { delete memory[box.dataset.tick]; }
      save();
    });
  });
  document.getElementById("reset").addEventListener("click", function () {
    if (window.confirm(body.dataset.sure)) {
      memory = {};
      boxes.forEach(function (box) { box.checked = false; });
      save();
    }
  });
  document.querySelectorAll("[data-zoom]").forEach(function (button) {
    button.addEventListener("click", function () {
      var pan = button.parentElement.nextElementSibling;
      var now = parseFloat(window.getComputedStyle(pan).getPropertyValue("--zoom")) || 1;
      var next = Math.min(8, Math.max(0.5, now * parseFloat(button.dataset.zoom)));
      var across = (pan.scrollLeft + pan.clientWidth / 2) / pan.scrollWidth;
      var down = (pan.scrollTop + pan.clientHeight / 2) / pan.scrollHeight;
      pan.style.setProperty("--zoom", next);
      pan.scrollLeft = across * pan.scrollWidth - pan.clientWidth / 2;
      pan.scrollTop = down * pan.scrollHeight - pan.clientHeight / 2;
    });
  });
  document.querySelectorAll("nav a").forEach(function (link) {
    link.addEventListener("click", function () {
      var part = document.getElementById(link.getAttribute("href").slice(1));
      if (part) { part.open = true; }
    });
  });
  var root = document.documentElement, light = read("snugbay/light");
  if (light === "day" || light === "night") { root.dataset.light = light; }
  document.getElementById("light").addEventListener("click", function () {
    var dark = window.matchMedia("(prefers-color-scheme: dark)").matches;
    var now = root.dataset.light || (dark ? "night" : "day");
    root.dataset.light = now === "day" ? "night" : "day";
    write("snugbay/light", root.dataset.light);
    count();
  });
  write(key, JSON.stringify(memory));
  count();
})();
