// What the two pages of pictures share: choosing a picture, looking at it, picking points on it.

import * as connection from "./connection.js";
import { at, el } from "./dom.js";
import { Input } from "./input.js";
import { refused, say, takeBack } from "./notice.js";
import { wirePrinting } from "./printing.js";
import { Picks } from "./picks.js";
import { Picture } from "./picture.js";
import { surroundings } from "./room.js";
import { View } from "./view.js";

const LARGEST = 64; // dots to a pixel of the picture

export class Desk {
  // ``page`` hears what happens: opened(), pointed(place), changed(mark), remove(id), near(place).
  constructor(page) {
    this.page = page;
    this.view = new View(LARGEST);
    this.picture = new Picture(at("sheet"), this.view);
    this.picks = new Picks(at("picks"), at("sheet"), this.view, {
      changed: (mark) => page.changed(mark),
      remove: (id) => page.remove(id),
      pointed: (place) => page.pointed(place),
      extent: () => this.picture.extent,
    });
    this.view.changed = () => {
      this.picture.moved();
      this.picks.moved();
      at("near").textContent = this.picture.info ? `${(this.view.scale * 100).toPrecision(3)} % of its pixels` : "";
    };
    this.wire();
  }

  wire() {
    surroundings();
    new Input(at("sheet"), this.view, {
      near: (p) => this.near(p),
      pointed: (p) => this.pointed(p),
      grabbed: () => "pan",
      dragged: () => {},
      dropped: () => {},
      whole: () => this.whole(),
      life: () => this.view.setScale(1),
      letGo: () => this.page.letGo(),
      rule: () => {},
      cross: (p) => this.setCross(p),
    });
    this.setCross(null);
    const middle = () => ({ x: this.view.width / 2, y: this.view.height / 2 });
    at("zoom-in").addEventListener("click", () => this.view.zoomAt(middle(), 1.5));
    at("zoom-out").addEventListener("click", () => this.view.zoomAt(middle(), 1 / 1.5));
    at("whole").addEventListener("click", () => this.whole());
    at("picture").addEventListener("change", () => this.chosen());
    at("add").addEventListener("click", () => at("file").click());
    at("file").addEventListener("change", () => this.added());
    for (const id of ["page", "dots"]) at(id).addEventListener("change", () => this.chosen());
    const size = () => {
      const box = at("sheet").getBoundingClientRect();
      this.view.width = box.width;
      this.view.height = box.height;
      this.view.changed();
    };
    wirePrinting(at("sheet"), this.view);
    new ResizeObserver(size).observe(at("sheet"));
    size();
  }

  async list() {
    const names = await connection.pictures();
    at("picture").replaceChildren(
      el("option", { value: "" }, names.length ? "choose …" : "no pictures in this folder"),
      ...names.map((name) => el("option", { value: name }, name)),
    );
    return names;
  }

  async start() {
    const names = await this.list();
    const asked = new URLSearchParams(location.search).get("file");
    if (names.includes(asked)) {
      at("picture").value = asked;
      await this.chosen();
    }
  }

  // Copies a picture of the user's into the job's folder, and opens it.
  async added() {
    const [file] = at("file").files;
    at("file").value = "";
    if (!file) return;
    say(`Copying ${file.name} into the folder of the job …`, true);
    try {
      const { file: name } = await connection.addFile(file);
      await this.list();
      at("picture").value = name;
      await this.chosen();
    } catch (error) {
      refused(error);
    }
  }

  get name() {
    return { file: at("picture").value, page: Number(at("page").value) || 1, dots: Number(at("dots").value) || 300 };
  }

  async chosen() {
    const isPdf = at("picture").value.toLowerCase().endsWith(".pdf");
    at("of-pdf").hidden = !isPdf;
    if (!at("picture").value) return;
    let said = "Reading the picture …";
    say(said, true);
    try {
      await this.picture.open(this.name, (wrong) => {
        if (wrong) say((said = wrong), true);
        else takeBack(said);
      });
      this.whole();
      await this.page.opened();
    } catch (error) {
      refused(error);
    }
  }

  whole() {
    if (this.picture.info) this.view.show(this.picture.extent);
  }

  isWithin(p) {
    const { width, height } = this.picture.extent;
    return Boolean(this.picture.info) && p.x >= 0 && p.y >= 0 && p.x <= width && p.y <= height;
  }

  near(p) {
    const place = p && this.view.toSheet(p);
    const here = place && this.isWithin(place);
    at("where").textContent = here ? `${place.x.toFixed(1)} across, ${place.y.toFixed(1)} down` : "";
  }

  pointed(p) {
    const place = this.view.toSheet(p);
    if (this.isWithin(place)) this.page.pointed(place);
  }

  setCross(p) {
    const node = at("cross");
    node.classList.toggle("off", !p);
    if (p) node.setAttribute("transform", `translate(${p.x} ${p.y})`);
  }
}

// Runs at most one at a time, and only the latest of what waits.
export function latest(act) {
  let running = false;
  let waits = false;
  return async function run() {
    if (running) {
      waits = true;
      return;
    }
    running = true;
    try {
      do {
        waits = false;
        await act();
      } while (waits);
    } catch (error) {
      refused(error);
    } finally {
      running = false;
    }
  };
}

export function findingsList(findings) {
  if (!findings.length) return [el("li", { class: "small" }, "No findings.")];
  return findings.map((f) => el("li", { class: f.severity }, el("span", {}, f.message), f.remedy ? el("span", { class: "remedy" }, `. ${f.remedy}`) : null));
}
