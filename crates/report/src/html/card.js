// Looks up what stands in the page and compares. Nothing is worked out here.
(function () {
  "use strict";
  var card = document.getElementById("card");
  var pick = function (name) { return document.getElementById("card-" + name); };
  var from = pick("from"), speed = pick("speed"), gust = pick("gust");
  var picks = card.querySelector(".picks"), said = card.querySelector(".said");
  var word = said.querySelector(".word"), why = said.querySelector(".why");
  var within = function (row, kind, value) {
    return row.getAttribute("data-" + kind).split(", ").some(function (range) {
      var ends = range.split(" ");
      return ends.length === 2 && Number(ends[0]) <= value && value <= Number(ends[1]);
    });
  };
  var chosen = function (select) { return select.options[select.selectedIndex]; };
  var show = function () {
    if (gust.selectedIndex < speed.selectedIndex) { gust.selectedIndex = speed.selectedIndex; }
    var row = card.querySelector('.rows [data-point="' + from.value + '"]');
    var winds = [speed, gust];
    var all = function (kind) {
      return winds.every(function (wind) { return within(row, kind, Number(wind.value)); });
    };
    var state = all("sure") ? "inside" : all("best") ? "undecided" : "outside";
    var outside = winds.filter(function (wind) { return !within(row, state === "undecided" ? "sure" : "best", Number(wind.value)); });
    var names = outside.map(function (wind) {
      return (wind === speed ? "wind of " : "gusts of ") + chosen(wind).textContent;
    }).join(" and ");
    var sure = row.getAttribute("data-says-sure"), best = row.getAttribute("data-says-best");
    var ended = row.getAttribute("data-limited");
    word.textContent = { inside: "INSIDE THE LIMITS", undecided: "UNDECIDED", outside: "OUTSIDE" }[state];
    word.className = "word " + { inside: "meets", undecided: "undecided", outside: "misses" }[state];
    why.textContent = state === "inside"
      ? "wind and gusts from " + from.value + " lie within what is 95 % sure: " + sure + ". The officer decides."
      : state === "undecided"
        ? names + " from " + from.value + ": inside by best estimate (" + best + "), not 95 % sure (" + sure + "). Ended by " + ended + "."
        : names + " from " + from.value + ": allowed by best estimate " + best + ". Ended by " + ended + ".";
    card.querySelectorAll(".pick-point").forEach(function (point) {
      var on = point.getAttribute("data-point") === from.value;
      var is = function (select) { return point.getAttribute("data-speed") === select.value; };
      point.classList.toggle("on", on && (is(speed) || is(gust)));
      point.classList.toggle("gust", on && is(gust) && !is(speed));
    });
  };
  card.querySelectorAll("[data-step]").forEach(function (button) {
    button.addEventListener("click", function () {
      var select = document.getElementById(button.getAttribute("data-of"));
      var next = button.getAttribute("data-step") === "on" ? chosen(select).nextElementSibling : chosen(select).previousElementSibling;
      if (next) { next.selected = true; show(); }
    });
  });
  [from, speed, gust].forEach(function (select) { select.addEventListener("change", show); });
  picks.hidden = false;
  said.hidden = false;
  show();
})();
