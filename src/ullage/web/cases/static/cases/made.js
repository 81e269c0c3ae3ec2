// Elements made by the script: names, attributes and what they hold; never from text as HTML.

const SVG = "http://www.w3.org/2000/svg";

/** An element; `null` among what it holds is left out. */
export function made(name, attributes = {}, ...holds) {
  const one = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) one.setAttribute(key, "");
    else if (value !== false && value !== null) one.setAttribute(key, value);
  }
  one.append(...holds.filter((each) => each !== null));
  return one;
}

/** A shape of the page's sprite. */
export function shape(id) {
  const svg = document.createElementNS(SVG, "svg");
  const use = document.createElementNS(SVG, "use");
  svg.setAttribute("aria-hidden", "true");
  use.setAttribute("href", `#${id}`);
  svg.append(use);
  return svg;
}

/** What a meta element of the page says; empty where it has none. */
export function meta(name) {
  return document.querySelector(`meta[name=${name}]`)?.content ?? "";
}

/** 1 entry, 3 entries. */
export function counted(count, one, many) {
  return `${count} ${count === 1 ? one : many}`;
}
