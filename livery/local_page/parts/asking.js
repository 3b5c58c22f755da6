// The marks picked on a picture as the engine takes them, and as the commands that do the same.

import { KINDS, isWhole } from "./kinds.js";
import { written } from "./picks.js";

const places = (mark) => mark.points.map(written).join(" ");
const quoted = (text) => `"${text}"`;
const number = (text, otherwise) => Number(text.replace(",", ".")) || otherwise;

export class Asking {
  // ``page`` gives the marks that are whole, the picture's name and size, and what its boxes say.
  constructor(page) {
    this.page = page;
  }

  of(kind) {
    return this.page.marks().filter((mark) => mark.kind === kind && isWhole(mark));
  }

  known(kind) {
    return this.of(kind).filter((mark) => mark.text.trim()).map((mark) => `${places(mark)} = ${mark.text.trim()}`);
  }

  // What is known of the picture, as a survey has it.
  get picture() {
    const { file, page, dots } = this.page.name();
    const { uneven, onModel, pickError } = this.page.said();
    return {
      file,
      page,
      dots_per_inch: dots,
      size: this.page.size(),
      lengths: this.known("length"),
      uneven,
      rectangle: this.known("rectangle")[0] ?? "",
      points: this.known("point"),
      edges: this.of("edge").map(places),
      pick_error: number(pickError, 1),
      on_model: onModel,
    };
  }

  get sizes() {
    return this.page.marks().filter((mark) => KINDS[mark.kind].size && isWhole(mark));
  }

  get traces() {
    return this.page.marks().filter((mark) => KINDS[mark.kind].trace && isWhole(mark));
  }

  size(mark) {
    const p = mark.points.map(written);
    const text = { height: `${p[0]} from ${p[1]} ${p[2]}`, angle: `${p[0]} ${p[1]} and ${p[2]} ${p[3]}` }[mark.kind] ?? p.join(" ");
    return { way: mark.kind, places: text, pick_error: mark.pickError, name: mark.called.trim() };
  }

  trace(mark) {
    return { way: mark.kind, box: places(mark), name: mark.called.trim() };
  }

  region(mark) {
    return `rectangle ${places(mark)}`;
  }

  get colours() {
    return {
      file: this.page.name().file,
      sampled: this.of("colour").map((mark) => this.region(mark)),
      known: this.of("card").filter((mark) => mark.text.trim()).map((mark) => `${mark.name} ${mark.id}: ${this.region(mark)} = ${mark.text.trim()}`),
      chart: this.of("chart")[0] ? places(this.of("chart")[0]) : "",
      shelf: this.page.said().shelf,
    };
  }

  // What is to be kept under its names.
  kept(marks) {
    const { known, chart } = this.colours;
    const named = (test) => marks.filter(test);
    return {
      picture: this.picture,
      measures: named((mark) => KINDS[mark.kind].size).map((mark) => this.size(mark)),
      traces: named((mark) => KINDS[mark.kind].trace).map((mark) => this.trace(mark)),
      colours: named((mark) => mark.kind === "colour").map((mark) => ({ name: mark.called.trim(), region: this.region(mark) })),
      known,
      chart,
    };
  }

  get command() {
    const lines = [];
    const { sizes, traces } = this;
    const named = (name, text) => quoted(name ? `${name}: ${text}` : text);
    if (sizes.length || !(traces.length || this.of("colour").length)) {
      const asked = sizes.map((mark) => this.size(mark)).flatMap(({ way, places: at, name }) => [`--${way}`, named(name, at)]);
      lines.push(["livery measure", ...this.pictureOptions, ...asked]);
    }
    if (traces.length) {
      const asked = traces.map((mark) => this.trace(mark)).flatMap(({ way, box, name }) => [`--${way}`, named(name, box)]);
      lines.push(["livery trace", ...this.pictureOptions, ...asked]);
    }
    const { file, known, chart } = this.colours;
    if (this.of("colour").length) {
      const at = this.of("colour").flatMap((mark) => ["--at", named(mark.called.trim(), this.region(mark))]);
      const by = [...known.flatMap((text) => ["--known", quoted(text)]), ...(chart ? ["--chart", quoted(chart)] : [])];
      lines.push(["livery match", quoted(file), ...at, ...by]);
      if (this.of("colour").some((mark) => mark.called.trim())) lines.push(["livery sample", quoted(file), ...at, ...by, "--keep survey.toml"]);
    }
    return lines.map((parts) => parts.join(" ")).join("\n");
  }

  get pictureOptions() {
    const e = this.picture;
    const parts = [quoted(e.file)];
    if (e.page !== 1) parts.push(`--page ${e.page}`);
    if (e.dots_per_inch !== 300) parts.push(`--dots-per-inch ${e.dots_per_inch}`);
    for (const text of e.lengths) parts.push("--length", quoted(text));
    if (e.uneven) parts.push("--uneven");
    if (e.on_model) parts.push("--on-model");
    if (e.rectangle) parts.push("--rectangle", quoted(e.rectangle));
    for (const text of e.points) parts.push("--point", quoted(text));
    for (const text of e.edges) parts.push("--edge", quoted(text));
    if (e.pick_error !== 1) parts.push(`--pick-error ${e.pick_error}`);
    return parts;
  }
}
