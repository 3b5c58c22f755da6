// The page: what the engine says of the job, shown; what the user does, asked of the engine.

import { Beside } from "./beside.js";
import { Coats } from "./coats.js";
import * as connection from "./connection.js";
import { at, el } from "./dom.js";
import { foundList, thereList } from "./found.js";
import { Input } from "./input.js";
import { carried, feetAndInches, millimetres } from "./lengths.js";
import { drawBar } from "./scalebar.js";
import { HandOver } from "./handover.js";
import { furnish } from "./room.js";
import { Rule } from "./rule.js";
import { Seeing } from "./seeing.js";
import { Turning } from "./turning.js";
import { Sheet, pinFor } from "./sheet.js";
import { keyWords, toldPiece } from "./told.js";
import { Tries } from "./tries.js";
import { View, dotsPerMillimetre, isScreenMeasured } from "./view.js";

const view = new View();
const seeing = new Seeing();
const sheet = new Sheet(at("sheet"), at("pins"), view, seeing);
const rule = new Rule({ sheet, ratio: () => job?.scale?.ratio, say });
const figures = new Map(); // digest -> content
let job = null;
let editor = "";
let version = -1;
let told = null; // {panel, piece, key, settings, sheets}
let drag = null;
let group = "";

// ---------------------------------------------------------------- what the engine says

async function load(digest) {
  if (!figures.has(digest)) {
    const content = await connection.figure(digest);
    figures.set(digest, content);
    for (const part of content.parts ?? []) await load(part.digest);
  }
  return figures.get(digest);
}

function heads() {
  return beside.withTwins(job.figures.filter((head) => head.group === group));
}

let written = { heads: [], paints: {} }; // the job as its files are, to hold beside what is tried

function showBefore() {
  const share = tries.pending.size ? Number(at("before").value) / 100 : 0;
  const contents = new Map(written.heads.map((head) => [head.name, figures.get(head.digest)]));
  sheet.setBefore(share, contents, written.paints);
}

let order = Promise.resolve();

// Shows an answer once the figures it needs are at hand: nothing is taken away before.
function answered(data) {
  order = order.then(() => show(data)).catch(refused);
  return order;
}

async function show(data) {
  const first = job === null;
  const groups = [...new Set(data.figures.map((head) => head.group))];
  if (!groups.includes(group)) group = groups[0] ?? "";
  const wanted = data.figures.filter((head) => head.group === group || head.kind === "panel");
  await Promise.all([...wanted.map((head) => load(head.digest)), seeing.prepare(data.paints)]);
  job = { ...data, editor };
  version = data.version;
  document.documentElement.dataset.version = String(version);
  showGroups(groups);
  sheet.setPaints(job.paints);
  forget();
  draw();
  if (first) {
    turning.flat();
    whole();
  } else turning.paint();
  showHead();
  showFound();
  if (told) await retell();
  showTried();
}

function draw() {
  sheet.lay(heads());
  for (const head of heads()) {
    const place = sheet.placed.get(head.name);
    const content = figures.get(head.digest);
    if (content && (head.paints || place.content !== content)) sheet.put(head.name, content, figures, head.paints);
  }
}

// Only the figures of the present answer are kept.
function forget() {
  if (!tries.pending.size) written = { heads: job.figures, paints: job.paints };
  const live = new Set([...[...job.figures, ...written.heads].map((head) => head.digest), ...beside.digests]);
  for (const digest of figures.keys()) if (!live.has(digest)) figures.delete(digest);
}

function showGroups(groups) {
  const select = at("group");
  if ([...select.options].map((o) => o.value).join("\n") === groups.join("\n")) return;
  select.replaceChildren(...groups.map((name) => el("option", { value: name }, name)));
  select.value = group;
}

let joins = { version: -1, panels: {} };

// Joins are those of the files as they are: they are not shown beside what is tried.
async function showJoins() {
  const wanted = at("show-joins").checked && !tries.pending.size;
  try {
    if (wanted && joins.version !== version) joins = { version, panels: await connection.joins() };
  } catch (error) {
    refused(error);
  }
  sheet.setJoins(wanted ? joins.panels : {});
}

function showHead() {
  at("title").textContent = job.title;
  document.title = `${job.title} · Livery`;
  at("scale").textContent = job.scale ? `${job.file} · ${job.scale.words}` : job.file;
  if (job.stale) say("A fault leaves nothing to show: the drawing is as it was before.", true);
}

function showFound() {
  at("found").replaceChildren(...foundList(job, showFinding));
  const panels = job.figures
    .filter((head) => head.kind === "panel")
    .map((head) => ({ head, content: figures.get(head.digest) }));
  const open = new Set([...at("there").querySelectorAll("details[open] summary")].map((s) => s.textContent));
  at("there").replaceChildren(...thereList(panels, openPiece));
  for (const d of at("there").children) d.open = open.has(d.firstChild.textContent);
  showPins();
}

function showPins() {
  const pins = [];
  job.findings.forEach((finding, i) => {
    const place = sheet.placed.get(`panel ${finding.panel}`);
    if (!finding.panel || !finding.where || !place?.content) return;
    const [x, y] = [finding.where[0] - place.content.left, place.content.top - finding.where[1]];
    pins.push(pinFor(finding, i + 1, `panel ${finding.panel}`, x, y, () => showFinding(finding)));
  });
  sheet.setPins(pins);
}

function refused(error) {
  say(error.message, true);
  const wrong = error.findings?.[0];
  const node = wrong?.key && document.getElementById(`value-${wrong.key}-wrong`.replaceAll(" ", "-"));
  if (node) node.textContent = `${wrong.message}. ${wrong.remedy ?? ""}`;
}

function say(words, stays = false) {
  const node = at("notice");
  node.textContent = words;
  clearTimeout(say.timer);
  if (!stays) say.timer = setTimeout(() => (node.textContent = ""), 6000);
}

// ---------------------------------------------------------------- what is shown, and how near

function whole() {
  view.show(sheet.extent);
}

function zoomMiddle(times) {
  if (turning.isOn) turning.zoom(times);
  else view.zoomAt({ x: view.width / 2, y: view.height / 2 }, times);
}

function life() {
  view.setScale(dotsPerMillimetre());
}

view.changed = () => {
  sheet.moved();
  showNear();
  rule.draw();
};

function showNear() {
  const share = view.scale / dotsPerMillimetre();
  const times = share >= 10 ? `${share.toFixed(0)} times` : `${(share * 100).toPrecision(3)} % of`;
  const measured = isScreenMeasured() ? "" : " (screen not measured)";
  at("near").textContent = `Everything at one scale: ${times} life size${measured}`;
  drawBar(at("bar"), view.scale, job?.scale?.ratio, Math.max(120, Math.min(view.width - 90, view.width * 0.5)));
}

function near(p) {
  at("where").textContent = p && job ? placeWords(view.toSheet(p)) : "";
}

function placeWords(p) {
  const place = sheet.figureAt(p);
  if (!place?.content) return "";
  const c = place.content;
  const [x, y] = [p.x - place.x + c.left, c.top - (p.y - place.y)];
  const ratio = job.scale?.ratio;
  const name = c.panel ?? c.vehicle ?? c.kind;
  const decimals = view.scale > 40 ? 2 : 1;
  const model = `${millimetres(x, decimals)} across, ${millimetres(y, decimals)} up`;
  if (!ratio) return `${name}: ${model}`;
  const [u, v] = c.drawn ? [carried(c.drawn.x, x), carried(c.drawn.y, y)] : [x, y];
  const by = c.drawn ? "by the drawing" : "at scale";
  return `${name}: ${model} · ${feetAndInches(u / ratio)}, ${feetAndInches(v / ratio)} ${by}`;
}

// ---------------------------------------------------------------- pointing at a piece

function pointed(p) {
  if (rule.isOn) {
    rule.pointed(view.toSheet(p));
    return;
  }
  const hit = sheet.under(p.x, p.y);
  if (hit) tell(hit.panel, hit.piece);
  else letGo();
}

function panelOf(name) {
  const head = job.figures.find((h) => h.name === `panel ${name}`);
  return head && figures.get(head.digest);
}

async function tell(panel, i) {
  const content = panelOf(panel);
  const piece = content?.pieces[i];
  if (!piece) return;
  told = { panel, i, key: piece.key, name: piece.name, settings: [], sheets: "looking it up …" };
  sheet.select(panel, i);
  showTold();
  at("told").hidden = false;
  await retell();
}

async function retell() {
  const now = told;
  const content = panelOf(now.panel);
  const i = content?.pieces.findIndex((p) => p.key === now.key && p.name === now.name);
  if (i === undefined || (i < 0 && !content.pieces[now.i])) {
    letGo();
    return;
  }
  now.i = i < 0 ? now.i : i;
  try {
    if (now.version !== version) {
      now.settings = await connection.settings(now.key);
      now.version = version;
      connection.cutFrom(now.key, content.pieces[now.i].paint).then(
        (lines) => cutFrom(now, lines.join("; ") || "no film"),
        () => cutFrom(now, "not known while there are faults"),
      );
    }
  } catch (error) {
    refused(error);
  }
  if (told !== now) return;
  sheet.select(now.panel, now.i);
  showTold();
}

function cutFrom(now, words) {
  now.sheets = words;
  if (told === now && at("cut-from")) at("cut-from").textContent = words;
}

// Draws again what is said; the keyboard stays where it is, and what is being typed stays.
function showTold() {
  const panel = panelOf(told.panel);
  const piece = panel?.pieces[told.i];
  if (!piece) return;
  const active = document.activeElement;
  const typing = active?.dataset?.key && at("told").contains(active) ? active : null;
  const kept = typing ? { id: typing.id, value: typing.value, typed: typing.value !== typing.defaultValue } : null;
  const [start, end] = typing?.type === "text" ? [typing.selectionStart, typing.selectionEnd] : [null, null];
  const label = at("told").contains(active) ? active.getAttribute("aria-label") : null;
  const nodes = toldPiece({ panel, piece, job, settings: told.settings, sheets: told.sheets, tries, act: toldActs });
  at("told").replaceChildren(...nodes.filter(Boolean));
  const again = kept && document.getElementById(kept.id);
  if (again) {
    again.focus();
    if (kept.typed) again.value = kept.value;
    if (start !== null && again.type === "text") again.setSelectionRange(start, end);
  }
  if (label && !again) [...at("told").querySelectorAll("[aria-label]")].find((n) => n.getAttribute("aria-label") === label)?.focus();
}

const toldActs = {
  close: () => {
    letGo();
    at("sheet").focus();
  },
  isOpen: (id) => Boolean(at(id)?.open),
  set: (setting, to) => tries.change([{ key: setting.key, to }]),
  step: (setting, from, steps, step) =>
    tries.change([{ key: setting.key, to: setting.kind === "number" ? Number(from) : from, steps, step }], `step ${setting.key}`),
};

function letGo() {
  told = null;
  sheet.select(null);
  at("told").hidden = true;
  rule.letGo();
}

function toPanels(panel) {
  const head = job.figures.find((h) => h.name === `panel ${panel}`);
  if (head && head.group !== group) return changeGroup(head.group);
  return Promise.resolve();
}

async function openPiece(panel, i) {
  await toPanels(panel);
  view.show(sheet.boxOf(`panel ${panel}`), 0.08);
  if (i === null) letGo();
  else {
    await tell(panel, i);
    document.getElementById("told-name")?.focus();
  }
}

async function showFinding(finding) {
  await toPanels(finding.panel);
  const box = sheet.boxOf(`panel ${finding.panel}`);
  const content = panelOf(finding.panel);
  if (!box || !content) return;
  if (finding.where) {
    const [x, y] = [finding.where[0] - content.left + box.x, content.top - finding.where[1] + box.y];
    const side = Math.max(box.width, box.height) / 8;
    view.show({ x: x - side / 2, y: y - side / 2, width: side, height: side });
  } else view.show(box, 0.08);
  const i = content.pieces.findIndex((p) => finding.key.startsWith(p.key));
  if (i >= 0) await tell(finding.panel, i);
}

async function changeGroup(name) {
  group = name;
  at("group").value = name;
  await Promise.all(heads().map((head) => load(head.digest)));
  draw();
  showPins();
  sheet.showSelected();
  showJoins();
  turning.flat();
  whole();
}

// ---------------------------------------------------------------- trying

const tries = new Tries({
  answered: (data, before) => {
    for (const { key, written } of data.tried) {
      const old = before.get(key);
      if (old && old.written !== written) say(`${keyWords(key)} was changed elsewhere meanwhile: it is now ${written === null ? "not said" : `"${written}"`} in the file.`, true);
    }
    return answered(data);
  },
  refused,
  changed: () => showTried(),
});

function showTried() {
  const list = [...tries.pending];
  at("tried").hidden = !list.length;
  at("tried-words").textContent = list.length === 1 ? "One value is tried, not kept:" : `${list.length} values are tried, not kept:`;
  at("tried-list").replaceChildren(...list.map(([key, p]) =>
    el("li", {}, el("b", {}, keyWords(key)), ` ${p.written ?? "not said"} `, el("span", { "aria-label": "becomes" }, "→"), ` ${p.value}`)));
  showJoins();
  if (!list.length) at("before").value = "0";
  showBefore();
  at("undo").disabled = !tries.past.length;
  at("redo").disabled = !tries.future.length;
}

let keeping = Promise.resolve();

async function keep() {
  try {
    const writing = tries.keep(() => job.files);
    keeping = writing.catch(() => {});
    const data = await writing;
    await answered({ ...data, tried: [] });
    say("Kept.");
  } catch (error) {
    refused(error);
    if (error.why === "changed") await tries.again();
  }
  showTried();
}

// What dragging the piece that is pointed at would change: its place, or its inset.
function movers() {
  if (!told) return null;
  const sizes = told.settings.filter((s) => s.kind === "size" && !s.absent);
  const own = (end) => sizes.find((s) => s.key.endsWith(end) && s.key.startsWith("panel."));
  const [x, y] = [own(".at.0") ?? own(".upright"), own(".at.1") ?? own(".level")];
  if (x || y) return { x, y };
  const inset = own(".inset");
  return inset ? { inset } : null;
}

function grabbed(p) {
  if (rule.isOn) return "rule";
  const hit = told && sheet.under(p.x, p.y);
  if (!hit || hit.panel !== told.panel || !movers()) return "pan";
  const same = panelOf(hit.panel).pieces[hit.piece]?.key === told.key;
  return same && sheet.placed.has(`panel ${told.panel}`) ? "move" : "pan";
}

function dragged(kind, from, to) {
  if (kind === "rule") {
    rule.dragged(view.toSheet(from), view.toSheet(to));
    return;
  }
  drag ??= { gesture: Symbol("drag"), start: startOf(from) };
  const [dx, dy] = [(to.x - from.x) / view.scale, (from.y - to.y) / view.scale];
  const changes = drag.start.map(({ key, from: text, x, y }) => ({ key, to: text, mm: dx * x + dy * y }));
  tries.change(changes, drag.gesture);
}

function dropped(kind) {
  if (kind === "move") drag = null;
}

// Each value that a drag changes, as it is now, and how far it goes for a step right and up.
function startOf(from) {
  const m = movers();
  const content = panelOf(told.panel);
  const turned = content.otherHand ? -1 : 1;
  const value = (s) => String(tries.value(s.key, s.value));
  if (m.inset) {
    const place = sheet.placed.get(`panel ${told.panel}`);
    const p = view.toSheet(from);
    const [x, y] = [p.x - place.x, p.y - place.y];
    const edges = [[x, 1, 0], [content.width - x, -1, 0], [y, 0, -1], [content.height - y, 0, 1]];
    const [, inX, inY] = edges.sort((a, b) => a[0] - b[0])[0];
    return [{ key: m.inset.key, from: value(m.inset), x: inX, y: inY }];
  }
  const list = [];
  if (m.x) list.push({ key: m.x.key, from: value(m.x), x: turned, y: 0 });
  if (m.y) list.push({ key: m.y.key, from: value(m.y), x: 0, y: 1 });
  return list;
}

// ---------------------------------------------------------------- turned about

const turning = new Turning({
  sheet,
  vehicle: () => heads().map((head) => figures.get(head.digest)?.vehicle).find(Boolean),
  paint: (name) => job.paints[name],
  isTried: () => tries.pending.size > 0,
  flat: showNear,
  refused,
});

// ---------------------------------------------------------------- coat by coat

const coats = new Coats({
  sheet,
  panel: () =>
    told?.panel ??
    sheet.figureAt(view.toSheet({ x: view.width / 2, y: view.height / 2 }))?.content?.panel ??
    job.figures.find((h) => h.kind === "panel")?.name.slice("panel ".length),
  title: (panel) => panelOf(panel)?.title ?? panel,
  show: async (panel) => {
    await toPanels(panel);
    view.show(sheet.boxOf(`panel ${panel}`), 0.08);
  },
  refused,
});

const handOver = new HandOver(refused);

const beside = new Beside({
  load,
  written: () => written,
  again: () => {
    draw();
    showPins();
    sheet.showSelected();
    whole();
  },
  refused,
});

// ---------------------------------------------------------------- wiring

function press(id, act) {
  at(id).addEventListener("click", act);
}

function wire() {
  new Input(at("sheet"), view, { near, pointed, grabbed, dragged, dropped, whole, life, letGo, rule: () => rule.toggle(), cross: (p) => sheet.setCross(p) });
  sheet.setCross(null);
  press("nearer", () => zoomMiddle(1.5));
  press("farther", () => zoomMiddle(1 / 1.5));
  press("whole", () => (turning.isOn ? turning.whole() : whole()));
  press("life", life);
  press("rule", () => rule.toggle());
  turning.wire();
  handOver.wire();
  beside.wire();
  press("keep", keep);
  press("drop", () => tries.drop());
  press("undo", () => tries.undo());
  press("redo", () => tries.redo());
  at("group").addEventListener("change", (event) => changeGroup(event.target.value));
  for (const name of ["findings", "datums", "keep-outs", "guides"]) {
    const box = at(`show-${name}`);
    const set = () => document.body.classList.toggle(`no-${name}`, !box.checked);
    box.addEventListener("change", set);
    set();
  }
  at("show-joins").addEventListener("change", showJoins);
  coats.wire();
  at("before").addEventListener("input", showBefore);
  for (const name of ["eyes", "lamp", "plate"]) at(name).addEventListener("change", see);
  for (const menu of document.querySelectorAll(".drop")) menu.addEventListener("keydown", closing);
  document.addEventListener("keydown", backAndForth);
  furnish(showNear);
  const size = () => {
    const box = at("sheet").getBoundingClientRect();
    if (!box.width) return; // the solid stands in its place
    view.width = box.width;
    view.height = box.height;
    view.changed();
  };
  new ResizeObserver(size).observe(at("sheet"));
  size();
}

// Shows all colours in another way.
async function see() {
  for (const name of ["eyes", "lamp", "plate"]) seeing.way[name] = at(name).value;
  try {
    for (const paints of [written.paints, job.paints, beside.other?.paints ?? {}]) await seeing.prepare(paints);
  } catch (error) {
    refused(error);
  }
  const left = seeing.leftOut(job.paints);
  at("seen-words").textContent = left.length ? `Shown as in daylight, for no plain paint can be so strong: ${left.join(", ")}.` : "";
  sheet.repaint();
  draw();
  showBefore();
  turning.paint();
}

function closing(event) {
  if (event.key !== "Escape") return;
  event.currentTarget.open = false;
  event.currentTarget.querySelector("summary").focus();
}

function backAndForth(event) {
  if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text], textarea")) return;
  const key = event.key.toLowerCase();
  if (key === "z" && !event.shiftKey) tries.undo();
  else if (key === "y" || (key === "z" && event.shiftKey)) tries.redo();
  else return;
  event.preventDefault();
}

async function start() {
  wire();
  try {
    const data = await connection.job();
    editor = data.editor;
    await answered({ ...data, tried: [] });
  } catch (error) {
    refused(error);
  }
  connection.news(
    async (now) => {
      await keeping; // what this page writes itself is no news to it
      await order;
      if (now <= version) return;
      if (tries.pending.size) await tries.again();
      else await answered({ ...(await connection.job()), tried: [] });
    },
    () => say("Livery does not answer: was it stopped?", true),
  );
  document.documentElement.dataset.ready = "true";
}

start();
