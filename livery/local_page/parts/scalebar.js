// The bar of a drawing: millimetres of the model above, feet or inches of the prototype below.

import { draw } from "./dom.js";

const FOOT = 304.8;
const LEFT = 12;

export function drawBar(node, scale, ratio, room) {
  const most = Math.min(420, room);
  node.setAttribute("width", String(most + 60));
  node.setAttribute("height", "46");
  const parts = [draw("path", { class: "baseline", d: `M${LEFT} 23H${LEFT + most}` })];
  const mm = stepOf(most / scale, [1, 2, 5], 10);
  parts.push(...ticks(mm, scale, most, -1, (i) => `${trimmed(i * mm)} mm`));
  if (ratio) {
    const foot = FOOT * ratio;
    const feet = most / scale / foot > 1.2;
    const unit = feet ? foot : foot / 12;
    const step = feet ? stepOf(most / scale / unit, [1, 2, 5], 10) : stepOf(most / scale / unit, [1, 2, 4, 8], 16);
    parts.push(...ticks(step * unit, scale, most, 1, (i) => words(i * step, feet)));
  }
  node.replaceChildren(...parts);
}

function words(value, feet) {
  if (feet) return `${trimmed(value)} ft`;
  let [over, under] = [value, 1];
  while (over % 1 && under < 256) [over, under] = [over * 2, under * 2];
  return under === 1 ? `${over} in` : `${Math.floor(value) ? `${Math.floor(value)} ` : ""}${over - Math.floor(value) * under}/${under} in`;
}

const trimmed = (value) => String(Number(value.toPrecision(6)));

// The longest round step of which at least three fit.
function stepOf(length, rounds, base) {
  let size = 1;
  while (size * base < length) size *= base;
  while (size > length) size /= base;
  let best = size / base;
  for (const times of [1 / base, 1]) for (const r of rounds) if (r * size * times * 3 <= length) best = r * size * times;
  return best;
}

function ticks(step, scale, most, side, label) {
  const parts = [];
  const count = Math.floor(most / (step * scale));
  for (let i = 0; i <= count; i += 1) {
    const x = LEFT + i * step * scale;
    parts.push(draw("path", { d: `M${x} 23V${23 + side * 7}` }));
    if (i % 2 && i < count) parts.push(draw("path", { class: "block", d: `M${x} ${23 + side * 2}h${step * scale}` }));
    const every = Math.ceil(64 / (step * scale));
    if (i === 0 || i % every) continue;
    const text = draw("text", { x, y: side < 0 ? 13 : 43, "text-anchor": "middle" });
    text.textContent = label(i);
    parts.push(text);
  }
  return parts;
}
