// Drawings and photographs: calibrated, measured, and what is measured kept by its name.

import * as connection from "./connection.js";
import { Desk, findingsList, latest } from "./desk.js";
import { at, el } from "./dom.js";
import { refused, say } from "./notice.js";
import { written } from "./picks.js";

const KINDS = {
  length: { name: "Known length", points: 2, known: true, hint: "22 ft 6 in", each: ["its first end", "its other end"] },
  rectangle: { name: "Known rectangle", points: 4, known: true, closed: true, hint: "8 ft x 6 ft 3 in", each: ["its top left corner", "its top right corner", "its bottom right corner", "its bottom left corner"] },
  point: { name: "Known point", points: 1, known: true, hint: "across, up: 0 ft, 6 ft 3 in", each: ["it"] },
  edge: { name: "Straight edge", least: 3, known: true, each: ["points along an edge that is straight in truth"] },
  distance: { name: "Distance", points: 2, each: ["one end", "the other end"] },
  height: { name: "Height off a line", points: 3, each: ["the point", "one point of the line", "another point of the line"] },
  stripe: { name: "Stripe, edge to edge", points: 2, each: ["before its one edge", "after its other edge"] },
  radius: { name: "Radius", least: 3, each: ["points along the arc"] },
  card: { name: "Known colour", points: 2, known: true, box: true, hint: "18 %, or 38 -32 15", each: ["one corner of the card or the paint", "the corner across"] },
  chart: { name: "Chart of 24 patches", points: 4, known: true, closed: true, each: ["the middle of its first patch", "the middle of the last patch of that row", "the middle of the last patch of all", "the middle of the first patch of the last row"] },
  colour: { name: "Colour", points: 2, box: true, each: ["one corner of the paint", "the corner across"] },
  angle: { name: "Angle", points: 4, each: ["one point of the first line", "another point of it", "one point of the second line", "another point of it"] },
};

let marks = []; // {id, kind, name, points, closed, text, called, pickError, words}
let begun = null; // the mark that is being picked
let next = 1;
let survey = null;
let answer = null;

// ---------------------------------------------------------------- picking

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

const isKnown = (mark) => Boolean(KINDS[mark.kind].known);
const isWhole = (mark) => mark.points.length >= (KINDS[mark.kind].points ?? KINDS[mark.kind].least);

function newMark(kind, points = [], more = {}) {
  const mark = { id: next, kind, name: KINDS[kind].name, closed: KINDS[kind].closed, box: KINDS[kind].box, points, text: "", called: "", pickError: null, ...more };
  mark.moved = () => (mark.pickError = null);
  next += 1;
  return mark;
}

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
    const found = await connection.stripe(entry(), mark.points.map(written).join(" "));
    const [point, a, b] = found.places.replace(" from ", " ").split(" ").map(placeOf);
    Object.assign(mark, { kind: "height", name: "Stripe", points: [point, a, b], pickError: found.pickError });
    say("");
  } catch (error) {
    marks = marks.filter((other) => other !== mark);
    refused(error);
  }
}

const placeOf = (text) => {
  const [x, y] = text.split(",").map(Number);
  return { x, y };
};

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

// ---------------------------------------------------------------- what is asked of the engine

function entry() {
  const of = (kind) => marks.filter((mark) => mark.kind === kind && mark !== begun && isWhole(mark));
  const places = (mark) => mark.points.map(written).join(" ");
  const known = (kind) => of(kind).filter((mark) => mark.text.trim()).map((mark) => `${places(mark)} = ${mark.text.trim()}`);
  const { file, page, dots } = desk.name;
  return {
    file,
    page,
    dots_per_inch: dots,
    size: desk.picture.info.size,
    lengths: known("length"),
    uneven: at("uneven").checked,
    rectangle: known("rectangle")[0] ?? "",
    points: known("point"),
    edges: of("edge").map(places),
    pick_error: Number(at("pick-error").value.replace(",", ".")) || 1,
    on_model: at("on-model").checked,
  };
}

function asked(mark) {
  const p = mark.points.map(written);
  const places = { height: `${p[0]} from ${p[1]} ${p[2]}`, angle: `${p[0]} ${p[1]} and ${p[2]} ${p[3]}` }[mark.kind] ?? p.join(" ");
  return { way: mark.kind, places, pick_error: mark.pickError, name: mark.called.trim() };
}

const sizes = () => marks.filter((mark) => !isKnown(mark) && mark !== begun && !["stripe", "colour"].includes(mark.kind) && isWhole(mark));
const whole = (kind) => marks.filter((mark) => mark.kind === kind && mark !== begun && isWhole(mark));
const region = (mark) => `rectangle ${mark.points.map(written).join(" ")}`;

function askedColours() {
  return {
    file: desk.name.file,
    sampled: whole("colour").map(region),
    known: whole("card").filter((mark) => mark.text.trim()).map((mark) => `${mark.name} ${mark.id}: ${region(mark)} = ${mark.text.trim()}`),
    chart: whole("chart")[0]?.points.map(written).join(" ") ?? "",
  };
}

const sample = latest(async () => {
  const sampled = whole("colour");
  if (!desk.picture.info || !sampled.length) return;
  for (const mark of sampled) mark.words ||= "looking at it …";
  describe();
  try {
    const found = await connection.colours(askedColours());
    sampled.forEach((mark, i) => (mark.seen = found.colours[i]));
    at("found").replaceChildren(...findingsList(found.findings));
    for (const mark of sampled) Object.assign(mark, { fault: "", words: colourWords(mark.seen) });
  } catch (error) {
    for (const mark of sampled) Object.assign(mark, { fault: error.message, seen: null });
  }
  describe(false);
});

const colourWords = ({ lab, within }) => `Lab ${lab.join(" ")}, within ${within} DeltaE00`;

const measure = latest(async () => {
  if (!desk.picture.info) return;
  sample();
  const wanted = sizes();
  const given = entry();
  answer = await connection.measure(given, wanted.map(asked));
  wanted.forEach((mark, i) => Object.assign(mark, { words: answer.sizes[i]?.words ?? "", fault: answer.sizes[i]?.fault ?? "" }));
  const read = (kind) => marks.filter((m) => m.kind === kind && m !== begun && m.text.trim());
  read("length").forEach((mark, i) => (mark.reads = answer.checks[i]));
  read("point").forEach((mark, i) => (mark.off = answer.residuals?.[i]));
  describe();
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
  const name = mark.kind === "colour" ? null : el("label", { class: "pick" }, "name ", input);
  return el("li", { "data-mark": mark.id }, head(mark), el("p", { "data-words": "" }), name);
}

function head(mark) {
  return el("div", { class: "row spread" },
    el("button", { type: "button", class: "plain", onclick: () => desk.picks.focus(mark.id, 0) }, `${mark.name} ${mark.id}`),
    el("button", { type: "button", class: "quiet", "aria-label": `Take away ${mark.name} ${mark.id}`, onclick: () => remove(mark.id) }, "×"));
}

function words(mark) {
  if (!isKnown(mark)) return mark.fault || mark.words || (isWhole(mark) ? "not known without a known size" : "being picked");
  if (mark.reads) return `reads ${mark.reads.measured.toFixed(1)} mm, ${signed(mark.reads.off)} mm off`;
  if (mark.off !== undefined && mark.kind === "point") return `${mark.off.toFixed(1)} pixels from where the others have it`;
  return mark.kind === "edge" ? `${mark.points.length} points` : "";
}

// A colour beside the standards that come near it.
function swatches(mark) {
  const row = (hex, text) => {
    const chip = el("span", { class: "swatch", "aria-hidden": "true" });
    chip.style.backgroundColor = hex;
    return el("span", { class: "near-by" }, chip, text);
  };
  return [row(mark.seen.hex, words(mark)), ...mark.seen.standards.map((s) => row(s.hex, `${s.off.toFixed(1)} off: ${s.label}`))];
}

const signed = (value) => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;

function describe(all = true) {
  for (const mark of marks) {
    const node = document.querySelector(`[data-mark="${mark.id}"] [data-words]`);
    if (node) node.replaceChildren(...(mark.seen ? swatches(mark) : [words(mark)]));
  }
  if (!all) return;
  at("fault").textContent = (answer?.faults ?? []).map((f) => `${f.message} ${f.remedy}`).join(" ");
  at("found").replaceChildren(...findingsList(answer?.findings ?? []));
  at("keep").disabled = !named().length;
  at("straighten").disabled = !marks.some((mark) => (mark.kind === "rectangle" || mark.kind === "point") && mark.text.trim());
  at("command").textContent = desk.picture.info ? command() : "";
}

const named = () => sizes().filter((mark) => mark.called.trim() && mark.words);

function command() {
  const e = entry();
  const quoted = (text) => `"${text}"`;
  const parts = ["livery measure", quoted(e.file)];
  if (e.page !== 1) parts.push(`--page ${e.page}`);
  if (e.dots_per_inch !== 300) parts.push(`--dots-per-inch ${e.dots_per_inch}`);
  for (const text of e.lengths) parts.push("--length", quoted(text));
  if (e.uneven) parts.push("--uneven");
  if (e.on_model) parts.push("--on-model");
  if (e.rectangle) parts.push("--rectangle", quoted(e.rectangle));
  for (const text of e.points) parts.push("--point", quoted(text));
  for (const text of e.edges) parts.push("--edge", quoted(text));
  if (e.pick_error !== 1) parts.push(`--pick-error ${e.pick_error}`);
  for (const mark of sizes()) {
    const { way, places, name } = asked(mark);
    parts.push(`--${way}`, quoted(name ? `${name}: ${places}` : places));
  }
  const { sampled, known, chart } = askedColours();
  const match = ["livery match", quoted(e.file), ...sampled.flatMap((text) => ["--at", quoted(text)]), ...known.flatMap((text) => ["--known", quoted(text)])];
  if (chart) match.push("--chart", quoted(chart));
  return [...(sizes().length ? [parts.join(" ")] : []), ...(sampled.length ? [match.join(" ")] : [])].join("\n") || parts.join(" ");
}

// ---------------------------------------------------------------- the survey

function showSurvey() {
  at("survey-words").textContent = survey.isNamed || !survey.sizes.length
    ? `Kept in ${survey.file}.`
    : `Kept in ${survey.file}; to use these by name, write survey = "${survey.file}" in the job's [job].`;
  at("survey").replaceChildren(
    ...survey.sizes.map((size) => el("li", {}, el("b", {}, size.name), ` ${size.words} `,
      ...size.taken.map((taken) => el("button", { type: "button", class: "plain", onclick: () => showTaken(taken), "aria-label": `Show ${size.name} on ${taken.picture}` }, `on ${taken.picture}`)))),
    ...(survey.findings.length ? findingsList(survey.findings) : []),
  );
}

async function showTaken({ picture, way, places }) {
  const known = survey.pictures.find((one) => one.name === picture);
  if (!known) return say(`The picture of "${picture}" is not in this folder.`, true);
  if (desk.name.file !== known.file) {
    at("picture").value = known.file;
    at("page").value = String(known.page);
    at("dots").value = String(known.dots_per_inch);
    await desk.chosen();
  }
  const points = places.match(/-?[\d.]+,-?[\d.]+/g).map(placeOf);
  const mark = newMark(way, points);
  marks.push(mark);
  show();
  measure();
  const [xs, ys] = [points.map((p) => p.x), points.map((p) => p.y)];
  const side = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys), 40);
  desk.view.show({ x: (Math.min(...xs) + Math.max(...xs) - side) / 2, y: (Math.min(...ys) + Math.max(...ys) - side) / 2, width: side, height: side }, 0.2);
}

// What the survey knows of a picture is there as soon as it is opened.
function opened() {
  begun = null;
  marks = [];
  answer = null;
  const { file, page } = desk.name;
  const known = survey?.pictures.find((one) => one.file === file && one.page === page);
  if (known) {
    const of = (kind, texts) => texts.map((text) => {
      const [places, size = ""] = text.split("=");
      return newMark(kind, places.trim().split(/\s+/).map(placeOf), { text: size.trim() });
    });
    marks = [...of("length", known.lengths), ...of("rectangle", known.rectangle ? [known.rectangle] : []), ...of("point", known.points), ...of("edge", known.edges)];
    at("uneven").checked = known.uneven;
    at("on-model").checked = known.on_model;
    at("pick-error").value = String(known.pick_error);
  }
  show();
  measure();
}

async function keep() {
  const wanted = named();
  try {
    survey = await connection.keepMeasures(entry(), wanted.map(asked));
    marks = marks.filter((mark) => !wanted.includes(mark));
    show();
    showSurvey();
    say(`Kept in ${survey.file}.`);
  } catch (error) {
    refused(error);
  }
}

async function straighten() {
  try {
    const made = await connection.straighten(entry());
    await desk.start();
    say(`${made.file} was written: a pixel of it is ${made.mmPerPixel.toPrecision(4)} mm.`, true);
  } catch (error) {
    refused(error);
  }
}

// ---------------------------------------------------------------- wiring

async function start() {
  at("kind").replaceChildren(el("option", { value: "" }, "nothing: look only"), ...Object.entries(KINDS).map(([value, kind]) => el("option", { value }, kind.name)));
  at("kind").addEventListener("change", () => {
    giveUp();
    prompt();
  });
  at("done").addEventListener("click", finish);
  at("keep").addEventListener("click", keep);
  at("straighten").addEventListener("click", straighten);
  for (const id of ["uneven", "on-model", "pick-error"]) at(id).addEventListener("change", measure);
  try {
    survey = await connection.survey();
    showSurvey();
    await desk.start();
  } catch (error) {
    refused(error);
  }
  show();
  window.addEventListener("focus", async () => {
    try {
      survey = await connection.survey();
      showSurvey();
    } catch (error) {
      refused(error);
    }
  });
  document.documentElement.dataset.ready = "true";
}

start();
