// The rule: from place to place on the sheet, in millimetres, in feet and inches, with its angle.

import { at } from "./dom.js";
import { feetAndInches, millimetres } from "./lengths.js";

export class Rule {
  // ``page`` gives the sheet, the scale's ratio, and says what to do.
  constructor(page) {
    this.page = page;
    this.ends = null; // {a, b} while it is laid on
  }

  get isOn() {
    return this.ends !== null;
  }

  toggle() {
    this.ends = this.ends ? null : {};
    at("rule").setAttribute("aria-pressed", String(this.isOn));
    at("sheet").classList.toggle("ruling", this.isOn);
    this.draw();
    if (this.isOn) this.page.say("Drag from place to place, or press Enter at each.");
  }

  pointed(place) {
    this.ends = !this.ends.a || this.ends.b ? { a: place } : { a: this.ends.a, b: place };
    this.draw();
  }

  dragged(a, b) {
    this.ends = { a, b };
    this.draw();
  }

  letGo() {
    if (this.ends) this.ends = {};
    this.draw();
  }

  draw() {
    const { sheet } = this.page;
    if (!this.ends?.a) {
      sheet.setRule(null);
      return;
    }
    const { a } = this.ends;
    const end = this.ends.b ?? a;
    const [dx, dy] = [end.x - a.x, a.y - end.y];
    const length = Math.hypot(dx, dy);
    const ratio = this.page.ratio();
    const degrees = (Math.atan2(dy, dx) * 180) / Math.PI;
    const words = `${millimetres(length, 2)}${ratio ? ` · ${feetAndInches(length / ratio, 32)}` : ""} · ${degrees.toFixed(1)}°`;
    sheet.setRule(a, end, words);
    at("where").textContent = `${words} · ${millimetres(Math.abs(dx), 2)} across, ${millimetres(Math.abs(dy), 2)} up`;
  }
}
