// What a piece is and where it comes from, with the values of its entry to change.

import { el } from "./dom.js";
import { millimetres } from "./lengths.js";

const LIMITS = {
  line: "line",
  gap: "gap",
  radius: "radius",
  inside_radius: "inside corner",
  island: "island",
  letter: "letters",
  longest: "longest",
  fine: "fine below",
  fine_longest: "longest if fine",
};

export function pieceDetails({ panel, piece, job, settings, sheets, tries, act }) {
  const paint = job.paints[piece.paint];
  const entry = job.entries[piece.key];
  return [
    el("div", { class: "row spread" },
      el("h2", { id: "piece-name", tabindex: "-1" }, piece.name),
      el("button", { type: "button", class: "quiet", onclick: act.close, "aria-label": "Clear the selection" }, "×"),
    ),
    el("dl", {},
      ...pair("On", panel.title),
      ...pair("Written", written(entry, job.editor)),
      ...pair("Paint", swatch(paint?.hex), piece.paint, paint?.finish ? `, ${paint.finish}` : ""),
      ...(paint?.note ? pair("For", paint.note) : []),
      ...pair("Put on by", piece.process),
      ...pair("Finest work", limits(job.processes[piece.process])),
      ...pair("Area", area(piece.area)),
      el("dt", {}, "Cut sheet"),
      el("dd", { id: "cut-from" }, sheets),
    ),
    changes(settings, piece, job, tries, act),
    sizes(panel.sizes.filter((row) => row.key === piece.key)),
  ];
}

function pair(name, ...value) {
  return [el("dt", {}, name), el("dd", {}, ...value)];
}

function written(entry, editor) {
  if (!entry) return "";
  const words = `${entry.file}, line ${entry.line}`;
  const line = el("code", { class: "line" }, entry.text);
  if (!editor) return el("span", {}, words, line);
  const address = editor
    .replaceAll("{file}", encodeURI(entry.path))
    .replaceAll("{line}", String(entry.line))
    .replaceAll("{column}", String(entry.column));
  return el("span", {}, el("a", { href: address }, words), line);
}

function swatch(hex) {
  const node = el("span", { class: "swatch", "aria-hidden": "true" });
  if (hex) node.style.backgroundColor = hex;
  return node;
}

function limits(values) {
  const words = Object.entries(values ?? {}).map(([name, mm]) => `${LIMITS[name] ?? word(name)} ${mm} mm`);
  return words.join(", ") || "no limit known";
}

function area(mm2) {
  return mm2 >= 100 ? `${(mm2 / 100).toFixed(1)} cm²` : `${mm2.toFixed(1)} mm²`;
}

function sizes(rows) {
  if (!rows.length) return null;
  const head = ["", "prototype", "at scale", "as fitted", "moved"];
  const table = el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": "Sizes" },
    el("table", {},
      el("thead", {}, el("tr", {}, ...head.map((h) => el(h ? "th" : "td", h ? { scope: "col" } : {}, h)))),
      el("tbody", {}, ...rows.map((row) =>
        el("tr", {},
          el("th", { scope: "row" }, row.what.replace(/^lining \d+, /, "")),
          el("td", {}, row.prototype),
          el("td", {}, millimetres(row.atScale, 2)),
          el("td", {}, millimetres(row.asFitted, 2)),
          el("td", {}, moved(row.asFitted - row.atScale)),
        ))),
    ));
  return el("div", {}, el("h3", {}, "Sizes"), table);
}

function moved(mm) {
  if (Math.abs(mm) < 0.005) return "0";
  return `${mm > 0 ? "+" : "−"}${Math.abs(mm).toFixed(2)} mm`;
}

// -- the values to change

function changes(settings, piece, job, tries, act) {
  const box = el("div", { class: "changes" }, el("h3", {}, "Try"));
  if (!settings.length) box.append(el("p", {}, "Nothing here can be changed from this page."));
  let group = "";
  const absent = settings.filter((setting) => setting.absent);
  for (const setting of settings.filter((one) => !one.absent)) {
    const [words, name] = named(setting.key, piece.key);
    if (words !== group) {
      group = words;
      if (words) box.append(el("h4", {}, words));
    }
    box.append(field(setting, name, job, tries, act));
  }
  if (settings.some((s) => !s.canBeKept)) {
    box.append(el("p", { class: "small" }, "Values marked ° are in a file outside the job's folder: you can try them here, but change them in that file."));
  }
  if (absent.length) {
    const isOpen = absent.some((one) => tries.pending.has(one.key));
    const rows = absent.map((setting) => field(setting, named(setting.key, piece.key)[1], job, tries, act));
    box.append(el("details", { class: "panel-list", id: "absent", open: isOpen || act.isOpen("absent") }, el("summary", {}, "Other keys"), ...rows));
  }
  return box;
}

// A dotted key in words, entries counted from 1.
export const keyWords = (key) => key.split(".").map(word).join(" ");

// Splits a dotted key into what it is a part of and its own name.
function named(key, own) {
  const parts = key.split(".");
  if (parts[0] === "band") return [`band ${parts[1]}`, strand(parts.slice(2))];
  if (parts[0] === "paint") return [`paint ${parts[1]}`, colour(parts.slice(2))];
  const rest = parts.slice(own.split(".").length);
  return ["", (rest.length ? rest : parts.slice(-1)).map(word).join(" ")];
}

const word = (part) => (/^\d+$/.test(part) ? String(Number(part) + 1) : part.replaceAll("_", " "));
const strand = (parts) => (parts[0] === "strands" ? `strand ${Number(parts[1]) + 1} ${parts.slice(2).map(word).join(" ")}` : parts.map(word).join(" "));
const colour = (parts) => (parts[0] === "lab" ? ["lightness L*", "red-green a*", "yellow-blue b*"][Number(parts[1])] : parts.join(" "));

function field(setting, name, job, tries, act) {
  const id = `value ${setting.key}`.replaceAll(" ", "-");
  const value = tries.value(setting.key, setting.value);
  const label = `${name}${setting.canBeKept ? "" : " °"}`;
  const input = control(setting, value, id, job, act);
  input.dataset.key = setting.key;
  const row = el("div", { class: "field" }, el("label", { for: id, title: setting.about ?? `${setting.file}, line ${setting.line}` }, label));
  const steps = (setting.kind === "size" || setting.kind === "number") && value !== null;
  row.append(el("div", { class: "row" },
    steps ? stepper(setting, input, name, -1, act) : null,
    input,
    steps ? stepper(setting, input, name, 1, act) : null,
  ));
  row.append(el("p", { class: "wrong", id: `${id}-wrong`, role: "alert" }));
  return row;
}

function stepper(setting, input, name, by, act) {
  const words = `${by < 0 ? "Less" : "More"}: ${name}`;
  return el("button", { type: "button", class: "step", "aria-label": words, onclick: () => act.step(setting, input.value, by, "plain") }, by < 0 ? "−" : "+");
}

function control(setting, value, id, job, act) {
  const set = (to) => act.set(setting, to);
  if (setting.kind === "switch") {
    const box = el("input", { id, type: "checkbox", onchange: () => set(box.checked) });
    box.checked = Boolean(value);
    return box;
  }
  const list = { paint: Object.keys(job.paints), process: Object.keys(job.processes), choice: setting.choices }[setting.kind];
  if (list) {
    const none = setting.absent ? [el("option", { value: "" }, "not said")] : [];
    const choice = el("select", { id, onchange: () => set(choice.value || null) }, ...none, ...list.map((name) => el("option", { value: name }, name)));
    choice.value = value ?? "";
    return choice;
  }
  if (setting.kind === "words" && String(value).includes("\n")) {
    const area = el("textarea", { id, rows: 3, onchange: () => set(area.value) });
    area.defaultValue = value;
    return area;
  }
  const input = el("input", { id, type: "text", autocomplete: "off", spellcheck: "false", inputmode: setting.kind === "number" ? "decimal" : null });
  input.defaultValue = value ?? "";
  const sent = () => (input.defaultValue = input.value); // what is asked for is no longer being typed
  const said = () => (setting.kind === "number" ? Number(sent().replace(",", ".")) : sent());
  input.addEventListener("change", () => set(setting.absent && input.value.trim() === "" ? null : said()));
  if ((setting.kind === "size" || setting.kind === "number") && value !== null) {
    input.addEventListener("keydown", (event) => {
      if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
      event.preventDefault();
      const step = event.shiftKey ? "coarse" : event.altKey ? "fine" : "plain";
      act.step(setting, sent(), event.key === "ArrowUp" ? 1 : -1, step);
    });
  }
  return input;
}
