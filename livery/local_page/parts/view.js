// The map between millimetres of the sheet and dots of the screen.

const LARGEST = 400; // dots to a millimetre: a tenth of one is 40 dots wide
const CARD_MM = 85.6; // the width of a bank card, ISO/IEC 7810 ID-1
const TOP = 34;
const FOOT = 76;
const CSS_DOTS = 96 / 25.4;

export class View {
  constructor(largest = LARGEST) {
    this.largest = largest;
    this.scale = 1;
    this.x = 0;
    this.y = 0;
    this.smallest = 0.01;
    this.width = 1;
    this.height = 1;
    this.changed = () => {};
  }

  toScreen(p) {
    return { x: (p.x - this.x) * this.scale, y: (p.y - this.y) * this.scale };
  }

  toSheet(p) {
    return { x: p.x / this.scale + this.x, y: p.y / this.scale + this.y };
  }

  pan(dx, dy) {
    this.x -= dx / this.scale;
    this.y -= dy / this.scale;
    this.changed();
  }

  zoomAt(p, times) {
    const place = this.toSheet(p);
    this.scale = Math.min(this.largest, Math.max(this.smallest, this.scale * times));
    this.x = place.x - p.x / this.scale;
    this.y = place.y - p.y / this.scale;
    this.changed();
  }

  setScale(scale) {
    this.zoomAt({ x: this.width / 2, y: this.height / 2 }, scale / this.scale);
  }

  // Returns the scale at which all of a box is seen.
  fit(box, margin = 0.06) {
    return Math.min((this.width * (1 - 2 * margin)) / box.width, (this.high * (1 - margin)) / box.height);
  }

  // How many dots high what is shown may be: above it is a title, below it what stays clear of the foot.
  get high() {
    return Math.max(40, this.height - TOP - FOOT);
  }

  show(box, margin = 0.06, most = this.largest) {
    this.scale = Math.min(this.largest, most, this.fit(box, margin));
    this.x = box.x + box.width / 2 - this.width / 2 / this.scale;
    this.y = box.y + box.height / 2 - (TOP + this.high / 2) / this.scale;
    this.changed();
  }
}

export function dotsPerMillimetre() {
  const card = Number(localStorage.getItem("livery card width"));
  return card > 0 ? card / CARD_MM : CSS_DOTS;
}

export function isScreenMeasured() {
  return Number(localStorage.getItem("livery card width")) > 0;
}

export function setCardWidth(dots) {
  localStorage.setItem("livery card width", String(dots));
}

export const cardWidth = () => Math.round(dotsPerMillimetre() * CARD_MM);
