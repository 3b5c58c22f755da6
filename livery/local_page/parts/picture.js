// A drawing or a photograph of any size, shown in tiles: only those that are seen are asked for.

import * as connection from "./connection.js";
import { draw } from "./dom.js";

const MOST_TILES = 160;
const SHARP = 4; // from here on every pixel is seen as one

export class Picture {
  // ``layer`` is scaled with the picture: what is laid on it is in its pixels.
  constructor(node, view) {
    this.view = view;
    this.layer = draw("g", {});
    this.tiles = draw("g", { class: "tiles" });
    this.laid = draw("g", { class: "laid" });
    this.layer.append(this.tiles, this.laid);
    node.append(this.layer);
    this.shown = new Map(); // address -> node
    this.info = null;
    this.firstSeen = null;
  }

  async open(name, firstSeen) {
    this.firstSeen = firstSeen;
    this.info = null;
    this.tiles.replaceChildren();
    this.shown.clear();
    const info = await connection.picture(name);
    this.name = name;
    this.info = info;
    this.view.smallest = Math.min(0.01, 100 / Math.max(...info.size));
    return info;
  }

  // Says once that the first of a picture is seen: a very large one takes a while.
  seen(wrong = "") {
    const seen = this.firstSeen;
    this.firstSeen = null;
    seen?.(wrong);
  }

  get extent() {
    const [width, height] = this.info?.size ?? [100, 100];
    return { x: 0, y: 0, width, height };
  }

  moved() {
    const { view } = this;
    this.layer.setAttribute("transform", `scale(${view.scale}) translate(${-view.x} ${-view.y})`);
    this.tiles.classList.toggle("sharp", view.scale >= SHARP);
    if (!this.info) return;
    const dots = view.scale * (window.devicePixelRatio || 1);
    const level = Math.min(this.info.levels - 1, Math.max(0, Math.floor(Math.log2(1 / dots))));
    // What lies below stays until the finer tiles are there: nothing flickers.
    const wanted = [...this.inSight(this.info.levels - 1), ...this.inSight(level)];
    for (const tile of wanted) if (!this.shown.has(tile.key)) this.add(tile);
    this.forget(new Set(wanted.map((tile) => tile.key)));
  }

  *inSight(level) {
    const { view, info } = this;
    const side = info.tile * 2 ** level;
    const [from, to] = [view.toSheet({ x: 0, y: 0 }), view.toSheet({ x: view.width, y: view.height })];
    const span = (a, b, size) => [Math.max(0, Math.floor(a / side)), Math.min(Math.ceil(size / side), Math.ceil(b / side))];
    const [left, right] = span(from.x, to.x, info.size[0]);
    const [top, bottom] = span(from.y, to.y, info.size[1]);
    for (let row = top; row < bottom; row += 1) {
      for (let column = left; column < right; column += 1) yield { key: `${level} ${column} ${row}`, level, column, row, side };
    }
  }

  add({ key, level, column, row, side }) {
    const { size } = this.info;
    const [x, y] = [column * side, row * side];
    const node = draw("image", {
      href: connection.tileAddress(this.name, level, column, row),
      x, y,
      width: Math.min(side, size[0] - x),
      height: Math.min(side, size[1] - y),
      preserveAspectRatio: "none",
    });
    node.dataset.level = level;
    node.addEventListener("load", () => this.seen(), { once: true });
    node.addEventListener("error", () => this.seen("This picture cannot be read."), { once: true });
    const after = [...this.tiles.children].find((other) => Number(other.dataset.level) < level);
    this.tiles.insertBefore(node, after ?? null);
    this.shown.set(key, node);
  }

  forget(wanted) {
    for (const [key, node] of this.shown) {
      if (this.shown.size <= MOST_TILES) return;
      if (wanted.has(key)) continue;
      node.remove();
      this.shown.delete(key);
    }
  }
}
