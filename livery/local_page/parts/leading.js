// The lists of findings and of pieces, which lead there, and the findings at their places.

import { at } from "./dom.js";
import { foundList, thereList } from "./found.js";
import { pinFor } from "./sheet.js";

export class Leading {
  // ``page`` has the job, the sheet, the view and what is pointed at, and shows a panel.
  constructor(page) {
    this.page = page;
  }

  show() {
    const { job } = this.page;
    at("found").replaceChildren(...foundList(job, (finding) => this.toFinding(finding)));
    const panels = job.figures
      .filter((head) => head.kind === "panel")
      .map((head) => ({ head, content: this.page.figures.get(head.digest) }));
    const open = new Set([...at("there").querySelectorAll("details[open] summary")].map((s) => s.textContent));
    at("there").replaceChildren(...thereList(panels, (panel, i) => this.toPiece(panel, i)));
    for (const d of at("there").children) d.open = open.has(d.firstChild.textContent);
    this.showPins();
  }

  // A pin on every figure that shows where a finding is.
  showPins() {
    const pins = this.page.job.findings.flatMap((finding, i) =>
      finding.places.map(({ figure, x, y }) => pinFor(finding, i + 1, figure, x, y, () => this.toFinding(finding, figure))));
    this.page.sheet.setPins(pins);
  }

  async toPiece(panel, i) {
    await this.page.toPanels(panel);
    this.page.view.show(this.page.sheet.boxOf(`panel ${panel}`), 0.08);
    if (i === null) this.page.pointing.letGo();
    else {
      await this.page.pointing.tell(panel, i);
      document.getElementById("piece-name")?.focus();
    }
  }

  // Shows a finding's place: on the figure it was asked for on, otherwise on its panel.
  async toFinding(finding, on = `panel ${finding.panel}`) {
    if (on === `panel ${finding.panel}`) await this.page.toPanels(finding.panel);
    const { sheet, view } = this.page;
    const box = sheet.boxOf(on);
    const content = this.page.panelOf(finding.panel);
    if (!box || !content) return;
    const place = finding.places.find((one) => one.figure === on);
    if (place) {
      const side = Math.max(content.width, content.height) / 8;
      view.show({ x: box.x + place.x - side / 2, y: box.y + place.y - side / 2, width: side, height: side });
    } else view.show(box, 0.08);
    const i = content.pieces.findIndex((p) => finding.key.startsWith(p.key));
    if (i >= 0) await this.page.pointing.tell(finding.panel, i);
  }
}
