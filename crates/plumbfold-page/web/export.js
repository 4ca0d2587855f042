// Any picture on the page as a file. Colours of the page become plain colours, dark on light.

import { asset } from './api.js';
import { download, el, menu, svg } from './dom.js';
import { t } from './strings.js';
import { emit, store } from './store.js';

/** Puts a way to save its picture into the heading of every place. */
export function offerPictures() {
  for (const place of document.querySelectorAll('.place')) {
    const name = () => (place.id === 'table' ? store.show : place.id);
    place.querySelector('header').append(saver(place.querySelector('.picture'), name));
  }
}

/** Two buttons that save the picture in `place`; `name()` tells what it shows. */
export function saver(place, name) {
  const button = (kind) => el('button', { onclick: () => save(place, name(), kind) }, t(`picture.${kind}`));
  return menu(el('summary', { 'aria-label': t('picture.save'), title: t('picture.save') },
    svg('svg', { viewBox: '0 0 20 20', width: 20, height: 20, 'aria-hidden': 'true' },
      svg('path', { d: 'M10 3v9m-4-3.5l4 4 4-4M3.5 16.5h13', fill: 'none', stroke: 'currentColor', 'stroke-width': 1.7, 'stroke-linecap': 'round', 'stroke-linejoin': 'round' }))),
  button('svg'), button('png'));
}

async function save(place, what, kind) {
  const shown = place.querySelector(':scope > svg');
  if (!shown) return;
  const name = `${(store.good?.name ?? 'plane').toLowerCase().replace(/\W+/g, '-')}-${what}`;
  // Pictures of the server are in mm; the posed plane is in dots of the screen.
  const text = plainColours(shown, what === 'posed' ? (v) => `${v * 3}` : (v) => `${v}mm`);
  try {
    if (kind === 'svg') download(`${name}.svg`, text, 'image/svg+xml');
    else download(`${name}.png`, await dots(text), 'image/png');
  } catch (error) { emit('refused', error.message); }
}

/** Dots per inch, and the longest side in dots. */
const [DOTS, SIDE_MAX] = [200, 8000];

/** The picture in dots. A picture loads nothing, so its letters are put into it. */
async function dots(text) {
  faces ||= await letters();
  const image = new Image();
  const url = URL.createObjectURL(new Blob([text.replace(/<svg[^>]*>/, (tag) => `${tag}<style>${faces}</style>`)], { type: 'image/svg+xml' }));
  try {
    image.src = url;
    await image.decode();
    const scale = Math.min(DOTS / 96, SIDE_MAX / Math.max(image.width, image.height));
    const [width, height] = [image.width, image.height].map((v) => Math.max(1, Math.round(v * scale)));
    const canvas = el('canvas', { width, height });
    canvas.getContext('2d').drawImage(image, 0, 0, width, height);
    return await new Promise((done, fail) => canvas.toBlob((blob) => (blob ? done(blob) : fail(new Error(t('picture.failed'))))));
  } finally { URL.revokeObjectURL(url); }
}

let faces = '';
async function letters() {
  const face = async ([weight, path]) => {
    const bytes = new Uint8Array(await asset(path));
    let raw = '';
    for (const b of bytes) raw += String.fromCharCode(b);
    return `@font-face{font-family:Inter;font-weight:${weight};src:url(data:font/ttf;base64,${btoa(raw)})}`;
  };
  return (await Promise.all([[400, '/inter-regular.ttf'], [600, '/inter-semibold.ttf']].map(face))).join('');
}

/** The picture with `var(--pf-…, #colour)` spelled out for a white ground. */
function plainColours(shown, size) {
  const root = document.documentElement;
  const theme = root.dataset.theme;
  root.dataset.theme = 'light';
  const light = getComputedStyle(root);
  const copy = shown.cloneNode(true);
  // The plane that plays along the path stands for a moment; the picture for all of them.
  copy.querySelector('.flying')?.remove();
  const text = new XMLSerializer().serializeToString(copy)
    .replace(/var\((--[\w-]+)(?:,[^)]*)?\)/g, (_, name) => light.getPropertyValue(name).trim() || '#000');
  if (theme) root.dataset.theme = theme; else delete root.dataset.theme;
  const [x, y, w, h] = shown.getAttribute('viewBox').split(/[\s,]+/);
  return text.replace(/^<svg([^>]*)>/, (_, a) => {
    const own = a.replace(/\s(width|height|tabindex)="[^"]*"/g, '');
    return `<svg${own} width="${size(w)}" height="${size(h)}"><!-- made by plumbfold --><rect x="${x}" y="${y}" width="${w}" height="${h}" fill="#ffffff"/>`;
  });
}
