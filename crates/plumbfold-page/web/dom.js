// Making elements without markup strings, and pictures from the server's SVG text.

import * as units from './units.js';

/** An element with properties, attributes (where a property does not fit) and children. */
export function el(name, props = {}, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith('on')) node.addEventListener(key.slice(2), value);
    else if (key in node && !key.startsWith('aria')) node[key] = value;
    else node.setAttribute(key, value === true ? '' : value);
  }
  node.append(...children.filter((c) => c !== null && c !== undefined));
  return node;
}

const SVG = 'http://www.w3.org/2000/svg';

/** An SVG element. */
export function svg(name, attributes = {}, ...children) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith('on')) node.addEventListener(key.slice(2), value);
    else if (value !== undefined && value !== null) node.setAttribute(key, value);
  }
  node.append(...children.filter((c) => c !== null && c !== undefined));
  return node;
}

export const $ = (id) => document.getElementById(id);

/** Shows a picture of the server in `place`, in whose size it fits. */
export function picture(place, text, label) {
  if (place.drawn === text && place.inch === units.isInch()) return;
  place.drawn = text;
  place.inch = units.isInch();
  if (!text) { place.replaceChildren(); return; }
  const drawn = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
  if (drawn.nodeName !== 'svg') { place.replaceChildren(); return; }
  drawn.setAttribute('preserveAspectRatio', 'xMidYMid meet');
  drawn.removeAttribute('width');
  drawn.removeAttribute('height');
  units.inPicture(drawn);
  if (label) drawn.setAttribute('aria-label', label);
  place.replaceChildren(document.adoptNode(drawn));
}

/** A menu of buttons; it closes on Escape and when the reader goes elsewhere. */
export function menu(summary, ...buttons) {
  const whole = el('details', { className: 'menu' }, summary, el('div', {}, ...buttons));
  for (const button of buttons) button.addEventListener('click', () => { whole.open = false; });
  whole.addEventListener('keydown', (e) => {
    if (e.key !== 'Escape' || !whole.open) return;
    e.preventDefault();
    whole.open = false;
    summary.focus();
  });
  whole.addEventListener('focusout', (e) => { if (!whole.contains(e.relatedTarget)) whole.open = false; });
  return whole;
}

/** Offers bytes or a text as a file. */
export function download(name, content, mime) {
  const url = URL.createObjectURL(new Blob([content], { type: mime }));
  el('a', { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 5000);
}
