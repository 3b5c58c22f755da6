// The livery laid over a photograph of the model, or its lines over one of the prototype.

import * as connection from "./connection.js";
import { Desk, findingsList, latest } from "./desk.js";
import { at, draw, el } from "./dom.js";
import { toldApart } from "./figures.js";
import { refused } from "./notice.js";
import { written } from "./picks.js";

const CORNERS = ["top left", "top right", "bottom right", "bottom left"];

let job = null;
let figures = new Map(); // name -> content: panels, and sides of vehicles
let marks = []; // {id, kind: "point" | "edge", name, points, across, up}
let wanted = null; // what is picked next: "point" or "edge"
let begun = null; // the edge that is being picked
let next = 1;
let answer = null;

const desk = new Desk({
  opened: () => {
    restore();
    show();
    lay();
  },
  pointed,
  changed: () => {
    store();
    lay();
  },
  remove,
  letGo: () => {
    begun = null;
    wanted = null;
    marks = marks.filter((mark) => mark.kind === "point" || mark.points.length > 2);
    show();
  },
});

const panel = () => figures.get(at("panel").value);
const isSide = () => panel()?.kind === "vehicle";
const points = () => marks.filter((mark) => mark.kind === "point");
const edges = () => marks.filter((mark) => mark.kind === "edge" && mark.points.length > 2 && mark !== begun);

// ---------------------------------------------------------------- picking

// The first four are the corners of the rectangle round the panel, of a side down to the rail, unless they are said to lie elsewhere.
function corner(i) {
  const c = panel();
  const [left, right, top, bottom] = [c.left, c.left + c.width, c.top, c.top - c.height];
  return [[left, top], [right, top], [right, bottom], [left, bottom]][i];
}

function pointed(place) {
  if (!panel()) return;
  if (wanted === "edge") {
    if (!begun) {
      begun = { id: next, kind: "edge", name: `Straight edge ${next}`, points: [] };
      next += 1;
      marks.push(begun);
    }
    begun.points.push(place);
    show();
    return;
  }
  const count = points().length;
  if (count >= 4 && wanted !== "point") return;
  const [across, up] = count < 4 ? corner(count) : ["", ""];
  const mark = { id: next, kind: "point", name: count < 4 ? `Corner ${CORNERS[count]}` : `Point ${count + 1}`, points: [place], across, up };
  next += 1;
  marks.push(mark);
  wanted = null;
  store();
  show();
  lay();
  if (count >= 4) document.getElementById(`across-${mark.id}`).focus();
}

function finish() {
  if (begun && begun.points.length < 3) marks = marks.filter((mark) => mark !== begun);
  begun = null;
  wanted = null;
  store();
  show();
  lay();
}

function remove(id) {
  marks = marks.filter((mark) => mark.id !== id);
  if (begun?.id === id) begun = null;
  store();
  show();
  lay();
  at("sheet").focus();
}

// ---------------------------------------------------------------- kept in this browser

const key = () => `livery points ${job.title} ${desk.name.file} ${desk.name.page} ${at("panel").value}`;

function store() {
  if (desk.picture.info) localStorage.setItem(key(), JSON.stringify({ size: desk.picture.info.size, marks }));
}

function restore() {
  marks = [];
  begun = null;
  try {
    const kept = JSON.parse(localStorage.getItem(key()) ?? "{}");
    if (String(kept.size) === String(desk.picture.info?.size)) marks = kept.marks;
  } catch {
    marks = []; // what an older page kept
  }
  next = Math.max(0, ...marks.map((mark) => mark.id)) + 1;
}

// ---------------------------------------------------------------- laid on

const number = (text) => (String(text).trim() === "" ? NaN : Number(String(text).replace(",", ".").replace(/\s*mm$/, "")));

function asked() {
  const { file, page, dots } = desk.name;
  const placed = points().map((mark) => [mark.points[0].x, mark.points[0].y, number(mark.across), number(mark.up)]);
  return {
    file,
    page,
    dots_per_inch: dots,
    figure: at("panel").value,
    points: placed.filter((point) => point.every(Number.isFinite)),
    edges: edges().map((mark) => mark.points.map(written).join(" ")),
    prototype: at("prototype").checked,
  };
}

const lay = latest(async () => {
  const wish = asked();
  answer = null;
  at("fault").textContent = "";
  if (desk.picture.info && panel() && wish.points.length >= 4) {
    try {
      answer = await connection.onPhotograph(wish);
    } catch (error) {
      at("fault").textContent = [error.message, error.findings?.[0]?.remedy].filter(Boolean).join(". ");
    }
  }
  drawLaid();
  describe();
});

function drawLaid() {
  const lines = at("lines").checked;
  const nodes = [];
  for (const piece of answer?.pieces ?? []) {
    const paint = job.paints[piece.paint];
    const isLivery = piece.layer === "livery";
    if (isLivery && (!paint || paint.clear)) continue;
    const node = draw("path", { d: piece.d, class: piece.layer });
    if (isLivery && lines) {
      node.setAttribute("fill", "none");
      node.setAttribute("stroke", paint.hex);
      node.setAttribute("stroke-width", "2");
    } else if (isLivery) node.setAttribute("fill", paint.hex);
    nodes.push(node);
  }
  desk.picture.laid.replaceChildren(...nodes);
  strength();
}

function strength() {
  desk.picture.laid.setAttribute("opacity", String(Number(at("strength").value) / 100));
}

// ---------------------------------------------------------------- what is shown

function show() {
  at("points-words").textContent = isSide()
    ? "Each point of the photograph, and where it is on the side: millimetres across from its left end and up from the rail, as built. The whole side is laid in one plane: pick points in that plane."
    : "Each point of the photograph, and where it is on the panel: millimetres across from its left and up from its bottom, as built.";
  desk.picks.show(marks);
  const before = new Map([...at("points").children].map((node) => [node.dataset.mark, node]));
  at("points").replaceChildren(...marks.map((mark) => before.get(String(mark.id)) ?? item(mark)));
  describe();
  prompt();
}

function item(mark) {
  const focus = () => desk.picks.focus(mark.id, 0);
  const own = el("li", { "data-mark": mark.id },
    el("div", { class: "row spread" },
      el("button", { type: "button", class: "plain", onclick: focus }, mark.name),
      el("button", { type: "button", class: "quiet", "aria-label": `Delete ${mark.name}`, onclick: () => remove(mark.id) }, "×")));
  if (mark.kind === "point") {
    const input = (name, label) => {
      const node = el("input", { id: `${name}-${mark.id}`, type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `${mark.name}, ${label}`, size: 6 });
      node.value = String(mark[name]);
      node.addEventListener("change", () => {
        mark[name] = node.value;
        store();
        lay();
      });
      return node;
    };
    own.append(el("div", { class: "row" }, input("across", "millimetres across"), " across ", input("up", "millimetres up"), " up"));
  }
  own.append(el("p", { class: "small", "data-words": "" }));
  return own;
}

function describe() {
  const placed = points().filter((mark) => [mark.across, mark.up].every((v) => Number.isFinite(number(v))));
  for (const mark of marks) {
    const node = document.querySelector(`[data-mark="${mark.id}"] [data-words]`);
    const off = answer?.residuals[placed.indexOf(mark)];
    if (!node) continue;
    node.textContent = mark.kind === "edge" ? `${mark.points.length} points` : off > 0.005 ? `${off.toFixed(1)} pixels from its place by the other points` : "";
  }
  at("found").replaceChildren(...findingsList(answer?.findings ?? []));
  at("command").textContent = answer ? command(placed) : "";
}

function command(placed) {
  const c = panel();
  const place = (mark) => `${written(mark.points[0])} = left ${offset(number(mark.across) - c.left)}, bottom ${offset(number(mark.up) - (c.top - c.height))}`;
  const parts = ["livery overlay", `"${job.file}" "${desk.name.file}" on-photograph.png`, "--on", `"${at("panel").value.split(" ").slice(1).join(" ")}: ${placed.map(place).join("; ")}"`];
  if (at("strength").value !== "100") parts.push(`--strength ${at("strength").value}`);
  if (at("lines").checked) parts.push("--lines");
  if (at("prototype").checked) parts.push("--prototype");
  for (const mark of edges()) parts.push("--edge", `"${mark.points.map(written).join(" ")}"`);
  return parts.join(" ");
}

const offset = (mm) => `${mm < 0 ? "-" : "+"} ${Math.abs(mm).toFixed(3)} mm on model`;

function prompt() {
  at("done").hidden = wanted !== "edge";
  const count = points().length;
  let words = "";
  if (!desk.picture.info) words = "Choose a photograph in the job's folder.";
  else if (wanted === "edge") words = `Pick points along an edge that is straight in reality (${begun?.points.length ?? 0} so far).`;
  else if (count < 4) words = `Pick the ${CORNERS[count]} corner of the rectangle round ${isSide() ? "the whole side, down to the rail" : "the panel"}.`;
  else if (wanted === "point") words = "Pick another point whose place you know.";
  at("prompt").textContent = words;
}

// ---------------------------------------------------------------- wiring

async function readJob() {
  job = await connection.job();
  const heads = toldApart(job.figures.filter((head) => head.kind === "panel" || head.kind === "vehicle"));
  const contents = await Promise.all(heads.map((head) => connection.figure(head.digest)));
  figures = new Map(heads.map((head, i) => [head.name, contents[i]]).filter(([, content]) => content.view !== "above"));
  const before = at("panel").value;
  at("panel").replaceChildren(...[["Panels", "panel"], ["Sides of vehicles", "vehicle"]].map(([label, kind]) => {
    const own = heads.filter((head) => head.kind === kind && figures.has(head.name));
    return own.length ? el("optgroup", { label }, ...own.map((head) => el("option", { value: head.name }, head.title))) : null;
  }).filter(Boolean));
  if (figures.has(before)) at("panel").value = before;
}

async function start() {
  at("panel").addEventListener("change", () => {
    restore();
    show();
    lay();
  });
  at("strength").addEventListener("input", () => {
    strength();
    describe();
  });
  at("lines").addEventListener("change", () => {
    drawLaid();
    describe();
  });
  at("prototype").addEventListener("change", lay);
  at("more").addEventListener("click", () => {
    wanted = "point";
    prompt();
    at("sheet").focus();
  });
  at("straight").addEventListener("click", () => {
    wanted = "edge";
    prompt();
    at("sheet").focus();
  });
  at("done").addEventListener("click", finish);
  at("again").addEventListener("click", () => {
    marks = [];
    begun = null;
    wanted = null;
    store();
    show();
    lay();
  });
  try {
    await readJob();
    await desk.start();
  } catch (error) {
    refused(error);
  }
  show();
  connection.news(
    async () => {
      try {
        await readJob();
        await lay();
      } catch (error) {
        refused(error);
      }
    },
    () => {},
  );
  document.documentElement.dataset.ready = "true";
}

start();
