// Mouse, touch, pen and keys on the sheet, turned into acts: zoom, pan, point, move, measure.

const CLICK_DOTS = 5;
const KEY_DOTS = 16;

export class Input {
  constructor(node, view, act) {
    this.node = node;
    this.view = view;
    this.act = act;
    this.pointers = new Map();
    this.drag = null;
    this.pinch = 0;
    node.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    node.addEventListener("pointerdown", (event) => this.down(event));
    node.addEventListener("pointermove", (event) => this.move(event));
    node.addEventListener("pointerup", (event) => this.up(event));
    node.addEventListener("pointercancel", (event) => this.up(event));
    node.addEventListener("pointerleave", () => this.act.near(null));
    node.addEventListener("keydown", (event) => this.key(event));
    node.addEventListener("focus", () => this.act.cross(this.cross));
    node.addEventListener("blur", () => this.act.cross(null));
    this.cross = null;
  }

  place(event) {
    const box = this.node.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  wheel(event) {
    event.preventDefault();
    const by = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
    this.view.zoomAt(this.place(event), Math.exp(-by * (event.ctrlKey ? 0.01 : 0.0016)));
    this.act.near(this.place(event));
  }

  down(event) {
    if (event.button > 1) return;
    const p = this.place(event);
    this.node.setPointerCapture(event.pointerId);
    this.pointers.set(event.pointerId, p);
    if (this.pointers.size === 2) {
      this.drag = null;
      this.pinch = this.spread();
      return;
    }
    const kind = event.button === 1 ? "pan" : this.act.grabbed(p);
    this.drag = { kind, from: p, last: p, moved: false };
  }

  move(event) {
    const p = this.place(event);
    if (!this.pointers.has(event.pointerId)) {
      this.act.near(p);
      return;
    }
    const before = this.pointers.get(event.pointerId);
    this.pointers.set(event.pointerId, p);
    if (this.pointers.size === 2) this.pinched(before, p);
    else if (this.drag) this.dragged(p);
  }

  dragged(p) {
    const { drag } = this;
    if (!drag.moved && Math.hypot(p.x - drag.from.x, p.y - drag.from.y) < CLICK_DOTS) return;
    drag.moved = true;
    if (drag.kind === "pan") this.view.pan(p.x - drag.last.x, p.y - drag.last.y);
    else this.act.dragged(drag.kind, drag.from, p);
    drag.last = p;
    this.act.near(p);
  }

  pinched(before, p) {
    const [a, b] = [...this.pointers.values()];
    const spread = this.spread();
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    this.view.pan((p.x - before.x) / 2, (p.y - before.y) / 2);
    if (this.pinch > 0) this.view.zoomAt(middle, spread / this.pinch);
    this.pinch = spread;
  }

  spread() {
    const [a, b] = [...this.pointers.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    const { drag } = this;
    this.drag = null;
    if (!drag) return;
    if (drag.moved && drag.kind !== "pan") this.act.dropped(drag.kind, drag.from, drag.last);
    if (!drag.moved && event.type === "pointerup") this.act.pointed(drag.from);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey) return;
    this.cross ??= { x: this.view.width / 2, y: this.view.height / 2 };
    const by = event.shiftKey ? 1 : KEY_DOTS;
    const arrows = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] };
    const acts = {
      "+": () => this.view.zoomAt(this.cross, 1.25),
      "=": () => this.view.zoomAt(this.cross, 1.25),
      "-": () => this.view.zoomAt(this.cross, 0.8),
      0: () => this.act.whole(),
      1: () => this.act.life(),
      r: () => this.act.rule(),
      R: () => this.act.rule(),
      Enter: () => this.act.pointed(this.cross),
      Escape: () => this.act.letGo(),
    };
    if (arrows[event.key]) this.step(...arrows[event.key]);
    else if (acts[event.key]) acts[event.key]();
    else return;
    event.preventDefault();
    this.act.cross(this.cross);
    this.act.near(this.cross);
  }

  // The cross stays on the sheet; at its edge the sheet moves under it.
  step(dx, dy) {
    const edge = 24;
    const x = Math.min(this.view.width - edge, Math.max(edge, this.cross.x + dx));
    const y = Math.min(this.view.height - edge, Math.max(edge, this.cross.y + dy));
    this.view.pan(x - this.cross.x - dx, y - this.cross.y - dy);
    this.cross = { x, y };
  }
}
