// @ts-check
// A whole recording on a canvas under the axes that the server draws. Tiles hold the extremes of cells of time as places
// between the lowest and the highest; a view is a share of the recording. Nothing here knows a second or a metre.

import { drawingOf, plotOf, Asker } from "./place.js";

/** Cells of a tile, and the greatest place in one. */
const CELLS = 512;
const TOP = 65535;
/** Tiles are kept up to so many, the oldest going first. */
const MOST_TILES = 600;

/** @type {Map<string, Uint16Array | null>} */
const tiles = new Map();
/** What each recording shows in this window, by test and recording. @type {Map<string, { from: number, to: number }>} */
const views = new Map();
/** @type {Map<string, Asker>} */
const askers = new Map();

/** @param {Element} figure */
function of(figure) {
  const { test = "", log = "" } = /** @type {HTMLElement} */ (figure).dataset;
  const name = `${test}\n${log}`;
  const view = views.get(name) ?? { from: 0, to: 1 };
  views.set(name, view);
  const asker = askers.get(name) ?? new Asker();
  askers.set(name, asker);
  return { test, log, view, asker };
}

/** A tile, or nothing yet: then it is fetched and all is drawn again. @param {string} log @param {number} level @param {number} at */
function tile(log, level, at) {
  const key = `${log}\n${level}\n${at}`;
  const held = tiles.get(key);
  if (held !== undefined) return held;
  tiles.set(key, null);
  fetch(`/drops/tile?${new URLSearchParams({ log, level: String(level), at: String(at) })}`)
    .then((response) => (response.ok ? response.arrayBuffer() : new ArrayBuffer(0)))
    .then((bytes) => {
      tiles.set(key, new Uint16Array(bytes));
      for (const old of tiles.keys()) {
        if (tiles.size <= MOST_TILES) break;
        tiles.delete(old);
      }
      drawAllSoon();
    })
    .catch(() => tiles.delete(key));
  return null;
}

/** The tiles of a level that are in sight, if all of them are there. @param {string} log @param {{ from: number, to: number }} view
 * @param {number} level @param {boolean} fetches whether those that are not there are asked for */
function inSight(log, view, level, fetches) {
  const count = 2 ** level;
  const first = Math.floor((view.from * count) / CELLS);
  const last = Math.floor(Math.min(view.to * count, count - 1) / CELLS);
  const found = [];
  for (let at = first; at <= last; at += 1) {
    const one = fetches ? tile(log, level, at) : tiles.get(`${log}\n${level}\n${at}`);
    if (one) found.push({ at, one });
  }
  return found.length === last - first + 1 ? { level, found } : null;
}

/** The wanted level, or the deepest above it that is there; one tile of the whole recording always comes first.
 * @param {string} log @param {{ from: number, to: number }} view @param {number} wanted */
function held(log, view, wanted) {
  const there = inSight(log, view, wanted, true);
  if (there) return there;
  for (let level = wanted - 1; level > 9; level -= 1) {
    const coarser = inSight(log, view, level, false);
    if (coarser) return coarser;
  }
  return inSight(log, view, Math.min(wanted, 9), true);
}

/** @param {Element} figure */
function draw(figure) {
  const canvas = figure.querySelector("canvas");
  const drawn = /** @type {HTMLElement | null} */ (figure.querySelector(".draw"));
  const pen = canvas?.getContext("2d");
  if (!canvas || !drawn || !pen) return;
  const svg = drawingOf(drawn);
  const box = svg?.getBoundingClientRect();
  if (!box || box.width === 0) return;
  const { log, view } = of(figure);
  const dots = window.devicePixelRatio || 1;
  const [wide, high] = [Math.round(box.width * dots), Math.round(box.height * dots)];
  if (canvas.width !== wide || canvas.height !== high) {
    canvas.width = wide;
    canvas.height = high;
    canvas.style.width = `${box.width}px`;
    canvas.style.height = `${box.height}px`;
  }
  const plot = plotOf(svg);
  const [lowest, highest] = (svg.dataset.ends ?? "1 0").split(" ").map((place) => Number(place) * plot.scale);
  pen.setTransform(dots, 0, 0, dots, 0, 0);
  pen.clearRect(0, 0, box.width, box.height);
  // While the axes of another view stand, they move along.
  const width = plot.right - plot.left;
  const share = view.to - view.from;
  const [from, to] = [Number(drawn.dataset.from), Number(drawn.dataset.to)];
  const isPanned = Math.abs(to - from - share) < share * 1e-6;
  drawn.style.transform = isPanned && from !== view.from ? `translateX(${((from - view.from) / share) * width}px)` : "";
  const fine = Math.ceil(Math.log2((width * dots) / share));
  const wanted = Math.min(Math.max(0, fine), Number(drawn.dataset.deepest ?? 0));
  const there = held(log, view, wanted);
  if (!there) return;
  const cell = width / share / 2 ** there.level;
  const left = plot.left - view.from * (width / share);
  const rise = (highest - lowest) / TOP;
  pen.save();
  pen.beginPath();
  pen.rect(plot.left, plot.top - 2, width, plot.bottom - plot.top + 4);
  pen.clip();
  pen.beginPath();
  let goesOn = false;
  for (const { at, one } of there.found) {
    const first = Math.max(0, Math.floor((plot.left - left) / cell) - at * CELLS - 1);
    const end = Math.min(one.length / 2, Math.ceil((plot.right - left) / cell) - at * CELLS + 1);
    for (let i = first; i < end; i += 1) {
      const low = one[2 * i];
      const high = one[2 * i + 1];
      if (low > high) continue;
      const x = left + (at * CELLS + i + 0.5) * cell;
      const [below, above] = [lowest + low * rise, lowest + high * rise];
      if (goesOn) pen.lineTo(x, above);
      else pen.moveTo(x, above);
      pen.lineTo(x, below);
      goesOn = true;
    }
  }
  pen.lineWidth = 1;
  pen.lineJoin = "round";
  pen.strokeStyle = getComputedStyle(canvas).color;
  pen.stroke();
  pen.restore();
}

let soon = 0;

function drawAllSoon() {
  if (soon) return;
  soon = requestAnimationFrame(() => {
    soon = 0;
    for (const figure of document.querySelectorAll("figure.ribbon")) if (isSeen(figure)) draw(figure);
  });
}

/** @param {Element} figure */
function isSeen(figure) {
  const box = figure.getBoundingClientRect();
  return box.bottom > 0 && box.top < window.innerHeight;
}

/** Has the axes of a view drawn by the server. @param {Element} figure @param {Record<string, string>} [more] */
function axes(figure, more = {}) {
  const { test, log, view, asker } = of(figure);
  const query = new URLSearchParams({ test, log, from: String(view.from), to: String(view.to), ...more });
  asker.ask(`/drops/ribbon?${query}`, (text) => {
    const template = document.createElement("template");
    template.innerHTML = text;
    const fresh = /** @type {HTMLElement | null} */ (template.content.querySelector(".draw"));
    const now = [...document.querySelectorAll("figure.ribbon")].find((one) => of(one).view === view);
    const old = now?.querySelector(".draw");
    if (!fresh || !old || !now) return;
    const current = [...old.querySelectorAll(".now")].map((one) => one.getAttribute("data-drop"))[0];
    old.replaceWith(fresh);
    for (const one of fresh.querySelectorAll("[data-drop]")) {
      one.classList.toggle("now", one.getAttribute("data-drop") === current);
    }
    // Where the server chose what is seen, or cut it, this is the view now.
    if (Object.keys(more).length > 0) {
      view.from = Number(fresh.dataset.from);
      view.to = Number(fresh.dataset.to);
    }
    drawAllSoon();
  });
}

/** Shows a recording about a drop. @param {Element} figure @param {string} drop */
export function lookAbout(figure, drop) {
  for (const one of figure.querySelectorAll("[data-drop]")) {
    one.classList.toggle("now", one.getAttribute("data-drop") === drop);
  }
  if (figure.querySelector(`[data-drop="${CSS.escape(drop)}"]`) || of(figure).view.to - of(figure).view.from < 1) {
    axes(figure, { drop });
  }
}

/** Moves a view by a share of its own width, within the recording. @param {Element} figure @param {number} by */
export function pan(figure, by) {
  const { view } = of(figure);
  const share = view.to - view.from;
  const from = Math.min(Math.max(view.from + by * share, 0), 1 - share);
  view.from = from;
  view.to = from + share;
  drawAllSoon();
  axes(figure);
}

/** @type {{ figure: Element, x: number } | null} */
let grabbed = null;

export function startRibbons() {
  document.addEventListener("pointerdown", (event) => {
    const stage = event.target instanceof Element ? event.target.closest("figure.ribbon .stage") : null;
    const figure = stage?.closest("figure");
    if (figure && event.button === 0 && event.pointerType !== "touch") grabbed = { figure, x: event.clientX };
  });
  document.addEventListener("pointermove", (event) => {
    if (!grabbed) return;
    const drawn = grabbed.figure.querySelector(".draw");
    if (!drawn) return;
    const plot = plotOf(drawingOf(drawn));
    const by = (grabbed.x - event.clientX) / (plot.right - plot.left);
    grabbed.x = event.clientX;
    pan(grabbed.figure, by);
  });
  document.addEventListener("pointerup", () => { grabbed = null; });
  document.addEventListener("pointercancel", () => { grabbed = null; });
  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("figure.ribbon [data-look]") : null;
    const figure = button?.closest("figure");
    if (!button || !figure) return;
    const look = button.getAttribute("data-look") ?? "whole";
    if (look === "left") pan(figure, -0.5);
    else if (look === "right") pan(figure, 0.5);
    else if (look === "whole") {
      const { view } = of(figure);
      view.from = 0;
      view.to = 1;
      drawAllSoon();
      axes(figure);
    } else axes(figure, { look, share: "0.5" });
  });
  document.addEventListener("wheel", (event) => {
    const stage = event.target instanceof Element ? event.target.closest("figure.ribbon .stage") : null;
    const figure = stage?.closest("figure");
    const drawn = figure?.querySelector(".draw");
    if (!figure || !drawn || !(event.ctrlKey || event.metaKey)) return;
    event.preventDefault();
    const svg = drawingOf(drawn);
    const plot = plotOf(svg);
    const share = (event.clientX - svg.getBoundingClientRect().left - plot.left) / (plot.right - plot.left);
    axes(figure, { look: event.deltaY < 0 ? "in" : "out", share: String(Math.min(Math.max(share, 0), 1)) });
  }, { passive: false });
  // What stands above may move one into sight.
  const sight = new IntersectionObserver(drawAllSoon);
  /** @param {Iterable<Element>} within */
  const again = (within) => {
    for (const one of within) {
      for (const figure of one.querySelectorAll("figure.ribbon")) {
        sight.observe(figure);
        const { view } = of(figure);
        const drawn = /** @type {HTMLElement | null} */ (figure.querySelector(".draw"));
        if (drawn && (Number(drawn.dataset.from) !== view.from || Number(drawn.dataset.to) !== view.to)) axes(figure);
      }
    }
    drawAllSoon();
  };
  document.addEventListener("swapped", (event) => again(/** @type {CustomEvent<Element[]>} */ (event).detail));
  window.addEventListener("resize", drawAllSoon);
  window.addEventListener("scroll", drawAllSoon, { passive: true });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAllSoon);
  again([document.body]);
}
