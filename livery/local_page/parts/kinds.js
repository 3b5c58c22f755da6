// What can be picked on a drawing or a photograph: how many points, what they are, what is said of it.

export const KINDS = {
  length: { name: "Known length", points: 2, known: true, hint: "22 ft 6 in", each: ["its first end", "its other end"] },
  rectangle: { name: "Known rectangle", points: 4, known: true, closed: true, hint: "8 ft x 6 ft 3 in", each: ["its top left corner", "its top right corner", "its bottom right corner", "its bottom left corner"] },
  point: { name: "Known point", points: 1, known: true, hint: "across, up: 0 ft, 6 ft 3 in", each: ["it"] },
  edge: { name: "Straight edge", least: 3, known: true, each: ["points along an edge that is straight in reality"] },
  card: { name: "Known colour", points: 2, known: true, box: true, hint: "18 %, or 38 -32 15", each: ["one corner of the card or the paint", "the corner across"] },
  chart: { name: "Chart of 24 patches", points: 4, known: true, closed: true, each: ["the middle of its first patch", "the middle of the last patch of that row", "the middle of the last patch", "the middle of the first patch of the last row"] },
  distance: { name: "Distance", points: 2, size: true, each: ["one end", "the other end"] },
  height: { name: "Height off a line", points: 3, size: true, each: ["the point", "one point of the line", "another point of the line"] },
  stripe: { name: "Stripe, edge to edge", points: 2, each: ["outside its first edge", "outside its other edge"] },
  radius: { name: "Radius", least: 3, size: true, each: ["points along the arc"] },
  angle: { name: "Angle", points: 4, size: true, each: ["one point of the first line", "another point of it", "one point of the second line", "another point of it"] },
  colour: { name: "Colour", points: 2, box: true, each: ["one corner of the paint", "the corner across"] },
  letter: { name: "Letter, traced", points: 2, box: true, trace: true, each: ["one corner of a box round it, with plain ground on all sides", "the corner across"] },
  outline: { name: "Drawn outline, traced", points: 2, box: true, trace: true, each: ["one corner of a box round it, with plain ground on all sides", "the corner across"] },
};

export const isKnown = (mark) => Boolean(KINDS[mark.kind].known);
export const isWhole = (mark) => mark.points.length >= (KINDS[mark.kind].points ?? KINDS[mark.kind].least);

export const placeOf = (text) => {
  const [x, y] = text.split(",").map(Number);
  return { x, y };
};
