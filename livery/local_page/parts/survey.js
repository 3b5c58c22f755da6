// The survey: what it has by name, and each shown again on the picture it was taken on.

import { at, el } from "./dom.js";
import { findingsList } from "./desk.js";
import { placeOf } from "./kinds.js";
import { say } from "./notice.js";

export class Survey {
  // ``page`` opens a picture, makes a mark of what was picked there, and shows it.
  constructor(page) {
    this.page = page;
    this.data = null;
  }

  show(data) {
    this.data = data;
    const { sizes, colours, outlines, isNamed, file, findings } = data;
    const isEmpty = !(sizes.length || colours.length || outlines.length);
    at("survey-words").textContent = isNamed || isEmpty
      ? `Kept in ${file}.`
      : `Kept in ${file}; to use these by name, write survey = "${file}" in the job's [job].`;
    at("survey").replaceChildren(
      ...sizes.map((size) => item(size.name, size.words, ...size.taken.map((taken) => this.button(size.name, taken.picture, () => this.taken(taken.picture, taken.way, taken.places))))),
      ...colours.map((colour) => item(colour.name, colour.words, this.button(colour.name, colour.picture, () => this.colour(colour)))),
      ...outlines.map((one) => item(one.name, one.way, this.button(one.name, one.picture, () => this.taken(one.picture, one.way, one.box)))),
      ...(findings.length ? findingsList(findings) : []),
    );
  }

  button(name, picture, act) {
    return el("button", { type: "button", class: "plain", onclick: act, "aria-label": `Show ${name} on ${picture}` }, `on ${picture}`);
  }

  // What is known of a picture that is opened.
  known(file, page) {
    return this.data?.pictures.find((one) => one.file === file && one.page === page);
  }

  async open(picture) {
    const known = this.data.pictures.find((one) => one.name === picture);
    if (!known) {
      say(`The picture "${picture}" is not in this folder.`, true);
      return false;
    }
    await this.page.open(known);
    return true;
  }

  async taken(picture, way, places) {
    if (await this.open(picture)) this.page.add([{ kind: way, points: places.match(/-?[\d.]+,-?[\d.]+/g).map(placeOf) }]);
  }

  // The cards or the chart that the first colour kept of a picture is corrected by.
  correctedBy(picture) {
    const first = this.data?.colours.find((colour) => colour.picture === picture);
    return first ? references(first).filter((mark) => mark.points) : [];
  }

  // A colour with the cards or the chart it is corrected by.
  async colour({ picture, region, card, chart }) {
    if (!(await this.open(picture))) return;
    const marks = [{ kind: "colour", points: corners(region) }, ...references({ card, chart })];
    if (marks.some((mark) => !mark.points)) say("This was kept as a spot or a polygon: sample it with the command.", true);
    else this.page.add(marks);
  }
}

const item = (name, words, ...buttons) => el("li", {}, el("b", {}, name), ` ${words} `, ...buttons);

function references({ card, chart }) {
  const marks = card.map((text) => {
    const [place, colour] = text.slice(text.indexOf(":") + 1).split("=");
    return { kind: "card", points: corners(place), text: colour.trim() };
  });
  if (chart) marks.push({ kind: "chart", points: chart.trim().split(/\s+/).map(placeOf), text: "" });
  return marks;
}

// The two corners of a rectangle as a survey has it; nothing for a place of another form.
function corners(text) {
  const [kind, ...points] = text.trim().split(/\s+/);
  return kind === "rectangle" ? points.map(placeOf) : null;
}
