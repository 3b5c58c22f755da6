// Elements made from text alone: nothing of a description is ever read as markup.

const SVG = "http://www.w3.org/2000/svg";

export function el(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

export function draw(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

function filled(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

export const at = (id) => document.getElementById(id);
