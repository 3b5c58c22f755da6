// Everything the job makes, to be saved file by file or as one archive.

import * as connection from "./connection.js";
import { at, el } from "./dom.js";

export class HandOver {
  constructor(refused) {
    this.refused = refused;
  }

  wire() {
    at("make").addEventListener("click", () => this.make());
  }

  async make() {
    at("make").disabled = true;
    at("make-words").textContent = "Making everything …";
    at("made").replaceChildren();
    try {
      const made = await connection.make();
      at("make-words").textContent = `${made.files.length} files. ${made.notes.join(" ")}`;
      at("made").replaceChildren(
        el("li", {}, link("", made.archive, "all of it, one archive")),
        ...made.files.map((file) => el("li", {}, link(file.name, file.name, size(file.bytes)))),
      );
    } catch (error) {
      at("make-words").textContent = "";
      this.refused(error);
    } finally {
      at("make").disabled = false;
    }
  }
}

const link = (name, shown, note) =>
  el("span", {}, el("a", { href: connection.madeAddress(name), download: shown.split("/").at(-1) }, shown), ` ${note}`);

const size = (bytes) => (bytes < 10_000 ? `${(bytes / 1000).toFixed(1)} kB` : bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`);
