// What can be marked on a picture, and how Livery has each of them written.
// Points are [x, y] in pixels from the top left corner of the upright picture.
"use strict";

const Places = (() => {
  const REGION = { spot: 2, rectangle: 2, polygon: Infinity };

  // points: how many make one, Infinity where Enter ends it; least: how many it needs at the least.
  const KINDS = {
    at: {
      title: "a colour to sample",
      regions: true,
      named: "place",
    },
    known: {
      title: "a card or surface of known colour",
      regions: true,
      named: "card",
      value: "18 %",
      asked: "its colour: 18 %, or L a b",
    },
    chart: {
      title: "a 24-patch chart",
      points: 4,
      hint: "Click the middles of its four corner patches: from the first patch along the first row, then clockwise.",
    },
    length: {
      title: "a known length",
      points: 2,
      value: "",
      asked: "its size: 22 ft 6 in",
      hint: "Click its two ends.",
    },
    rectangle: {
      title: "a known rectangle, seen at an angle",
      points: 4,
      value: "",
      asked: "width x height: 8 ft x 6 ft 3 in",
      hint: "Click its corners in turn, from the top left clockwise.",
    },
    distance: {
      title: "a distance to measure",
      points: 2,
      named: "distance",
      hint: "Click its two ends.",
    },
    height: {
      title: "a height off a line",
      points: 3,
      named: "height",
      hint: "Click the point, then two places on the line.",
    },
    radius: {
      title: "the radius of an arc",
      points: Infinity,
      least: 3,
      named: "radius",
      hint: "Click three places on the arc or more, then press Enter.",
    },
    edge: {
      title: "an edge that is straight in reality, to remove the bend of the lens",
      points: Infinity,
      least: 3,
      hint: "Click three places along it or more, then press Enter.",
    },
  };

  const SHAPE_HINTS = {
    spot: "Click its middle, then its rim.",
    rectangle: "Click two opposite corners.",
    polygon: "Click its corners, then press Enter.",
  };

  function hint(kind, shape) {
    return KINDS[kind].regions ? SHAPE_HINTS[shape] : KINDS[kind].hint;
  }

  function fullAt(kind, shape) {
    return KINDS[kind].regions ? REGION[shape] : KINDS[kind].points;
  }

  function leastFor(kind, shape) {
    const full = fullAt(kind, shape);
    return Number.isFinite(full) ? full : KINDS[kind].least || 3;
  }

  function point([x, y]) {
    return `${plain(x)},${plain(y)}`;
  }

  function plain(value) {
    return String(Math.round(value * 10) / 10);
  }

  // A spot is kept by its middle and a point of its rim.
  function radiusOf(mark) {
    const [[x, y], [u, v]] = mark.points;
    return Math.max(1, Math.round(Math.hypot(u - x, v - y) * 10) / 10);
  }

  // A colon parts a name from its place and an equals sign what is known of it; the rest
  // would be taken by a shell for its own.
  function plainName(name) {
    return name.replace(/["'`$\\!:=<>|&;]/g, " ").replace(/\s+/g, " ").trim();
  }

  // Feet and inches by their signs would close the quotes.
  function plainValue(value) {
    const spelt = value.replace(/(\d)\s*['′]/g, "$1 ft ").replace(/(\d)\s*["″]/g, "$1 in ");
    return spelt.replace(/["`$\\!<>|&;]/g, " ").replace(/\s+/g, " ").trim();
  }

  function region(mark) {
    const points = mark.points.map(point);
    if (mark.shape === "spot") return `spot ${points[0]} ${plain(radiusOf(mark))}`;
    return `${mark.shape} ${points.join(" ")}`;
  }

  // What follows the option of a mark on a command line, without its quotes.
  function text(mark) {
    const kind = KINDS[mark.kind];
    const points = mark.points.map(point);
    const name = plainName(mark.name || "");
    let place = kind.regions ? region(mark) : points.join(" ");
    if (mark.kind === "height") place = `${points[0]} from ${points[1]} ${points[2]}`;
    const named = name && kind.named ? `${name}: ${place}` : place;
    return kind.value === undefined ? named : `${named} = ${plainValue(mark.value || "")}`;
  }

  function option(mark) {
    return `--${mark.kind} "${text(mark)}"`;
  }

  function isReady(mark) {
    return KINDS[mark.kind].value === undefined || plainValue(mark.value || "") !== "";
  }

  function file(name) {
    return /^[\w./-]+$/.test(name) ? name : `"${name.replace(/(["$`\\])/g, "\\$1")}"`;
  }

  function line(command, photo, marks) {
    return [`livery ${command} ${file(photo)}`, ...marks.map(option)].join(" ");
  }

  // The commands that use what is marked: [{title, text}], none for what is not whole yet.
  function commands(photo, marks) {
    const ready = marks.filter(isReady);
    const of = (...kinds) => ready.filter((mark) => kinds.includes(mark.kind));
    const found = [];
    const colours = of("at");
    // A chart knows more of the light than any card, and one way is enough.
    const knowns = of("chart").length > 0 ? of("chart").slice(-1) : of("known");
    if (colours.length > 0) {
      const used = [...colours, ...knowns];
      found.push({ title: "Sample the colours", text: line("sample", photo, used) });
      found.push({ title: "Find standards and recipes", text: line("match", photo, used) });
    }
    for (const mark of colours) {
      const what = plainName(mark.name || "") || "a paint";
      found.push({ title: `In a description, for ${what}`, text: entry(photo, mark, knowns) });
    }
    const rectangle = of("rectangle").slice(-1);
    const sizes = rectangle.length > 0 ? rectangle : of("length");
    if (sizes.length > 0) {
      const wanted = of("distance", "height", "radius", "edge");
      found.push({ title: "Measure", text: line("measure", photo, [...sizes, ...wanted]) });
    }
    for (const mark of rectangle) {
      const edges = of("edge").map(option);
      const words = [`livery straighten ${file(photo)} straight.png`, option(mark), ...edges].join(" ");
      found.push({ title: "Straighten the picture", text: words });
    }
    return found;
  }

  function entry(photo, mark, knowns) {
    const parts = [`photo = ${JSON.stringify(photo)}`, `region = "${region(mark)}"`];
    const cards = knowns.filter((known) => known.kind === "known").map((known) => `"${text(known)}"`);
    if (cards.length > 0) parts.push(`card = [${cards.join(", ")}]`);
    for (const chart of knowns.filter((known) => known.kind === "chart")) {
      parts.push(`chart = "${text(chart)}"`);
    }
    return `sample = { ${parts.join(", ")} }`;
  }

  return { KINDS, commands, fullAt, hint, leastFor, radiusOf, text };
})();
