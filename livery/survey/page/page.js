// The page: clicks in the picture become marks, marks become text to type.
"use strict";

const SVG = "http://www.w3.org/2000/svg";
const KEPT = `places on ${PHOTO.name} ${PHOTO.width}x${PHOTO.height}`;
const MOST_NEAR = 40;
const DRAG = 4; // screen pixels beyond which a press is a drag and no click
const board = document.getElementById("board");
const byId = (id) => document.getElementById(id);

const state = { kind: "at", shape: "rectangle", open: [], marks: kept(), nearness: 1, at: [0, 0] };

function kept() {
  const given = PHOTO.marks.map((mark) => ({ ...mark }));
  try {
    return given.length > 0 ? given : JSON.parse(localStorage.getItem(KEPT) || "[]");
  } catch {
    return given; // a browser that keeps nothing begins again
  }
}

function keep() {
  try {
    localStorage.setItem(KEPT, JSON.stringify(state.marks));
  } catch {
    byId("hint").textContent = "This browser cannot keep your marks: copy what you need before you leave.";
  }
}

function made(parent, name, attributes = {}, words = "") {
  const element = parent.namespaceURI === SVG ? document.createElementNS(SVG, name) : document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (words) element.textContent = words;
  parent.append(element);
  return element;
}

// ---- Looking: where the picture stands on the board.

function pixelsShown() {
  const { width, height } = board.getBoundingClientRect();
  const whole = Math.min(width / PHOTO.width, height / PHOTO.height) || 1;
  const scale = whole * state.nearness;
  return { scale, wide: width / scale, high: height / scale };
}

function look() {
  const { wide, high } = pixelsShown();
  if (state.nearness === 1) state.at = [(PHOTO.width - wide) / 2, (PHOTO.height - high) / 2];
  board.setAttribute("viewBox", `${state.at[0]} ${state.at[1]} ${wide} ${high}`);
  drawMarks();
}

function zoomBy(factor, about) {
  const [x, y] = about || middle();
  const before = pixelsShown().scale;
  state.nearness = Math.min(MOST_NEAR, Math.max(1, state.nearness * factor));
  const share = before / pixelsShown().scale;
  state.at = [x - (x - state.at[0]) * share, y - (y - state.at[1]) * share];
  look();
}

function middle() {
  const { wide, high } = pixelsShown();
  return [state.at[0] + wide / 2, state.at[1] + high / 2];
}

function placeOf(event) {
  const box = board.getBoundingClientRect();
  const { scale } = pixelsShown();
  return [state.at[0] + (event.clientX - box.left) / scale, state.at[1] + (event.clientY - box.top) / scale];
}

// From afar a click is good to a pixel; from near to a tenth.
function picked(place) {
  const steps = pixelsShown().scale >= 4 ? 10 : 1;
  const within = (value, most) => Math.min(most, Math.max(0, Math.round(value * steps) / steps));
  return [within(place[0], PHOTO.width), within(place[1], PHOTO.height)];
}

// ---- Marking.

function add(place) {
  state.open.push(place);
  if (state.open.length === Places.fullAt(state.kind, state.shape)) finish();
  else refresh();
}

function finish() {
  if (state.open.length < Places.leastFor(state.kind, state.shape)) return;
  const kind = Places.KINDS[state.kind];
  const count = state.marks.filter((mark) => mark.kind === state.kind).length + 1;
  const mark = { kind: state.kind, points: state.open };
  if (kind.regions) mark.shape = state.shape;
  if (kind.named) mark.name = `${kind.named} ${count}`;
  if (kind.value !== undefined) mark.value = kind.value;
  state.marks.push(mark);
  state.open = [];
  refresh();
  // A size is wanted at once; a name can wait, and the arrow keys are more use.
  if (mark.value === "") byId(`value-${state.marks.length - 1}`).focus();
}

function undo() {
  state.open.pop();
  refresh();
}

function nudge(dx, dy) {
  const mark = state.marks[state.marks.length - 1];
  const points = state.open.length > 0 ? state.open : mark ? mark.points : [];
  if (points.length === 0) return;
  const [x, y] = points[points.length - 1];
  points[points.length - 1] = picked([x + dx, y + dy]);
  refresh();
}

// ---- Showing.

function refresh() {
  keep();
  drawMarks();
  byId("hint").textContent = hintNow();
  byId("done").disabled = state.open.length < Places.leastFor(state.kind, state.shape);
  byId("undo").disabled = state.open.length === 0;
  showList();
  showCommands();
}

function hintNow() {
  const clicked = state.open.length;
  return Places.hint(state.kind, state.shape) + (clicked > 0 ? ` ${clicked} clicked.` : "");
}

function drawMarks() {
  const group = byId("marks");
  group.replaceChildren();
  const { scale } = pixelsShown();
  state.marks.forEach((mark, i) => drawOne(group, mark, String(i + 1), scale, ""));
  if (state.open.length > 0) {
    drawOne(group, { kind: state.kind, shape: state.shape, points: state.open }, "", scale, " open");
  }
}

function drawOne(group, mark, number, scale, more) {
  for (const beneath of [" beneath", ""]) {
    for (const [x, y] of mark.points) {
      const arm = 5 / scale;
      made(group, "path", { class: `shape${beneath}`, d: `M${x - arm} ${y}H${x + arm}M${x} ${y - arm}V${y + arm}` });
    }
    for (const [name, attributes] of outlines(mark)) {
      made(group, name, { ...attributes, class: `shape${beneath}${more}` });
    }
  }
  const [x, y] = mark.points[0];
  if (number) made(group, "text", { x: x + 7 / scale, y: y - 6 / scale, "font-size": 17 / scale }, number);
}

function outlines(mark) {
  const points = mark.points;
  const path = points.map(([x, y]) => `${x},${y}`).join(" ");
  if (points.length < 2) return [];
  if (mark.shape === "spot" && Places.KINDS[mark.kind].regions) {
    return [["circle", { cx: points[0][0], cy: points[0][1], r: Places.radiusOf(mark) }]];
  }
  if (mark.shape === "rectangle" && Places.KINDS[mark.kind].regions) {
    const [[x, y], [u, v]] = points;
    return [["rect", { x: Math.min(x, u), y: Math.min(y, v), width: Math.abs(u - x), height: Math.abs(v - y) }]];
  }
  if (mark.kind === "height") {
    return [["polyline", { points: points.slice(1).map(([x, y]) => `${x},${y}`).join(" ") }]];
  }
  const closed = mark.shape === "polygon" || mark.kind === "chart" || mark.kind === "rectangle";
  return [[closed ? "polygon" : "polyline", { points: path }]];
}

function showList() {
  const list = byId("list");
  const now = document.activeElement;
  const focus = now && list.contains(now) ? now.id : "";
  list.replaceChildren();
  state.marks.forEach((mark, i) => {
    const kind = Places.KINDS[mark.kind];
    const item = made(list, "li");
    const row = made(item, "div", { class: "row" });
    made(row, "span", {}, kind.title);
    const away = made(row, "button", { type: "button", "aria-label": `Delete mark ${i + 1}` }, "Delete");
    away.addEventListener("click", () => { state.marks.splice(i, 1); refresh(); });
    if (kind.named) field(item, mark, "name", `name-${i}`, "its name");
    if (kind.value !== undefined) field(item, mark, "value", `value-${i}`, kind.asked);
    made(item, "code", {}, Places.text(mark));
  });
  if (state.marks.length === 0) made(list, "p", { class: "small" }, "Nothing yet.");
  if (focus && byId(focus)) byId(focus).focus();
}

function field(item, mark, key, id, asked) {
  const label = made(item, "label");
  const input = made(label, "input", { id, value: mark[key] || "", placeholder: asked, "aria-label": asked });
  input.addEventListener("input", () => {
    mark[key] = input.value;
    keep();
    item.querySelector("code").textContent = Places.text(mark);
    showCommands();
  });
}

function showCommands() {
  const box = byId("commands");
  box.replaceChildren();
  const found = Places.commands(PHOTO.name, state.marks);
  for (const { title, text } of found) {
    const command = made(box, "div", { class: "command" });
    const row = made(command, "div", { class: "row" });
    made(row, "span", {}, title);
    const copy = made(row, "button", { type: "button" }, "Copy");
    const shown = made(command, "pre", {}, text);
    copy.addEventListener("click", () => copied(copy, shown, text));
  }
  if (found.length === 0) {
    made(box, "p", { class: "small" }, "Mark a colour or a known size, and the commands appear here.");
  }
}

async function copied(button, shown, text) {
  try {
    await navigator.clipboard.writeText(text);
    button.textContent = "Copied";
  } catch {
    getSelection().selectAllChildren(shown);
    button.textContent = "Selected: copy it";
  }
}

function showChoices() {
  const form = byId("what");
  const kinds = made(made(form, "label", {}, "What you mark"), "select", { id: "kind" });
  for (const [name, kind] of Object.entries(Places.KINDS)) made(kinds, "option", { value: name }, kind.title);
  const regions = made(made(form, "label", { id: "region" }, "As"), "select", { id: "shape" });
  for (const name of ["rectangle", "spot", "polygon"]) made(regions, "option", { value: name }, `a ${name}`);
  form.addEventListener("change", () => {
    state.kind = kinds.value;
    state.shape = regions.value;
    state.open = [];
    byId("region").hidden = !Places.KINDS[state.kind].regions;
    refresh();
  });
}

// ---- Hands.

let press = null;

board.addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  board.setPointerCapture(event.pointerId);
  board.focus();
  press = { x: event.clientX, y: event.clientY, at: [...state.at], moved: false };
});

board.addEventListener("pointermove", (event) => {
  const [x, y] = picked(placeOf(event));
  byId("where").textContent = `${x}, ${y}`;
  if (press === null) return;
  const dx = event.clientX - press.x;
  const dy = event.clientY - press.y;
  if (!press.moved && Math.hypot(dx, dy) < DRAG) return;
  press.moved = true;
  board.classList.add("moving");
  const { scale } = pixelsShown();
  state.at = [press.at[0] - dx / scale, press.at[1] - dy / scale];
  look();
});

board.addEventListener("pointerup", (event) => {
  const click = press !== null && !press.moved;
  press = null;
  board.classList.remove("moving");
  if (click) add(picked(placeOf(event)));
});

board.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoomBy(event.deltaY < 0 ? 1.25 : 0.8, placeOf(event));
}, { passive: false });

document.addEventListener("keydown", (event) => {
  if (event.target instanceof HTMLInputElement || event.target instanceof HTMLSelectElement) return;
  const far = event.shiftKey ? 10 : 1;
  const keys = {
    Enter: finish,
    Backspace: undo,
    Escape: () => { state.open = []; refresh(); },
    ArrowLeft: () => nudge(-far, 0),
    ArrowRight: () => nudge(far, 0),
    ArrowUp: () => nudge(0, -far),
    ArrowDown: () => nudge(0, far),
  };
  if (!(event.key in keys) || event.target instanceof HTMLButtonElement) return;
  event.preventDefault();
  keys[event.key]();
});

byId("zoom-in").addEventListener("click", () => zoomBy(1.5));
byId("zoom-out").addEventListener("click", () => zoomBy(1 / 1.5));
byId("whole").addEventListener("click", () => { state.nearness = 1; look(); });
byId("done").addEventListener("click", finish);
byId("undo").addEventListener("click", undo);
new ResizeObserver(look).observe(board);
showChoices();
look();
refresh();
