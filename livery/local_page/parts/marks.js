// What is marked on the drawing or left out: findings, datums, keep-outs, bends, joins in film.

import * as connection from "./connection.js";
import { at } from "./dom.js";
import { refused } from "./notice.js";

const BY_STYLE = ["findings", "datums", "keep-outs", "guides"];

export class Marks {
  // ``page`` has the sheet, the job's version and what is tried.
  constructor(page) {
    this.page = page;
    this.joins = { version: -1, panels: {} };
  }

  wire() {
    for (const name of BY_STYLE) {
      const box = at(`show-${name}`);
      const set = () => document.body.classList.toggle(`no-${name}`, !box.checked);
      box.addEventListener("change", set);
      set();
    }
    at("show-joins").addEventListener("change", () => this.showJoins());
  }

  // Joins are those of the files as they are: they are not shown beside what is tried.
  async showJoins() {
    const wanted = at("show-joins").checked && !this.page.trying.isOn;
    const { version } = this.page;
    try {
      if (wanted && this.joins.version !== version) this.joins = { version, panels: await connection.joins() };
    } catch (error) {
      refused(error);
    }
    this.page.sheet.setJoins(wanted ? this.joins.panels : {});
  }
}
