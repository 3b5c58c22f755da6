// A panel step by step, as it is painted: coat by coat, then what is laid over the colours.

import * as connection from "./connection.js";
import { at } from "./dom.js";

export class Coats {
  // ``page`` gives the sheet, the panel in question, a panel's title, and shows a panel.
  constructor(page) {
    this.page = page;
    this.now = null; // {panel, steps}
  }

  wire() {
    at("coats").addEventListener("toggle", () => (at("coats").open ? this.open() : this.close()));
    at("step").addEventListener("input", () => this.show());
    at("step-back").addEventListener("click", () => this.go(-1));
    at("step-on").addEventListener("click", () => this.go(1));
  }

  async open() {
    const panel = this.page.panel();
    if (!panel) return;
    try {
      const steps = await connection.steps(panel);
      if (!at("coats").open) return;
      this.now = { panel, steps };
    } catch (error) {
      this.page.refused(error);
      return;
    }
    await this.page.show(panel);
    if (!this.now) return; // closed again meanwhile
    at("step").max = String(this.now.steps.length);
    at("step").value = String(this.now.steps.length);
    this.show();
  }

  show() {
    if (!this.now) return;
    const { panel, steps } = this.now;
    const n = Number(at("step").value);
    const words = n ? `${n} of ${steps.length}: ${steps[n - 1].words}` : "bare metal";
    at("step-words").textContent = `${this.page.title(panel)}. ${words}`;
    at("step").setAttribute("aria-valuetext", words);
    this.page.sheet.setStep({ ...this.now, at: n });
  }

  go(n) {
    at("step").value = String(Number(at("step").value) + n);
    this.show();
  }

  close() {
    this.now = null;
    this.page.sheet.setStep(null);
  }
}
