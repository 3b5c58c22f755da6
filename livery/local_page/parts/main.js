// The page of a job: what the engine says of it, shown; what each part of the page asks, passed on.

import { Beside } from "./beside.js";
import { Coats } from "./coats.js";
import * as connection from "./connection.js";
import { at, el } from "./dom.js";
import { Dragging } from "./dragging.js";
import { Figures, toldApart } from "./figures.js";
import { HandOver } from "./handover.js";
import { Input } from "./input.js";
import { Leading } from "./leading.js";
import { Marks } from "./marks.js";
import { refused, say } from "./notice.js";
import { Pointing } from "./pointing.js";
import { wirePrinting } from "./printing.js";
import { furnish } from "./room.js";
import { Rule } from "./rule.js";
import { Seeing } from "./seeing.js";
import { Sheet } from "./sheet.js";
import { Trying } from "./trying.js";
import { Turning } from "./turning.js";
import { View, dotsPerMillimetre } from "./view.js";
import { Whereabouts } from "./whereabouts.js";

// What the parts of the page share.
const page = {
  job: null,
  version: -1,
  group: "",
  figures: new Figures(),
  view: new View(),
  seeing: new Seeing(),
  panelOf(name) {
    const head = this.job.figures.find((h) => h.name === `panel ${name}`);
    return head && this.figures.get(head.digest);
  },
  toPanels(panel) {
    const head = this.job.figures.find((h) => h.name === `panel ${panel}`);
    return head && head.group !== this.group ? changeGroup(head.group) : Promise.resolve();
  },
  answered,
  tried: () => page.marks.showJoins(),
};
const { view, figures, seeing } = page;
page.sheet = new Sheet(at("sheet"), at("pins"), view, seeing);
const { sheet } = page;
page.rule = new Rule({ sheet, ratio: () => page.job?.scale?.ratio, say });
page.trying = new Trying(page);
page.tries = page.trying.tries;
page.pointing = new Pointing(page);
page.marks = new Marks(page);
const { rule, trying, tries, pointing, marks } = page;
const whereabouts = new Whereabouts(page);
const leading = new Leading(page);
const dragging = new Dragging(page);

// ---------------------------------------------------------------- what the engine says

let order = Promise.resolve();

// Shows an answer once the figures it needs are at hand: nothing is taken away before.
function answered(data) {
  order = order.then(() => show(data)).catch(refused);
  return order;
}

async function show(data) {
  const first = page.job === null;
  const groups = [...new Set(data.figures.map((head) => head.group))];
  if (!groups.includes(page.group)) page.group = groups[0] ?? "";
  figures.take(data.drawn);
  const wanted = data.figures.filter((head) => head.group === page.group || head.kind === "panel");
  await Promise.all([...wanted.map((head) => figures.load(head.digest)), seeing.prepare(data.paints)]);
  const { drawn: _, ...job } = data;
  page.job = { ...job, figures: toldApart(job.figures), editor: data.editor ?? page.job?.editor ?? "" };
  page.version = data.version;
  showGroups(groups);
  sheet.setPaints(page.job.paints);
  forget();
  draw();
  if (first) {
    turning.flat();
    whole();
  } else turning.paint();
  document.documentElement.dataset.version = String(page.version);
  await painted(); // what is said beside the drawing waits until the drawing is seen
  showHead();
  leading.show();
  await pointing.again();
  trying.show();
}

// The next frame, or soon where the page is not seen and no frame comes.
const painted = () => new Promise((done) => {
  const late = setTimeout(done, 100);
  requestAnimationFrame(() => {
    clearTimeout(late);
    setTimeout(done);
  });
});

function heads() {
  return beside.withTwins(page.job.figures.filter((head) => head.group === page.group));
}

function draw() {
  sheet.lay(heads());
  for (const head of heads()) {
    const place = sheet.placed.get(head.name);
    const content = figures.get(head.digest);
    if (content && (head.paints || place.content !== content)) sheet.put(head.name, content, figures, head.paints);
  }
}

// Only the figures of the present answer are kept, and of what is held beside it.
function forget() {
  trying.remember(page.job);
  const kept = [...page.job.figures, ...trying.written.heads].map((head) => head.digest);
  figures.keepOnly(new Set([...kept, ...beside.digests]));
}

function showGroups(groups) {
  const select = at("group");
  if ([...select.options].map((o) => o.value).join("\n") === groups.join("\n")) return;
  select.replaceChildren(...groups.map((name) => el("option", { value: name }, name)));
  select.value = page.group;
}

function showHead() {
  const { job } = page;
  at("title").textContent = job.title;
  document.title = `${job.title} · Livery`;
  at("scale").textContent = job.scale ? `${job.file} · ${job.scale.words}` : job.file;
  if (job.stale) say("A fault leaves nothing to show: the drawing is as it was before.", true);
}

async function changeGroup(name) {
  page.group = name;
  at("group").value = name;
  await Promise.all(heads().map((head) => figures.load(head.digest)));
  draw();
  leading.showPins();
  sheet.showSelected();
  marks.showJoins();
  turning.flat();
  whole();
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
  whereabouts.showNear();
  rule.draw();
};

// Shows all colours in another way.
async function see() {
  for (const name of ["eyes", "lamp", "plate"]) seeing.way[name] = at(name).value;
  const { job } = page;
  try {
    for (const paints of [trying.written.paints, job.paints, beside.other?.paints ?? {}]) await seeing.prepare(paints);
  } catch (error) {
    refused(error);
  }
  const left = seeing.leftOut(job.paints);
  at("seen-words").textContent = left.length ? `Shown as in daylight, because no plain paint can be so strong: ${left.join(", ")}.` : "";
  sheet.repaint();
  draw();
  trying.showBefore();
  turning.paint();
}

// ---------------------------------------------------------------- the parts that need others

const turning = new Turning({
  sheet,
  vehicle: () => heads().map((head) => figures.get(head.digest)?.vehicle).find(Boolean),
  paint: (name) => page.job.paints[name],
  isTried: () => trying.isOn,
  flat: () => whereabouts.showNear(),
  refused,
});

const coats = new Coats({
  sheet,
  panel: () =>
    pointing.current?.panel ??
    sheet.figureAt(view.toSheet({ x: view.width / 2, y: view.height / 2 }))?.content?.panel ??
    page.job.figures.find((h) => h.kind === "panel")?.name.slice("panel ".length),
  title: (panel) => page.panelOf(panel)?.title ?? panel,
  show: async (panel) => {
    await page.toPanels(panel);
    view.show(sheet.boxOf(`panel ${panel}`), 0.08);
  },
  refused,
});

const handOver = new HandOver(refused);

const beside = new Beside({
  load: (digest) => figures.load(digest),
  written: () => trying.written,
  again: () => {
    draw();
    leading.showPins();
    sheet.showSelected();
    whole();
  },
  say,
  refused,
});

// ---------------------------------------------------------------- wiring

function press(id, act) {
  at(id).addEventListener("click", act);
}

function wire() {
  new Input(at("sheet"), view, {
    near: (p) => whereabouts.near(p),
    pointed: (p) => pointing.pointed(p),
    grabbed: (p) => dragging.grabbed(p),
    dragged: (kind, from, to) => dragging.dragged(kind, from, to),
    dropped: (kind) => dragging.dropped(kind),
    whole,
    life,
    letGo: () => pointing.letGo(),
    rule: () => rule.toggle(),
    cross: (p) => sheet.setCross(p),
  });
  sheet.setCross(null);
  press("zoom-in", () => zoomMiddle(1.5));
  press("zoom-out", () => zoomMiddle(1 / 1.5));
  press("whole", () => (turning.isOn ? turning.whole() : whole()));
  press("life", life);
  press("rule", () => rule.toggle());
  for (const part of [turning, handOver, beside, trying, marks, coats]) part.wire();
  at("group").addEventListener("change", (event) => changeGroup(event.target.value));
  for (const name of ["eyes", "lamp", "plate"]) at(name).addEventListener("change", see);
  for (const menu of document.querySelectorAll(".drop")) menu.addEventListener("keydown", closing);
  furnish(() => whereabouts.showNear());
  const size = () => {
    const box = at("sheet").getBoundingClientRect();
    if (!box.width) return; // the solid stands in its place
    view.width = box.width;
    view.height = box.height;
    view.changed();
  };
  wirePrinting(at("sheet"), view);
  new ResizeObserver(size).observe(at("sheet"));
  size();
}

function closing(event) {
  if (event.key !== "Escape") return;
  event.currentTarget.open = false;
  event.currentTarget.querySelector("summary").focus();
}

async function start() {
  wire();
  try {
    await answered({ ...(await connection.job()), tried: [] });
  } catch (error) {
    refused(error);
  }
  connection.news(
    async (now) => {
      await trying.keeping; // what this page writes itself is no news to it
      await order;
      if (now <= page.version) return;
      try {
        if (trying.isOn) await tries.again();
        else await answered({ ...(await connection.job(page.version, page.group)), tried: [] });
      } catch (error) {
        refused(error);
      }
    },
    () => say("Livery does not answer: was it stopped?", true),
  );
  document.documentElement.dataset.ready = "true";
}

start();
