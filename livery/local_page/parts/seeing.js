// The way colours are seen: under a lamp, by eyes without one kind of cone, on an old plate.

import * as connection from "./connection.js";

const PLAIN = { lamp: "D65", eyes: "", plate: "" };

export class Seeing {
  constructor() {
    this.way = { ...PLAIN };
    this.known = new Map(); // "way lab" -> hex
    this.left = new Set(); // keys of colours that no paint can have: shown as in daylight
  }

  get isPlain() {
    return Object.keys(PLAIN).every((name) => this.way[name] === PLAIN[name]);
  }

  key(paint) {
    return `${Object.values(this.way).join(" ")} ${paint.lab}`;
  }

  // Asks for the colours of paints that are not known in this way yet.
  async prepare(paints) {
    if (this.isPlain) return;
    const unknown = Object.values(paints).filter((paint) => !this.known.has(this.key(paint)));
    if (!unknown.length) return;
    const way = { ...this.way };
    const keys = unknown.map((paint) => this.key(paint));
    const { hexes, left } = await connection.seen(unknown.map((paint) => paint.lab), way);
    keys.forEach((key, i) => this.known.set(key, hexes[i]));
    for (const i of left) this.left.add(keys[i]);
  }

  hex(paint) {
    return this.isPlain ? paint.hex : (this.known.get(this.key(paint)) ?? paint.hex);
  }

  // The paints that are shown as in daylight whatever the way.
  leftOut(paints) {
    return this.isPlain ? [] : Object.keys(paints).filter((name) => this.left.has(this.key(paints[name])));
  }
}
