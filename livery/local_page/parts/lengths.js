// Lengths in words: millimetres of the model, feet and inches of the prototype.

export function millimetres(value, decimals = 1) {
  const text = value.toFixed(decimals);
  return `${/^-0\.?0*$/.test(text) ? text.slice(1) : text} mm`;
}

export function feetAndInches(mm, parts = 16) {
  const steps = Math.round((Math.abs(mm) / 25.4) * parts);
  const sign = mm < 0 && steps ? "−" : "";
  const feet = Math.floor(steps / parts / 12);
  const whole = Math.floor(steps / parts) - feet * 12;
  let over = steps % parts;
  let under = parts;
  while (over && over % 2 === 0) {
    over /= 2;
    under /= 2;
  }
  const inches = `${whole || !over ? whole : ""}${over ? `${whole ? " " : ""}${over}/${under}` : ""}`;
  return `${sign}${feet ? `${feet} ft ` : ""}${inches} in`;
}

// Carries a place along stretches between pairs [as built, as drawn]; beyond the ends at scale.
export function carried(pairs, value) {
  const first = pairs[0];
  const last = pairs[pairs.length - 1];
  if (value <= first[0]) return first[1] + value - first[0];
  if (value >= last[0]) return last[1] + value - last[0];
  for (let i = 1; i < pairs.length; i += 1) {
    const [a, b] = [pairs[i - 1], pairs[i]];
    if (value <= b[0]) return a[1] + ((value - a[0]) * (b[1] - a[1])) / (b[0] - a[0]);
  }
  return value;
}
