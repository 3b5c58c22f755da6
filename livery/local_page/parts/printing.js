// What is printed: the drawing as it is seen, as large as the paper lets it be.

export function wirePrinting(node, view) {
  addEventListener("beforeprint", () => node.setAttribute("viewBox", `0 0 ${view.width} ${view.height}`));
  addEventListener("afterprint", () => node.removeAttribute("viewBox"));
}
