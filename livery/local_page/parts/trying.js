// What is tried, said beside the drawing: kept, dropped, taken back, and seen before and after.

import { at, el } from "./dom.js";
import { refused, say } from "./notice.js";
import { keyWords } from "./piece_details.js";
import { Tries } from "./tries.js";

export class Trying {
  // ``page`` has the job, the sheet and the figures, shows answers, and hears when anything is tried.
  constructor(page) {
    this.page = page;
    this.written = { heads: [], paints: {} }; // the job as its files are, to hold beside what is tried
    this.keeping = Promise.resolve();
    this.tries = new Tries({
      group: () => page.group,
      answered: (data, before) => this.answered(data, before),
      refused,
      changed: () => this.show(),
    });
  }

  wire() {
    at("keep").addEventListener("click", () => this.keep());
    at("drop").addEventListener("click", () => this.tries.drop());
    at("undo").addEventListener("click", () => this.tries.undo());
    at("redo").addEventListener("click", () => this.tries.redo());
    at("before").addEventListener("input", () => this.showBefore());
    document.addEventListener("keydown", (event) => this.key(event));
  }

  get isOn() {
    return this.tries.pending.size > 0;
  }

  // Remembers the job as its files are.
  remember(job) {
    if (!this.isOn) this.written = { heads: job.figures, paints: job.paints };
  }

  answered(data, before) {
    for (const { key, written } of data.tried) {
      const old = before.get(key);
      if (old && old.written !== written) say(`${keyWords(key)} was meanwhile changed by another program: it is now ${written === null ? "not said" : `"${written}"`} in the file.`, true);
    }
    return this.page.answered(data);
  }

  show() {
    const list = [...this.tries.pending];
    at("tried").hidden = !list.length;
    at("tried-words").textContent = list.length === 1 ? "One value is tried, not kept:" : `${list.length} values are tried, not kept:`;
    at("tried-list").replaceChildren(...list.map(([key, p]) =>
      el("li", {}, el("b", {}, keyWords(key)), ` ${p.written ?? "not said"} `, el("span", { "aria-label": "becomes" }, "→"), ` ${p.value}`)));
    if (!list.length) at("before").value = "0";
    this.showBefore();
    at("undo").disabled = !this.tries.past.length;
    at("redo").disabled = !this.tries.future.length;
    this.page.tried();
  }

  // What is written lies over what is tried, as far as the slider goes.
  showBefore() {
    const share = this.isOn ? Number(at("before").value) / 100 : 0;
    const { heads, paints } = this.written;
    const contents = new Map(heads.map((head) => [head.name, this.page.figures.get(head.digest)]));
    this.page.sheet.setBefore(share, contents, paints);
  }

  async keep() {
    try {
      const writing = this.tries.keep(() => this.page.job.files);
      this.keeping = writing.catch(() => {});
      const data = await writing;
      await this.page.answered({ ...data, tried: [] });
      say("Kept.");
    } catch (error) {
      refused(error);
      if (error.why === "changed") await this.tries.again();
    }
    this.show();
  }

  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text], textarea")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) this.tries.undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) this.tries.redo();
    else return;
    event.preventDefault();
  }
}
