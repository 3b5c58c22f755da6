// A vehicle turned about as a solid, in the place of the flat drawing.

import * as connection from "./connection.js";
import { at } from "./dom.js";
import { SolidView } from "./solid.js";

const METAL = "#b4b8ba";

export class Turning {
  // ``page`` gives the sheet, the vehicle shown, a paint by name, and hears when it is flat again.
  constructor(page) {
    this.page = page;
    this.solid = null;
  }

  get isOn() {
    return !at("solid").hidden;
  }

  wire() {
    at("turn").addEventListener("click", () => this.turn());
  }

  whole() {
    this.solid.whole();
  }

  zoom(times) {
    this.solid.zoom(times);
  }

  paint() {
    if (this.isOn) this.solid.paint((fill) => this.colour(fill));
  }

  colour(fill) {
    if (fill === "metal") return METAL;
    const shown = this.page.sheet.shown(this.page.paint(fill.slice("paint:".length)));
    return shown === "none" ? METAL : shown;
  }

  // The flat drawing's scale and its marks say nothing of the solid.
  show(on) {
    at("solid").hidden = !on;
    at("turn").setAttribute("aria-pressed", String(on));
    for (const id of ["sheet", "pins", "bar"]) at(id).toggleAttribute("hidden", on);
    for (const id of ["life", "rule"]) at(id).disabled = on;
  }

  async turn() {
    if (this.isOn) {
      this.flat();
      return;
    }
    try {
      const data = await connection.solid(this.page.vehicle());
      this.show(true);
      this.solid ??= new SolidView(at("solid"), () => {
        this.flat();
        at("turn").focus();
      });
      if (!this.solid.gl) throw new connection.Refused("no solid", [{ message: "This browser cannot draw solids (it has no WebGL)." }]);
      this.solid.take(data);
      this.paint();
      at("solid").focus();
      at("near").textContent = this.page.isTried() ? "The solid from the saved files, without the values tried here." : "Drag, or press the arrow keys, to turn it.";
    } catch (error) {
      this.flat();
      this.page.refused(error);
    }
  }

  flat() {
    this.show(false);
    at("turn").hidden = !this.page.vehicle();
    this.page.flat();
  }
}
