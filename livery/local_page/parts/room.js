// The room the page is looked at in: light or dark, and how large its screen really is.

import { at } from "./dom.js";
import { cardWidth, setCardWidth } from "./view.js";

// Wires the room's controls; ``measured`` is called when the screen was measured again.
export function furnish(measured) {
  surroundings();
  card(measured);
}

export function surroundings() {
  const select = at("surroundings");
  select.value = localStorage.getItem("livery surroundings") ?? "";
  const set = () => {
    localStorage.setItem("livery surroundings", select.value);
    if (select.value) document.documentElement.dataset.room = select.value;
    else delete document.documentElement.dataset.room;
  };
  select.addEventListener("change", set);
  set();
}

function card(measured) {
  const slider = at("card-width");
  slider.value = String(cardWidth());
  const set = () => {
    at("card").style.width = `${slider.value}px`;
    at("card").style.height = `${(slider.value * 53.98) / 85.6}px`;
  };
  slider.addEventListener("input", () => {
    setCardWidth(Number(slider.value));
    set();
    measured();
  });
  set();
}
