// Drawings and photographs: calibrated, measured, sampled and traced, and all of it kept by its name.

import { Asking } from "./asking.js";
import * as connection from "./connection.js";
import { Desk, findingsList, latest } from "./desk.js";
import { at, draw, el } from "./dom.js";
import { KINDS, isKnown, isWhole, placeOf } from "./kinds.js";
import { refused, say } from "./notice.js";
import { written } from "./picks.js";
import { Survey } from "./survey.js";

const CALIBRATES = new Set(["length", "rectangle", "point"]);

let marks = []; // {id, kind, name, points, closed, text, called, pickError, words, seen, d}
let begun = null; // the mark that is being picked
let next = 1;
let answer = null;

const desk = new Desk({
  opened,
  pointed,
  changed: () => {
    describe();
    measure();
  },
  remove,
  letGo: () => giveUp(),
});

const asking = new Asking({
  marks: () => marks.filter((mark) => mark !== begun),
  name: () => desk.name,
  size: () => desk.picture.info.size,
  said: () => ({ uneven: at("uneven").checked, onModel: at("on-model").checked, pickError: at("pick-error").value, shelf: at("shelf").value }),
});

const survey = new Survey({
  open: async (known) => {
    if (desk.name.file === known.file) return;
    at("picture").value = known.file;
    at("page").value = String(known.page);
    at("dots").value = String(known.dots_per_inch);
    await desk.chosen();
  },
  add: (taken) => {
    for (const { kind, points, text = "" } of taken) if (!stands(kind, points)) marks.push(newMark(kind, points, { text }));
    show();
    measure();
    look(taken[0].points);
  },
});

// ---------------------------------------------------------------- picking

function newMark(kind, points = [], more = {}) {
  const { name, closed, box } = KINDS[kind];
  const mark = { id: next, kind, name, closed, box, points, text: "", called: "", pickError: null, ...more };
  mark.moved = () => Object.assign(mark, { pickError: null, d: "", seen: null });
  next += 1;
  return mark;
}

// Whether something of that kind is picked at just these points already.
const stands = (kind, points) => marks.some((mark) => mark.kind === kind && mark.points.map(written).join() === points.map(written).join());

function pointed(place) {
  const kind = at("kind").value;
  if (!kind) return;
  if (!begun) {
    begun = newMark(kind);
    marks.push(begun);
  }
  begun.points.push(place);
  const { points } = KINDS[begun.kind];
  if (points && begun.points.length === points) finish();
  else show();
}

async function finish() {
  const mark = begun;
  begun = null;
  if (!mark || !isWhole(mark)) return;
  if (mark.kind === "stripe") await findStripe(mark);
  show();
  measure();
  if (marks.includes(mark)) (document.getElementById(isKnown(mark) ? `text-${mark.id}` : `called-${mark.id}`) ?? at("sheet")).focus();
}

async function findStripe(mark) {
  say("Looking for its edges …", true);
  try {
    const found = await connection.stripe(asking.picture, mark.points.map(written).join(" "));
    const [point, a, b] = found.places.replace(" from ", " ").split(" ").map(placeOf);
    Object.assign(mark, { kind: "height", name: "Stripe", points: [point, a, b], pickError: found.pickError });
    say("");
  } catch (error) {
    marks = marks.filter((other) => other !== mark);
    refused(error);
  }
}

function giveUp() {
  if (!begun) return;
  marks = marks.filter((mark) => mark !== begun);
  begun = null;
  show();
}

function remove(id) {
  marks = marks.filter((mark) => mark.id !== id);
  if (begun?.id === id) begun = null;
  show();
  measure();
  at("sheet").focus();
}

function prompt() {
  const kind = KINDS[at("kind").value];
  at("done").hidden = !(begun && kind?.least && begun.points.length >= kind.least);
  if (!kind || !desk.picture.info) {
    at("prompt").textContent = "";
    return;
  }
  const i = begun?.points.length ?? 0;
  at("prompt").textContent = `${kind.name}: pick ${kind.each[Math.min(i, kind.each.length - 1)]}${kind.least && i ? ` (${i} so far)` : ""}.`;
}

// Shows the place that points are at.
function look(points) {
  const [xs, ys] = [points.map((p) => p.x), points.map((p) => p.y)];
  const side = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys), 40);
  desk.view.show({ x: (Math.min(...xs) + Math.max(...xs) - side) / 2, y: (Math.min(...ys) + Math.max(...ys) - side) / 2, width: side, height: side }, 0.2);
}

// ---------------------------------------------------------------- what is asked of the engine

const sample = latest(async () => {
  const sampled = asking.of("colour");
  const cards = asking.of("card").filter((mark) => mark.text.trim());
  if (!desk.picture.info || !(sampled.length || cards.length)) return;
  for (const mark of sampled) mark.words ||= "looking at it …";
  describe();
  try {
    const found = await connection.colours(asking.colours);
    cards.forEach((mark, i) => (mark.fault = found.known[i]));
    const isWrong = found.known.some(Boolean);
    sampled.forEach((mark, i) => Object.assign(mark, isWrong ? { seen: null, fault: "a known colour is not understood: see above" } : { seen: found.colours[i], fault: "", words: colourWords(found.colours[i]) }));
    at("found").replaceChildren(...findingsList([...(answer?.findings ?? []), ...found.findings]));
  } catch (error) {
    for (const mark of sampled) Object.assign(mark, { fault: error.message, seen: null });
  }
  describe(false);
});

const colourWords = ({ lab, within }) => `Lab ${lab.join(" ")}, within ${within} DeltaE00`;

const measure = latest(async () => {
  if (!desk.picture.info) return;
  const { sizes, traces } = asking;
  answer = await connection.measure(asking.picture, sizes.map((mark) => asking.size(mark)), traces.map((mark) => asking.trace(mark)));
  sizes.forEach((mark, i) => Object.assign(mark, { words: answer.sizes[i]?.words ?? "", fault: answer.sizes[i]?.fault ?? "" }));
  traces.forEach((mark, i) => Object.assign(mark, { words: answer.traces[i]?.words ?? "", fault: answer.traces[i]?.fault ?? "", d: answer.traces[i]?.d ?? "" }));
  const read = (kind) => marks.filter((m) => m.kind === kind && m !== begun && m.text.trim());
  read("length").forEach((mark, i) => (mark.reads = answer.checks[i]));
  read("point").forEach((mark, i) => (mark.off = answer.residuals?.[i]));
  describe();
  sample();
});

// ---------------------------------------------------------------- what is shown

function show() {
  desk.picks.show(marks);
  list("known", marks.filter(isKnown), knownItem);
  list("measured", marks.filter((mark) => !isKnown(mark)), sizeItem);
  at("nothing").hidden = marks.some((mark) => !isKnown(mark));
  describe();
  prompt();
}

// Each item is kept while its mark is there: what is being typed stays.
function list(id, shown, make) {
  const before = new Map([...at(id).children].map((node) => [node.dataset.mark, node]));
  at(id).replaceChildren(...shown.map((mark) => before.get(String(mark.id)) ?? make(mark)));
}

function knownItem(mark) {
  const item = el("li", { "data-mark": mark.id }, head(mark));
  if (KINDS[mark.kind].hint) {
    const input = el("input", { id: `text-${mark.id}`, type: "text", autocomplete: "off", placeholder: KINDS[mark.kind].hint });
    input.value = mark.text;
    input.addEventListener("change", () => {
      mark.text = input.value;
      measure();
    });
    item.append(el("label", { class: "pick" }, mark.kind === "point" ? "lies" : "is", " ", input));
  }
  item.append(el("p", { class: "small", "data-words": "" }));
  return item;
}

function sizeItem(mark) {
  const input = el("input", { id: `called-${mark.id}`, type: "text", autocomplete: "off", size: 12 });
  input.value = mark.called;
  input.addEventListener("input", () => {
    mark.called = input.value;
    describe();
  });
  return el("li", { "data-mark": mark.id }, head(mark), el("div", { "data-words": "" }), el("label", { class: "pick" }, "name ", input));
}

function head(mark) {
  return el("div", { class: "row spread" },
    el("button", { type: "button", class: "plain", onclick: () => desk.picks.focus(mark.id, 0) }, `${mark.name} ${mark.id}`),
    el("button", { type: "button", class: "quiet", "aria-label": `Delete ${mark.name} ${mark.id}`, onclick: () => remove(mark.id) }, "×"));
}

function words(mark) {
  if (!isKnown(mark)) return mark.fault || mark.words || (isWhole(mark) ? "needs a known size" : "being picked");
  if (mark.fault) return mark.fault;
  if (mark.reads) return `reads ${mark.reads.measured.toFixed(1)} mm, ${signed(mark.reads.off)} mm off`;
  if (mark.off !== undefined && mark.kind === "point") return `${mark.off.toFixed(1)} pixels from its place by the other points`;
  return mark.kind === "edge" ? `${mark.points.length} points` : "";
}

// A colour beside the standards and the recipes that come near it.
function swatches(mark) {
  const row = (hex, text) => {
    const chip = el("span", { class: "swatch", "aria-hidden": "true" });
    chip.style.backgroundColor = hex;
    return el("span", { class: "near-by" }, chip, text);
  };
  const near = (one) => row(one.hex, `${one.off.toFixed(1)} off: ${one.label}`);
  return [row(mark.seen.hex, words(mark)), ...mark.seen.standards.map(near), ...mark.seen.recipes.map(near)];
}

const signed = (value) => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;

function describe(all = true) {
  for (const mark of marks) {
    const node = document.querySelector(`[data-mark="${mark.id}"] [data-words]`);
    if (!node) continue;
    node.replaceChildren(...(mark.seen ? swatches(mark) : [words(mark)]));
    node.classList.toggle("wrong", isKnown(mark) && Boolean(mark.fault));
  }
  at("keep").disabled = !named().length;
  at("command").textContent = desk.picture.info ? asking.command : "";
  desk.picture.laid.replaceChildren(...marks.filter((mark) => mark.d).flatMap((mark) => ["under", "over"].map((kind) => draw("path", { d: mark.d, class: `traced ${kind}` }))));
  if (!all) return;
  // Colours need no known size: a photograph of colours alone has no fault.
  const needsSize = asking.sizes.length || asking.traces.length || marks.some((mark) => CALIBRATES.has(mark.kind) && mark.text.trim());
  at("fault").textContent = (needsSize ? (answer?.faults ?? []) : []).map((f) => `${f.message}. ${f.remedy}`).join(" ");
  at("found").replaceChildren(...findingsList(answer?.findings ?? []));
  at("straighten").disabled = !marks.some((mark) => (mark.kind === "rectangle" || mark.kind === "point") && mark.text.trim());
}

const named = () => [...asking.sizes, ...asking.traces, ...asking.of("colour")].filter((mark) => mark.called.trim() && mark.words && !mark.fault);

// ---------------------------------------------------------------- opened, kept, straightened

// What the survey knows of a picture is there as soon as it is opened.
function opened() {
  begun = null;
  marks = [];
  answer = null;
  const { file, page } = desk.name;
  const known = survey.known(file, page);
  if (known) {
    const of = (kind, texts) => texts.map((text) => {
      const [places, size = ""] = text.split("=");
      return newMark(kind, places.trim().split(/\s+/).map(placeOf), { text: size.trim() });
    });
    marks = [...of("length", known.lengths), ...of("rectangle", known.rectangle ? [known.rectangle] : []), ...of("point", known.points), ...of("edge", known.edges)];
    for (const { kind, points, text } of survey.correctedBy(known.name)) if (!stands(kind, points)) marks.push(newMark(kind, points, { text }));
    at("uneven").checked = known.uneven;
    at("on-model").checked = known.on_model;
    at("pick-error").value = String(known.pick_error);
  }
  show();
  measure();
}

async function keep() {
  const kept = named();
  try {
    survey.show(await connection.keepNamed(asking.kept(kept)));
    showLooks();
    marks = marks.filter((mark) => !kept.includes(mark));
    show();
    say(`Kept in ${survey.data.file}.`);
  } catch (error) {
    refused(error);
  }
}

async function straighten() {
  try {
    const made = await connection.straighten(asking.picture);
    await desk.start();
    say(`${made.file} was written: a pixel of it is ${made.mmPerPixel.toPrecision(4)} mm.`, true);
  } catch (error) {
    refused(error);
  }
}

// ---------------------------------------------------------------- wiring

async function readSurvey() {
  try {
    survey.show(await connection.survey());
    showLooks();
  } catch (error) {
    refused(error);
  }
}

// Colours take a while to work out: the page does not wait for them.
const showLooks = latest(async () => {
  if (survey.data.colours.length) survey.show(await connection.survey(true));
});

async function start() {
  at("kind").replaceChildren(el("option", { value: "" }, "none: only look"), ...Object.entries(KINDS).map(([value, kind]) => el("option", { value }, kind.name)));
  at("kind").addEventListener("change", () => {
    giveUp();
    prompt();
  });
  at("done").addEventListener("click", finish);
  at("keep").addEventListener("click", keep);
  at("straighten").addEventListener("click", straighten);
  for (const id of ["uneven", "on-model", "pick-error"]) at(id).addEventListener("change", measure);
  at("shelf").addEventListener("change", sample);
  await readSurvey();
  try {
    const shelves = await connection.shelves();
    at("shelf").append(...shelves.map((name) => el("option", { value: name }, name)));
    await desk.start();
  } catch (error) {
    refused(error);
  }
  show();
  window.addEventListener("focus", readSurvey);
  document.documentElement.dataset.ready = "true";
}

start();
