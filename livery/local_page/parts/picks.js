// Points picked on a picture: each is placed, dragged and moved by arrows, and named for who listens.

import { draw, el } from "./dom.js";

const CLICK_DOTS = 4;

export class Picks {
  // ``act`` hears of a point that was moved, removed, or pointed at: the next may lie on it.
  // Marks are {id, kind, name, points, closed, box}.
  constructor(board, lines, view, act) {
    this.board = board;
    this.view = view;
    this.act = act;
    this.lines = draw("g", { class: "picked", "aria-hidden": "true" });
    lines.append(this.lines);
    this.marks = [];
    this.nodes = new Map(); // "mark point" -> button
  }

  show(marks) {
    this.marks = marks;
    const wanted = new Set();
    for (const mark of marks) {
      mark.points.forEach((point, i) => {
        const key = `${mark.id} ${i}`;
        wanted.add(key);
        const node = this.nodes.get(key) ?? this.button(key, mark, i);
        node.setAttribute("aria-label", `${mark.name}, point ${i + 1}: ${words(point)}`);
        node.className = `pick-point ${mark.kind}`;
      });
    }
    for (const [key, node] of this.nodes) {
      if (wanted.has(key)) continue;
      node.remove();
      this.nodes.delete(key);
    }
    this.moved();
  }

  button(key, mark, i) {
    const node = el("button", { type: "button", "data-pick": key });
    node.addEventListener("keydown", (event) => this.key(event, mark.id, i));
    node.addEventListener("pointerdown", (event) => this.grab(event, node, mark.id, i));
    this.board.append(node);
    this.nodes.set(key, node);
    return node;
  }

  mark(id) {
    return this.marks.find((mark) => mark.id === id);
  }

  grab(event, node, id, i) {
    if (event.button > 0) return;
    event.preventDefault();
    node.focus();
    node.setPointerCapture(event.pointerId);
    const start = { x: event.clientX, y: event.clientY };
    const point = { ...this.mark(id).points[i] };
    let dragged = false;
    const move = (e) => {
      const [dx, dy] = [e.clientX - start.x, e.clientY - start.y];
      dragged ||= Math.hypot(dx, dy) > CLICK_DOTS;
      if (dragged) this.put(id, i, { x: point.x + dx / this.view.scale, y: point.y + dy / this.view.scale });
    };
    const end = (e) => {
      if (!dragged && e.type === "pointerup") this.act.pointed(point);
      node.removeEventListener("pointermove", move);
      node.removeEventListener("pointerup", end);
      node.removeEventListener("pointercancel", end);
    };
    node.addEventListener("pointermove", move);
    node.addEventListener("pointerup", end);
    node.addEventListener("pointercancel", end);
  }

  key(event, id, i) {
    const by = event.shiftKey ? 0.1 : event.altKey ? 10 : 1;
    const arrows = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] };
    if (event.key === "Delete" || event.key === "Backspace") this.act.remove(id);
    else if (arrows[event.key]) {
      const { x, y } = this.mark(id).points[i];
      this.put(id, i, { x: x + arrows[event.key][0], y: y + arrows[event.key][1] });
    } else return;
    event.preventDefault();
  }

  put(id, i, point) {
    const mark = this.mark(id);
    if (!mark) return;
    const { width, height } = this.act.extent();
    mark.points[i] = { x: Math.min(width, Math.max(0, point.x)), y: Math.min(height, Math.max(0, point.y)) };
    mark.moved?.();
    this.act.changed(mark);
    this.show(this.marks);
  }

  focus(id, i) {
    this.nodes.get(`${id} ${i}`)?.focus();
  }

  moved() {
    const { view } = this;
    for (const mark of this.marks) {
      mark.points.forEach((point, i) => {
        const at = view.toScreen(point);
        const node = this.nodes.get(`${mark.id} ${i}`);
        node.hidden = at.x < 0 || at.y < 0 || at.x > view.width || at.y > view.height;
        node.style.transform = `translate(${at.x}px, ${at.y}px)`;
      });
    }
    this.lines.replaceChildren(...this.marks.flatMap((mark) => this.drawn(mark)));
  }

  drawn(mark) {
    const at = mark.points.map((point) => this.view.toScreen(point));
    const line = (places, closed) => `M${places.map((p) => `${p.x} ${p.y}`).join("L")}${closed ? "Z" : ""}`;
    const parts = [];
    if (mark.kind === "height" && at.length === 3) parts.push(line(at.slice(1)), line([at[0], foot(at)]));
    else if (mark.box && at.length === 2) parts.push(`M${at[0].x} ${at[0].y}H${at[1].x}V${at[1].y}H${at[0].x}Z`);
    else if (mark.kind === "angle" && at.length > 2) parts.push(line(at.slice(0, 2)), line(at.slice(2)));
    else if (at.length > 1) parts.push(line(at, mark.closed));
    return parts.flatMap((d) => [draw("path", { class: "under", d }), draw("path", { class: `over ${mark.kind}`, d })]);
  }
}

// Where the height of a point meets the line through two others.
function foot([p, a, b]) {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const share = ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy || 1);
  return { x: a.x + share * dx, y: a.y + share * dy };
}

export const written = ({ x, y }) => `${round(x)},${round(y)}`;
const round = (value) => String(Number(value.toFixed(2)));
const words = ({ x, y }) => `${round(x)} across, ${round(y)} down`;
