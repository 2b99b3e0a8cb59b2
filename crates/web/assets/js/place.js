// @ts-check
// Places on the screen: where in a drawing a pointer is, as a share of its width.

/** The drawing that is shown of the two (wide and narrow). @param {Element} draw */
export function drawingOf(draw) {
  const drawings = [...draw.querySelectorAll("svg")];
  return drawings.find((one) => one.getClientRects().length > 0) ?? drawings[0];
}

/** Left, top, right and bottom of the plot within a drawing, px of the screen from the drawing's own corner. @param {SVGSVGElement} svg */
export function plotOf(svg) {
  const [left, top, right, bottom] = (svg.dataset.plot ?? "0 0 1 1").split(" ").map(Number);
  const scale = svg.getBoundingClientRect().width / (svg.viewBox.baseVal.width || 1);
  return { left: left * scale, top: top * scale, right: right * scale, bottom: bottom * scale, scale };
}

/** How far across the plot a pointer is, 0 to 1. @param {Element} draw @param {number} x @param {boolean} [cut] */
export function shareOf(draw, x, cut = true) {
  const svg = drawingOf(draw);
  const plot = plotOf(svg);
  const share = (x - svg.getBoundingClientRect().left - plot.left) / (plot.right - plot.left || 1);
  return cut ? Math.min(Math.max(share, 0), 1) : share;
}

/** How far a pointer went, as a share of the width of the plot. @param {Element} draw @param {number} from @param {number} to */
export function wayOf(draw, from, to) {
  return shareOf(draw, from, false) - shareOf(draw, to, false);
}

/** A sample's number kept within those it may have. @param {number} sample @param {number} first @param {number} last */
export function kept(sample, first, last) {
  return Math.min(Math.max(sample, first), last);
}

/** Scrolls so that an element is as far down the window as it was. @param {Element} element @param {number} top */
export function keepDown(element, top) {
  const moved = element.getBoundingClientRect().top - top;
  if (moved > 2 || moved < -2) window.scrollBy({ top: moved, behavior: "instant" });
}

/** Puts a hair where a pointer is. @param {HTMLElement} hair @param {Element} stage @param {number} x */
export function putHair(hair, stage, x) {
  hair.hidden = false;
  hair.style.left = `${x - stage.getBoundingClientRect().left}px`;
}

/** One request at a time; of those that wait only the latest. */
export class Asker {
  busy = false;
  /** @type {[string, (text: string) => void] | null} */
  waiting = null;

  /** @param {string} address @param {(text: string) => void} then */
  async ask(address, then) {
    if (this.busy) {
      this.waiting = [address, then];
      return;
    }
    this.busy = true;
    try {
      const response = await fetch(address);
      if (response.ok) then(await response.text());
    } catch {
      // The next one tries again.
    }
    this.busy = false;
    const next = this.waiting;
    this.waiting = null;
    if (next) this.ask(...next);
  }
}
