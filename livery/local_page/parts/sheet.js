// The sheet: figures laid out at one scale, drawn, marked, and pointed at.

import { become, draw, el } from "./dom.js";

const SHOWN_FOR_MS = 1600;
const PIN_DOTS = 32;
const TITLE_DOTS = 30;

// Returns where each figure stands, in rows as long as let all of them be seen at the largest scale.
// Between the rows is room for a title at that scale.
function arranged(heads, view) {
  const most = Math.max(...heads.map((h) => h.width), 1);
  const gap = Math.max(12, most * 0.05);
  const tried = [1, 1.5, 2.1, 2.6, 3.2, 4.3, 5.4, 6.5, 8.6, 10.8].map((times) => {
    let found = rows(heads, times * most, gap, gap * 1.6);
    for (let i = 0; i < 3; i += 1) {
      found = rows(heads, times * most, gap, Math.max(gap * 1.6, TITLE_DOTS / view.fit(found)));
    }
    return found;
  });
  return tried.reduce((best, one) => (view.fit(one) > 1.02 * view.fit(best) ? one : best)).places;
}

function rows(heads, longest, gap, down) {
  // What is seen beside another stays in one row with it.
  const isTwin = (i) => heads[i]?.name === `beside ${heads[i - 1]?.name}`;
  const wide = (i) => heads[i].width + (isTwin(i + 1) ? gap + heads[i + 1].width : 0);
  let [x, y, high, width] = [0, 0, 0, 1];
  const places = heads.map((head, i) => {
    if (x > 0 && !isTwin(i) && x + wide(i) > longest) {
      [x, y, high] = [0, y + high + down, 0];
    }
    const place = { x, y };
    width = Math.max(width, x + head.width);
    x += head.width + gap;
    high = Math.max(high, head.height);
    return place;
  });
  return { places, width, height: Math.max(1, y + high) };
}

export class Sheet {
  constructor(node, pins, view, seeing) {
    this.node = node;
    this.pins = pins;
    this.view = view;
    this.layer = draw("g", { class: "figures" });
    this.words = draw("g", { class: "titles", "aria-hidden": "true" });
    this.ruled = draw("g", { class: "ruled", "aria-hidden": "true" });
    this.cross = draw("path", { class: "cross", d: "M-14 0H-4M4 0H14M0 -14V-4M0 4V14" });
    node.append(this.layer, this.words, this.ruled, this.cross);
    this.placed = new Map(); // name -> {head, x, y, node, drawn, content, title}
    this.paints = {};
    this.seeing = seeing;
    this.selected = null;
    this.step = null; // {panel, steps, at}
    this.pinned = [];
  }

  // -- laying out

  lay(heads) {
    const before = this.placed;
    this.placed = new Map();
    const places = arranged(heads, this.view);
    for (const [i, head] of heads.entries()) {
      const place = before.get(head.name) ?? this.begun(head);
      place.head = head;
      Object.assign(place, places[i]);
      place.node.setAttribute("transform", `translate(${place.x} ${place.y})`);
      place.title.textContent = head.title;
      this.placed.set(head.name, place);
    }
    for (const [name, place] of before) {
      if (this.placed.has(name)) continue;
      place.node.remove();
      place.title.remove();
    }
    this.moved();
  }

  begun(head) {
    const drawn = draw("g");
    const node = draw("g", { class: "figure" }, drawn);
    node.dataset.name = head.name;
    const title = draw("text", { class: "title" });
    this.layer.append(node);
    this.words.append(title);
    return { head, node, drawn, title, x: 0, y: 0, content: null };
  }

  get extent() {
    const places = [...this.placed.values()];
    if (!places.length) return { x: 0, y: 0, width: 100, height: 100 };
    const right = Math.max(...places.map((p) => p.x + p.head.width));
    const bottom = Math.max(...places.map((p) => p.y + p.head.height));
    return { x: 0, y: 0, width: right, height: bottom };
  }

  boxOf(name) {
    const place = this.placed.get(name);
    return place && { x: place.x, y: place.y, width: place.head.width, height: place.head.height };
  }

  // -- drawing

  setPaints(paints) {
    this.paints = paints;
    for (const node of this.layer.querySelectorAll("[data-paint]")) this.colour(node);
  }

  colour(node) {
    node.setAttribute("fill", this.shown(this.paints[node.dataset.paint]));
  }

  shown(paint) {
    if (!paint || paint.clear) return "none";
    return this.seeing.hex(paint);
  }

  repaint() {
    this.setPaints(this.paints);
  }

  // Draws a figure in place of what stood there; what differs is shown for a moment.
  // With ``paints`` of its own it is another livery's: seen beside, and not pointed at.
  put(name, content, figures, paints = null) {
    const place = this.placed.get(name);
    if (!place) return;
    const before = paints ? null : place.content;
    place.content = content;
    become(place.drawn, this.drawn(content, figures));
    if (paints) {
      this.settle(place.drawn, paints);
      return;
    }
    if (before && before.kind === "panel") this.flash(place, before, content);
    if (this.step && this.step.panel === content.panel) this.showStep();
    this.showSelected();
  }

  drawn(content, figures) {
    if (content.kind === "panel") return this.panel(content);
    if (content.kind === "train") {
      return content.parts.map((part) =>
        draw(
          "g",
          { class: "part", transform: `translate(${part.x} ${part.y})` },
          ...this.marks(figures.get(part.digest)),
        ),
      );
    }
    return this.marks(content);
  }

  panel(content) {
    const metal = draw("path", { class: "metal", d: content.outline });
    const pieces = draw("g", { class: "pieces" });
    content.pieces.forEach((piece, i) => pieces.append(this.piece(piece.d, piece, content.panel, i)));
    const keepOuts = draw("g", { class: "keep-outs" });
    for (const k of content.keepOuts) {
      keepOuts.append(draw("path", { class: k.opening ? "opening" : "fitting", d: k.d }));
    }
    const edge = draw("path", { class: "edge", d: content.outline });
    const lines = draw("g", { class: "datums" });
    for (const m of content.stations) {
      const x = m.at - content.left;
      lines.append(draw("path", { d: `M${x} ${-4}V${content.height + 4}` }), this.mark(m.name, x + 1, 5));
    }
    for (const m of content.heights) {
      const y = content.top - m.at;
      lines.append(draw("path", { d: `M${-4} ${y}H${content.width + 4}` }), this.mark(m.name, 1, y - 1));
    }
    const guides = draw("g", { class: "guides" });
    for (const g of content.guides) {
      guides.append(draw("path", { d: g.d, class: g.firm ? "" : "bend" }));
    }
    return [metal, pieces, keepOuts, edge, lines, guides];
  }

  mark(text, x, y) {
    const node = draw("text", { x, y });
    node.textContent = text;
    return node;
  }

  piece(d, piece, panel, i) {
    const node = draw("path", { class: "piece", d });
    node.dataset.paint = piece.paint;
    node.dataset.panel = panel;
    node.dataset.piece = i;
    this.colour(node);
    return node;
  }

  marks(content) {
    return content.marks.map((mark) => {
      const kind = mark.layer.replaceAll(" ", "-");
      const node = draw("path", { class: `mark ${kind}`, d: mark.d });
      const fill = mark.fill ?? "none";
      if (fill.startsWith("paint:")) {
        node.dataset.paint = fill.slice(6);
        this.colour(node);
      } else if (fill === "metal" || fill === "opening") node.classList.add(fill);
      else node.setAttribute("fill", fill);
      if (mark.stroke) node.classList.add("lined");
      if (mark.panel !== undefined) {
        node.dataset.panel = mark.panel;
        node.dataset.piece = mark.piece;
        node.classList.add("piece");
      }
      return node;
    });
  }

  flash(place, before, after) {
    const old = new Map(before.pieces.map((p) => [`${p.key} ${p.name} ${p.paint}`, p.d]));
    const changed = after.pieces.filter((p) => old.get(`${p.key} ${p.name} ${p.paint}`) !== p.d);
    if (!changed.length) return;
    const layer = draw("g", { class: "changed" });
    for (const piece of changed) layer.append(draw("path", { d: piece.d }));
    place.node.append(layer);
    setTimeout(() => layer.remove(), SHOWN_FOR_MS);
  }

  // -- coat by coat

  setStep(step) {
    const before = this.step?.panel;
    this.step = step;
    if (before && before !== step?.panel) this.restore(before);
    if (step) this.showStep();
  }

  restore(panel) {
    const place = this.placed.get(`panel ${panel}`);
    if (place?.content) become(place.drawn, this.panel(place.content));
  }

  showStep() {
    const { panel, steps, at } = this.step;
    const place = this.placed.get(`panel ${panel}`);
    if (!place?.content) return;
    const group = place.node.querySelector(".pieces");
    const nodes = [];
    for (const step of steps.slice(0, at)) {
      if (step.d && !step.clear) {
        const node = draw("path", { d: step.d });
        node.dataset.paint = step.paint;
        this.colour(node);
        nodes.push(node);
      }
      for (const i of step.pieces ?? []) {
        const piece = place.content.pieces[i];
        if (piece) nodes.push(this.piece(piece.d, piece, panel, i));
      }
    }
    group.replaceChildren(...nodes);
  }

  // -- pointing

  under(x, y) {
    const box = this.node.getBoundingClientRect();
    const hit = document.elementsFromPoint(x + box.left, y + box.top);
    const node = hit.find((n) => n.dataset?.piece !== undefined && this.layer.contains(n));
    return node ? { panel: node.dataset.panel, piece: Number(node.dataset.piece) } : null;
  }

  figureAt(p) {
    for (const place of this.placed.values()) {
      const { x, y, head } = place;
      if (p.x >= x && p.y >= y && p.x <= x + head.width && p.y <= y + head.height) return place;
    }
    return null;
  }

  select(panel, piece) {
    this.selected = panel === null ? null : { panel, piece };
    this.showSelected();
  }

  showSelected() {
    for (const node of this.layer.querySelectorAll(".selected")) node.remove();
    if (!this.selected) return;
    const { panel, piece } = this.selected;
    for (const node of this.layer.querySelectorAll("path.piece")) {
      if (node.dataset.panel !== panel || Number(node.dataset.piece) !== piece) continue;
      const d = node.getAttribute("d");
      const around = draw("g", { class: "selected" }, draw("path", { d }), draw("path", { d }));
      node.closest(".part, .figure")?.append(around);
    }
  }

  // -- what keeps its size on the screen

  moved() {
    const { view } = this;
    const { scale, x, y } = view;
    this.layer.setAttribute("transform", `scale(${scale}) translate(${-x} ${-y})`);
    this.node.style.setProperty("--dot", String(1 / scale));
    for (const place of this.placed.values()) {
      const at = view.toScreen(place);
      const wide = place.head.width * scale;
      const off = at.x + wide < 0 || at.x > view.width;
      const left = Math.max(at.x, Math.min(12, at.x + wide - 60));
      place.title.setAttribute("x", String(left));
      place.title.textContent = shortened(place.head.title, at.x + wide - left);
      place.title.setAttribute("y", String(at.y - 9));
      place.title.classList.toggle("off", off || at.x + wide - left < 48);
    }
    this.putPins();
  }

  setPins(list) {
    this.pinned = list.filter((pin) => this.placed.has(pin.figure));
    this.pins.replaceChildren(...this.pinned.map((pin) => pin.node));
    this.putPins();
  }

  // Each pin at its place, or beside those that are there already.
  putPins() {
    const taken = [];
    for (const pin of this.pinned) {
      const place = this.placed.get(pin.figure);
      const at = place && this.view.toScreen({ x: place.x + pin.x, y: place.y + pin.y });
      pin.node.hidden = !at || at.x < 0 || at.y < 0 || at.x > this.view.width || at.y > this.view.height;
      if (pin.node.hidden) continue;
      // What zooming in would part is counted on the first; what never parts stands beside it.
      const near = (o) => Math.hypot(o.x - at.x, o.y - at.y) < PIN_DOTS;
      const first = taken.find((o) => near(o) && !isSame(o.pin, pin));
      if (first) {
        first.more += 1;
        pin.node.hidden = true;
        continue;
      }
      while (taken.some(near)) at.x += PIN_DOTS;
      taken.push({ ...at, pin, more: 0 });
      pin.node.style.transform = `translate(${at.x}px, ${at.y}px)`;
    }
    for (const { pin, more } of taken) pin.node.dataset.more = more ? `+${more}` : "";
  }

  // Draws the edges of every part of film; where two meet, there is a join.
  setJoins(joins) {
    for (const node of this.layer.querySelectorAll(".joins")) node.remove();
    for (const place of this.placed.values()) {
      const parts = joins[place.content?.panel] ?? [];
      if (parts.length) place.node.append(draw("g", { class: "joins" }, ...parts.map((part) => draw("path", { d: part.d }))));
    }
  }

  // -- before and after: what is written lies over what is tried, up to a share of each panel

  setBefore(share, contents, paints) {
    for (const node of this.layer.querySelectorAll(".before")) node.remove();
    if (!share) return;
    for (const [name, place] of this.placed) {
      const content = contents.get(name);
      if (content?.kind !== "panel" || !place.content) continue;
      const width = content.width * share;
      const id = `before-${[...this.placed.keys()].indexOf(name)}`;
      const high = content.height;
      const clip = draw("clipPath", { id }, draw("rect", { x: -1, y: -1, width: width + 1, height: high + 2 }));
      const whole = draw("g", { "clip-path": `url(#${id})` }, ...this.panel(content));
      this.settle(whole, paints);
      const edge = draw("path", { class: "split", d: `M${width} -3V${high + 3}` });
      place.node.append(draw("g", { class: "before" }, clip, whole, edge));
    }
  }

  // Colours what another livery's paints colour, once: it no longer follows this one's.
  settle(within, paints) {
    for (const node of within.querySelectorAll("[data-paint], [data-piece]")) {
      if (node.dataset.paint !== undefined) node.setAttribute("fill", this.shown(paints[node.dataset.paint]));
      delete node.dataset.paint;
      delete node.dataset.piece;
      node.classList.remove("piece");
    }
  }

  setRule(a, b, words) {
    this.ruled.replaceChildren();
    if (!a) return;
    const [p, q] = [this.view.toScreen(a), this.view.toScreen(b)];
    const d = `M${p.x} ${p.y}L${q.x} ${q.y}`;
    const label = draw("text", { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 - 10, "text-anchor": "middle" });
    label.textContent = words;
    this.ruled.append(
      draw("path", { class: "under", d }),
      draw("path", { class: "over", d }),
      ...[p, q].map((end) => draw("circle", { cx: end.x, cy: end.y, r: 5 })),
      label,
    );
  }

  setCross(p) {
    this.cross.classList.toggle("off", !p);
    if (p) this.cross.setAttribute("transform", `translate(${p.x} ${p.y})`);
  }
}

const isSame = (a, b) => a.figure === b.figure && Math.hypot(a.x - b.x, a.y - b.y) < 0.05;

// As much of a title as there is room for: a letter of it takes about nine dots.
function shortened(title, dots) {
  const room = Math.floor(dots / 9);
  return title.length <= room + 1 ? title : `${title.slice(0, Math.max(1, room))}…`;
}

export function pinFor(finding, number, figure, x, y, act) {
  const node = el(
    "button",
    {
      type: "button",
      class: `pin ${finding.severity}`,
      "aria-label": `${finding.severity} ${number}: ${finding.message}`,
      title: finding.message,
      onclick: act,
    },
    String(number),
  );
  return { figure, x, y, node };
}
