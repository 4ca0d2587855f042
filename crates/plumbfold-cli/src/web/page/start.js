// Where a design comes from: the folder, the shipped designs, a new sheet, an outline.

import { get } from './api.js';
import { $, el, picture } from './dom.js';
import { show } from './dialog.js';
import { drafts, when } from './drafts.js';
import { open, openDraft, openFile } from './files.js';
import { outlineBoard } from './outline.js';
import { t } from './strings.js';
import { emit, store } from './store.js';

/** What the server has: `{folder, files, first, shipped}`. */
export async function begin() {
  const designs = await get('/api/designs');
  store.folder = designs.folder;
  if (designs.first) return openFile(designs.first);
  openShipped(designs.shipped[0]);
  return choose();
}

const openShipped = (design) => open({ text: design.text });

/** A sheet nothing has been folded from. */
export function blank(name = '', sheet = 'A4 upright, 80 g/m2') {
  // A name is one line without comments.
  const plain = name.replace(/[\s\p{C}#\\]+/gu, ' ').trim() || 'Newcomer';
  return `plane ${plain}\nsheet ${sheet}\n\nthrow 4 m/s, level, from 1.6 m\n`;
}

function thumbnail({ thumb }) {
  const place = el('span', { className: 'thumb', 'aria-hidden': 'true' });
  picture(place, thumb);
  return place;
}

export async function choose() {
  const { folder, files, shipped } = await get('/api/designs');
  let close = () => {};
  const take = (act) => () => { close(); act(); };
  const size = el('select', {}, ...['A4', 'A5', 'A3', 'Letter', 'square 150 mm'].map((s) => el('option', {}, s)));
  const way = el('select', {}, el('option', { value: 'upright' }, t('start.upright')), el('option', { value: 'sideways' }, t('start.sideways')));
  const paper = el('select', {}, ...[60, 70, 80, 90, 100, 120, 160].map((g) => el('option', { selected: g === 80 }, `${g} g/m2`)));
  const name = el('input', { value: 'Newcomer', size: 14 });
  const sheet = () => {
    const square = size.value.startsWith('square');
    open({ text: blank(name.value, `${size.value}${square ? '' : ` ${way.value}`}, ${paper.value}`) });
  };
  const unsaved = drafts();
  close = show(t('start.title'),
    unsaved.length ? el('section', {}, el('h3', {}, t('start.drafts')),
      el('ul', { className: 'designs files' }, ...unsaved.map((d) => el('li', {}, el('button', { onclick: take(() => openDraft(d)) },
        el('strong', {}, d.plane || d.name || '?'), el('span', { className: 'aside' }, t('draft.of', { name: d.name ?? t('file.unsaved'), time: when(d) }))))))) : null,
    files.length ? el('section', {}, el('h3', {}, t('start.folder', { folder })),
      el('ul', { className: 'designs own' }, ...files.map((f) => el('li', {}, el('button', { onclick: take(() => openFile(f.name)) }, thumbnail(f), el('span', {}, f.plane ? el('strong', {}, f.plane) : null, el('span', {}, f.name))))))) : null,
    el('section', {}, el('h3', {}, t('start.shipped')),
      el('ul', { className: 'designs' }, ...shipped.map((d) => {
        return el('li', {}, el('button', { onclick: take(() => openShipped(d)) }, thumbnail(d),
          el('span', {}, el('strong', {}, d.name), el('span', {}, d.about))));
      }))),
    el('section', {}, el('h3', {}, t('start.new')), el('div', { className: 'fields' },
      el('label', {}, t('start.name'), name), el('label', {}, t('start.size'), size), el('label', {}, ' ', way),
      el('label', {}, t('start.grammage'), paper), el('button', { id: 'start-sheet', className: 'main', onclick: take(sheet) }, t('start.make')))),
    el('section', {}, el('h3', {}, t('start.outline')), outlineBoard((text) => { close(); open({ text, saved: '' }); })));
  way.setAttribute('aria-label', t('start.size'));
}

export function startStart() {
  $('designs').addEventListener('click', () => choose().catch((error) => emit('refused', error.message)));
}
