// Findings in groups with their count, and the panels with their pieces: lists that lead there.

import { el } from "./dom.js";

const ORDER = { error: 0, warning: 1, note: 2 };
const NAMES = { error: "Fault", warning: "Warning", note: "Note" };

export function foundList(job, show) {
  if (!job.findings.length) return [el("p", {}, "No faults, warnings or notes.")];
  const groups = new Map();
  job.findings.forEach((finding, i) => {
    const name = `${finding.severity} ${finding.code}`;
    if (!groups.has(name)) groups.set(name, []);
    groups.get(name).push({ finding, number: i + 1 });
  });
  const sorted = [...groups.values()].sort((a, b) => ORDER[a[0].finding.severity] - ORDER[b[0].finding.severity]);
  return sorted.map((group) => {
    const { severity, code } = group[0].finding;
    return el("details", { class: `group ${severity}`, open: severity === "error" || sorted.length < 5 },
      el("summary", {}, `${NAMES[severity]}: ${code.replaceAll("-", " ")} `, el("span", { class: "count" }, String(group.length))),
      el("ul", {}, ...group.map(({ finding, number }) => item(finding, number, show))),
    );
  });
}

function item(finding, number, show) {
  const place = finding.file ? `${finding.file}, line ${finding.line}` : "";
  return el("li", {},
    el("p", {}, el("span", { class: `number ${finding.severity}`, "aria-hidden": "true" }, String(number)), " ", finding.message),
    finding.text ? el("code", { class: "line" }, finding.text.trim()) : null,
    finding.remedy ? el("p", { class: "remedy" }, finding.remedy) : null,
    el("div", { class: "row" },
      finding.panel ? el("button", { type: "button", onclick: () => show(finding), "aria-label": `Show ${number} on the panel` }, "Show") : null,
      place ? el("span", { class: "small" }, place) : null,
    ),
  );
}

export function thereList(figures, open) {
  return figures.map(({ head, content }) =>
    el("details", { class: "panel-list" },
      el("summary", {}, head.title),
      el("div", { class: "row wrap" },
        el("button", { type: "button", onclick: () => open(content.panel, null) }, "Show it"),
        ...content.pieces.map((piece, i) =>
          el("button", { type: "button", class: "piece-name", onclick: () => open(content.panel, i) }, piece.name)),
      ),
    ));
}
