// Where the pointer is, in millimetres of the model and feet and inches of the prototype; how near it all is.

import { at } from "./dom.js";
import { carried, feetAndInches, millimetres } from "./lengths.js";
import { drawBar } from "./scalebar.js";
import { dotsPerMillimetre, isScreenMeasured } from "./view.js";

const FINE_FROM = 40; // dots to a millimetre: from here on hundredths are shown

export class Whereabouts {
  // ``page`` has the job, the sheet and the view.
  constructor(page) {
    this.page = page;
  }

  showNear() {
    const { view, job } = this.page;
    const share = view.scale / dotsPerMillimetre();
    const times = share >= 10 ? `${share.toFixed(0)} times` : `${(share * 100).toPrecision(3)} % of`;
    const measured = isScreenMeasured() ? "" : " (screen not measured)";
    at("near").textContent = `Everything at one scale: ${times} life size${measured}`;
    drawBar(at("bar"), view.scale, job?.scale?.ratio, Math.max(120, Math.min(view.width - 90, view.width * 0.5)));
  }

  // Says where a place on the screen is.
  near(p) {
    const { job, view } = this.page;
    at("where").textContent = p && job ? this.words(view.toSheet(p)) : "";
  }

  words(p) {
    const { job, sheet, view } = this.page;
    const place = sheet.figureAt(p);
    if (!place?.content) return "";
    const c = place.content;
    const [x, y] = [p.x - place.x + c.left, c.top - (p.y - place.y)];
    const ratio = job.scale?.ratio;
    const name = c.panel ?? c.vehicle ?? c.kind;
    const decimals = view.scale > FINE_FROM ? 2 : 1;
    const model = `${millimetres(x, decimals)} across, ${millimetres(y, decimals)} up`;
    if (!ratio) return `${name}: ${model}`;
    const [u, v] = c.drawn ? [carried(c.drawn.x, x), carried(c.drawn.y, y)] : [x, y];
    const by = c.drawn ? "by the drawing" : "at scale";
    return `${name}: ${model} · ${feetAndInches(u / ratio)}, ${feetAndInches(v / ratio)} ${by}`;
  }
}
