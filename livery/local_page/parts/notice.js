// What the page says for a while, or until it says something else; and what was refused.

import { at } from "./dom.js";

const SHOWN_FOR_MS = 6000;
let timer = 0;

export function say(words, stays = false) {
  const node = at("notice");
  node.textContent = words;
  clearTimeout(timer);
  if (words && !stays) timer = setTimeout(() => (node.textContent = ""), SHOWN_FOR_MS);
}

// Clears words that have served; what was said since stays.
export function takeBack(words) {
  if (at("notice").textContent === words) say("");
}

// Says what was refused, and at the value itself where it is about one that can be seen.
export function refused(error) {
  const [wrong] = error.findings ?? [];
  say([error.message, wrong?.remedy].filter(Boolean).join(". "), true);
  const node = wrong?.key && document.getElementById(`value-${wrong.key}-wrong`.replaceAll(" ", "-"));
  if (node) node.textContent = `${wrong.message}. ${wrong.remedy ?? ""}`;
}
