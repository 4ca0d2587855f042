// Where a design comes from: the folder, the shipped designs, a new sheet, an outline.

import { get, post } from './api.js';
import { filmed } from './book.js';
import { $, el, picture } from './dom.js';
import { show } from './dialog.js';
import { drafts, when } from './drafts.js';
import { open, openDraft, openFile } from './files.js';
import { outlineBoard } from './outline.js';
import { measure, startPhoto } from './photo.js';
import { shared } from './share.js';
import { t } from './strings.js';
import { emit, store } from './store.js';
import { alone } from './way.js';

/** A design text may have so many bytes. */
const FILE_MAX = 256 * 1024;

/** What the server has: `{folder, files, first, shipped}`. */
export async function begin() {
  const designs = await get('/api/designs');
  store.folder = designs.folder;
  const given = await shared(location.hash);
  if (given !== null) return openShared(given);
  const first = designs.first ?? designs.files.find((f) => f.plane)?.name;
  return first ? openFile(first) : openShipped(designs.shipped[0]);
}

/** What an address holds belongs to whoever opened it. */
function openShared(text) {
  history.replaceState(null, '', location.pathname);
  open({ text, saved: '' });
}

const openShipped = (design) => open({ text: design.text });

/** The text of a design that is begun here: a sheet, or an outline. */
const begun = async (what) => (await post('/api/begin', what)).text;
const refused = (error) => emit('refused', error.message);

/** A sheet nothing has been folded from. */
export async function blank(name = t('start.newcomer'), paper = 'A4 upright, 80 g/m2') {
  open({ text: await begun({ sheet: { name, paper } }) });
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
  const name = el('input', { value: t('start.newcomer'), size: 14 });
  const sheet = () => {
    const square = size.value.startsWith('square');
    blank(name.value, `${size.value}${square ? '' : ` ${way.value}`}, ${paper.value}`).catch(refused);
  };
  const unsaved = drafts();
  close = show(t('start.title'),
    unsaved.length ? el('section', {}, el('h3', {}, t('start.drafts')),
      el('ul', { className: 'designs files' }, ...unsaved.map((d) => el('li', {}, el('button', { onclick: take(() => openDraft(d)) },
        el('strong', {}, d.plane || d.name || '?'), el('span', { className: 'aside' }, t('draft.of', { name: d.name ?? t('file.unsaved'), time: when(d) }))))))) : null,
    files.length ? el('section', {}, el('h3', {}, t(alone ? 'start.kept' : 'start.folder', { folder })),
      el('ul', { className: 'designs own' }, ...files.map((f) => el('li', {}, el('button', { onclick: take(() => openFile(f.name)) }, thumbnail(f), el('span', {}, f.plane ? el('strong', {}, f.plane) : null, el('span', {}, f.name))))))) : null,
    el('section', {}, el('h3', {}, t('start.shipped')),
      el('ul', { className: 'designs' }, ...shipped.map((d) => {
        return el('li', {}, el('button', { onclick: take(() => openShipped(d)) }, thumbnail(d),
          el('span', {}, el('strong', {}, d.name), el('span', {}, d.about))));
      }))),
    el('section', {}, el('h3', {}, t('start.file')), el('div', { className: 'fields' },
      el('label', {}, t('start.file.pick'), el('input', { type: 'file', id: 'start-file', accept: '.plane,text/plain', onchange: (e) => { const [file] = e.target.files; if (file) take(() => fromFile(file))(); } })))),
    el('section', {}, el('h3', {}, t('start.photo')), el('p', { className: 'aside' }, t('start.photo.help')), el('div', { className: 'fields' },
      el('label', {}, t('start.photo.pick'), el('input', { type: 'file', id: 'start-photo', accept: 'image/jpeg,image/png,image/webp', onchange: (e) => { const [file] = e.target.files; if (file) fromPhoto(file); } })))),
    el('section', {}, el('h3', {}, t('start.new')), el('div', { className: 'fields' },
      el('label', {}, t('start.name'), name), el('label', {}, t('start.size'), size), el('label', {}, ' ', way),
      el('label', {}, t('start.grammage'), paper), el('button', { id: 'start-sheet', className: 'main', onclick: take(sheet) }, t('start.make')))),
    el('section', {}, el('h3', {}, t('start.outline')), outlineBoard((outline) => { close(); begun({ outline }).then((text) => open({ text, saved: '' })).catch(refused); })));
  way.setAttribute('aria-label', t('start.size'));
}

const fromPhoto = (file) => measure(file, (text) => open({ text, saved: '' }));

/** A design from a file of this machine, as a text of its own. */
const fromFile = async (file) => {
  if (file.size > FILE_MAX) return emit('refused', t('start.file.large'));
  return open({ text: await file.text(), saved: '' });
};

export function startStart() {
  // Dropped on the page: photos and films are measured, anything else is taken for a design.
  const take = { image: fromPhoto, video: filmed };
  startPhoto((file) => (take[file.type.split('/')[0]] ?? fromFile)(file));
  addEventListener('hashchange', async () => { const given = await shared(location.hash); if (given !== null) openShared(given); });
  $('designs').addEventListener('click', () => choose().catch(refused));
}
