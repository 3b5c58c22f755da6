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

// Makes a node's children what others are, and leaves alone what is the same already: only what
// differs is painted again.
export function become(node, children) {
  children.forEach((wanted, i) => {
    const old = node.children[i];
    if (!old) node.append(wanted);
    else if (!old.isEqualNode(wanted)) exchange(old, wanted);
  });
  while (node.children.length > children.length) node.lastElementChild.remove();
}

function exchange(old, wanted) {
  if (old.tagName !== wanted.tagName || wanted.tagName === "text") {
    old.replaceWith(wanted);
    return;
  }
  for (const name of old.getAttributeNames()) if (!wanted.hasAttribute(name)) old.removeAttribute(name);
  for (const { name, value } of wanted.attributes) if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  become(old, [...wanted.children]);
}

export const at = (id) => document.getElementById(id);
