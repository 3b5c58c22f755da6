// The piece that is pointed at: shown on the sheet, its descent and its values said beside it.

import * as connection from "./connection.js";
import { at } from "./dom.js";
import { refused } from "./notice.js";
import { pieceDetails } from "./piece_details.js";

const UNKNOWN = "not known while there are faults";

export class Pointing {
  // ``page`` has the job, its version, the sheet, the rule and what is tried, and gives a panel by name.
  constructor(page) {
    this.page = page;
    this.current = null; // {panel, i, key, name, settings, sheets, version}
    this.acts = {
      close: () => {
        this.letGo();
        at("sheet").focus();
      },
      isOpen: (id) => Boolean(at(id)?.open),
      set: (setting, to) => page.tries.change([{ key: setting.key, to }]),
      step: (setting, from, steps, step) =>
        page.tries.change([{ key: setting.key, to: setting.kind === "number" ? Number(from) : from, steps, step }], `step ${setting.key}`),
    };
  }

  // Takes what is under a place on the screen.
  pointed(p) {
    const { rule, sheet, view } = this.page;
    if (rule.isOn) {
      rule.pointed(view.toSheet(p));
      return;
    }
    const hit = sheet.under(p.x, p.y);
    if (hit) this.tell(hit.panel, hit.piece);
    else this.letGo();
  }

  async tell(panel, i) {
    const piece = this.page.panelOf(panel)?.pieces[i];
    if (!piece) return;
    this.current = { panel, i, key: piece.key, name: piece.name, settings: [], sheets: "looking it up …" };
    this.page.sheet.select(panel, i);
    this.show();
    at("piece-details").hidden = false;
    await this.again();
  }

  // Says it anew after another answer; lets go of a piece that is no longer there.
  async again() {
    const now = this.current;
    if (!now) return;
    const content = this.page.panelOf(now.panel);
    const i = content?.pieces.findIndex((p) => p.key === now.key && p.name === now.name);
    if (i === undefined || (i < 0 && !content.pieces[now.i])) {
      this.letGo();
      return;
    }
    now.i = i < 0 ? now.i : i;
    try {
      if (now.version !== this.page.version) {
        now.settings = await connection.settings(now.key);
        now.version = this.page.version;
        connection.cutFrom(now.key, content.pieces[now.i].paint).then(
          (lines) => this.cutFrom(now, lines.join("; ") || (this.page.job.faulty ? UNKNOWN : "none")),
          () => this.cutFrom(now, UNKNOWN),
        );
      }
    } catch (error) {
      refused(error);
    }
    if (this.current !== now) return;
    this.page.sheet.select(now.panel, now.i);
    this.show();
  }

  cutFrom(now, words) {
    now.sheets = words;
    if (this.current === now && at("cut-from")) at("cut-from").textContent = words;
  }

  // Draws again what is said; the keyboard stays where it is, and what is being typed stays.
  show() {
    const { current } = this;
    const panel = this.page.panelOf(current.panel);
    const piece = panel?.pieces[current.i];
    if (!piece) return;
    const active = document.activeElement;
    const typing = active?.dataset?.key && at("piece-details").contains(active) ? active : null;
    const kept = typing ? { id: typing.id, value: typing.value, typed: typing.value !== typing.defaultValue } : null;
    const [start, end] = typing?.type === "text" ? [typing.selectionStart, typing.selectionEnd] : [null, null];
    const label = at("piece-details").contains(active) ? active.getAttribute("aria-label") : null;
    const { job, tries } = this.page;
    const nodes = pieceDetails({ panel, piece, job, settings: current.settings, sheets: current.sheets, tries, act: this.acts });
    at("piece-details").replaceChildren(...nodes.filter(Boolean));
    const again = kept && document.getElementById(kept.id);
    if (again) {
      again.focus();
      if (kept.typed) again.value = kept.value;
      if (start !== null && again.type === "text") again.setSelectionRange(start, end);
    }
    if (label && !again) [...at("piece-details").querySelectorAll("[aria-label]")].find((n) => n.getAttribute("aria-label") === label)?.focus();
  }

  letGo() {
    this.current = null;
    this.page.sheet.select(null);
    at("piece-details").hidden = true;
    this.page.rule.letGo();
  }
}
