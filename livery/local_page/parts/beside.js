// A second livery beside the first: as its files are, or of another description in the folder.

import * as connection from "./connection.js";
import { at, el } from "./dom.js";

export class Beside {
  // ``page`` gives what is written, loads figures, draws anew, shows a notice and a refusal.
  constructor(page) {
    this.page = page;
    this.other = null; // {title, figures, paints} of another description
  }

  async wire() {
    at("beside").addEventListener("change", () => this.choose());
    try {
      const names = await connection.descriptions();
      at("beside").append(...names.map((name) => el("option", { value: name }, name)));
    } catch (error) {
      this.page.refused(error);
    }
  }

  async choose() {
    const name = at("beside").value;
    try {
      this.other = name && name !== "written" ? await connection.beside(name) : null;
      if (this.other) await Promise.all(this.other.figures.filter((head) => head.kind !== "train").map((head) => this.page.load(head.digest)));
    } catch (error) {
      at("beside").value = "";
      this.other = null;
      this.page.refused(error);
    }
    this.page.again();
    if (this.other && !this.hasTwin) this.page.say(`${name} has no panel and no vehicle of the same name as here.`);
  }

  get hasTwin() {
    const names = new Set(this.page.written().heads.map((head) => head.name));
    return this.other.figures.some((head) => head.kind !== "train" && names.has(head.name));
  }

  get isOn() {
    return at("beside").value !== "";
  }

  get digests() {
    return (this.other?.figures ?? []).map((head) => head.digest);
  }

  // Returns heads with the other livery's beside each of its name, marked with their paints.
  withTwins(heads) {
    if (!this.isOn) return heads;
    const { heads: written, paints } = this.page.written();
    const [others, own, words] = this.other ? [this.other.figures, this.other.paints, this.other.title] : [written, paints, "as written"];
    const named = new Map(others.map((head) => [head.name, head]));
    return heads.flatMap((head) => {
      const twin = head.kind === "train" ? null : named.get(head.name);
      return twin ? [head, { ...twin, name: `beside ${head.name}`, title: `${twin.title}: ${words}`, paints: own }] : [head];
    });
  }
}
