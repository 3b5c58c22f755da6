// A piece that is pointed at is dragged: its place changes, or its inset; all else pans, or lays the rule on.

export class Dragging {
  // ``page`` has the sheet, the view, the rule, what is tried and what is pointed at.
  constructor(page) {
    this.page = page;
    this.drag = null; // {gesture, start}
  }

  // What dragging the piece would change: its place, or its inset.
  movers() {
    const { current } = this.page.pointing;
    if (!current) return null;
    const sizes = current.settings.filter((s) => s.kind === "size" && !s.absent);
    const own = (end) => sizes.find((s) => s.key.endsWith(end) && s.key.startsWith("panel."));
    const [x, y] = [own(".at.0") ?? own(".upright"), own(".at.1") ?? own(".level")];
    if (x || y) return { x, y };
    const inset = own(".inset");
    return inset ? { inset } : null;
  }

  // Returns what a drag that begins here does.
  grabbed(p) {
    const { rule, sheet, pointing } = this.page;
    if (rule.isOn) return "rule";
    const { current } = pointing;
    const hit = current && sheet.under(p.x, p.y);
    if (!hit || hit.panel !== current.panel || !this.movers()) return "pan";
    const same = this.page.panelOf(hit.panel).pieces[hit.piece]?.key === current.key;
    return same && sheet.placed.has(`panel ${current.panel}`) ? "move" : "pan";
  }

  dragged(kind, from, to) {
    const { rule, view, tries } = this.page;
    if (kind === "rule") {
      rule.dragged(view.toSheet(from), view.toSheet(to));
      return;
    }
    this.drag ??= { gesture: Symbol("drag"), start: this.startOf(from) };
    const [dx, dy] = [(to.x - from.x) / view.scale, (from.y - to.y) / view.scale];
    const changes = this.drag.start.map(({ key, from: text, x, y }) => ({ key, to: text, mm: dx * x + dy * y }));
    tries.change(changes, this.drag.gesture);
  }

  dropped(kind) {
    if (kind === "move") this.drag = null;
  }

  // Each value that a drag changes, as it is now, and how far it goes for a step right and up.
  startOf(from) {
    const { sheet, view, tries, pointing } = this.page;
    const m = this.movers();
    const content = this.page.panelOf(pointing.current.panel);
    const [right, up] = content.moves;
    const value = (s) => String(tries.value(s.key, s.value));
    if (m.inset) {
      const place = sheet.placed.get(`panel ${pointing.current.panel}`);
      const p = view.toSheet(from);
      const [x, y] = [p.x - place.x, p.y - place.y];
      const edges = [[x, 1, 0], [content.width - x, -1, 0], [y, 0, -1], [content.height - y, 0, 1]];
      const [, inX, inY] = edges.sort((a, b) => a[0] - b[0])[0];
      return [{ key: m.inset.key, from: value(m.inset), x: inX, y: inY }];
    }
    const list = [];
    if (m.x) list.push({ key: m.x.key, from: value(m.x), x: right, y: 0 });
    if (m.y) list.push({ key: m.y.key, from: value(m.y), x: 0, y: up });
    return list;
  }
}
