// Makes an element of a drawing: attributes, then children.

const SVG = "http://www.w3.org/2000/svg";

export function shape(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...children);
  return element;
}
