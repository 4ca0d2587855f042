// What the plane in the words can be printed as: pages for folding, models for machines.

import { bytes, get } from './api.js';
import { show } from './dialog.js';
import { $, download, el } from './dom.js';
import { link } from './share.js';
import { t } from './strings.js';
import { store } from './store.js';
import * as units from './units.js';
import { alone } from './way.js';

const PDF = 'application/pdf';

/** Endings and media types; those of one ending are told apart by what they are. */
const KINDS = {
  template: ['-template.pdf', PDF],
  steps: ['-steps.pdf', PDF],
  card: ['-card.pdf', PDF],
  booklet: ['-booklet.pdf', PDF],
  svg: ['.svg', 'image/svg+xml'],
  svg_back: ['-back.svg', 'image/svg+xml'],
  dxf: ['.dxf', 'image/vnd.dxf'],
  stl: ['.stl', 'model/stl'],
  obj: ['.obj', 'model/obj'],
  glb: ['.glb', 'model/gltf-binary'],
  html: ['-steps.html', 'text/html'],
  page: ['.html', 'text/html'],
};

/** What a printer takes: opened beside the page, where the browser prints it. */
const PAGES = ['template', 'steps', 'card'];
/** What only a plane with folds can be. */
const FOLDED = ['template', 'steps', 'svg', 'svg_back', 'dxf', 'stl', 'obj', 'glb', 'html'];

/** The button beside the one that saves the text. */
export function startPress() {
  $('export-text').before(el('button', { id: 'press', onclick: offer }, t('press.title')));
}

async function offer() {
  const folded = Boolean(store.good?.steps);
  const state = el('p', { role: 'status', className: 'aside' });
  const paper = el('select', { id: 'press-paper' },
    el('option', { value: '' }, t('press.paper.own')), el('option', { value: 'a4' }, 'A4'), el('option', { value: 'letter' }, 'Letter'));
  const perPage = el('select', {}, ...[2, 3, 4, 6, 8, 9].map((n) => el('option', { value: n, selected: n === 4 }, n)));
  const guides = el('input', { type: 'checkbox' });
  const made = async (what, use, more = []) => {
    const [ending, mime] = KINDS[what];
    const plane = (store.good?.name ?? 'plane').toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-');
    state.textContent = t('press.working');
    try {
      const question = { text: store.text, what, more: await Promise.all(more.map((text) => text())), paper: paper.value || null, per_page: Number(perPage.value), guides: guides.checked, inch: units.isInch() };
      use(plane + ending, await bytes('/api/print', question), mime);
      state.textContent = '';
    } catch (error) { state.textContent = error.message; }
  };
  const possible = (what) => folded || !FOLDED.includes(what);
  const button = (what, words, use) => el('button', { 'data-press': `${use === open ? 'print' : 'save'}-${what}`, onclick: () => made(what, use) }, words);
  const prints = PAGES.filter(possible).map((what) => button(what, t(`press.${what}`), open));
  const saves = Object.keys(KINDS).filter((what) => what !== 'booklet' && possible(what))
    .map((what) => button(what, PAGES.includes(what) ? t('press.pdf', { what: t(`press.${what}`) }) : t(`press.${what}`), download));
  show(t('press.title'), el('div', { className: 'fields' }, el('label', {}, t('press.paper'), paper),
    folded ? el('label', {}, t('press.perpage'), perPage) : null), folded ? el('label', { className: 'tick' }, guides, t('press.guides')) : null, state,
    el('section', {}, el('h3', {}, t('press.print')), el('p', { className: 'aside' }, t('press.print.help')), el('div', { className: 'row' }, ...prints)),
    el('section', {}, el('h3', {}, t('press.save')), el('div', { className: 'row' }, ...saves)),
    folded ? await booklet(made) : null,
    el('section', {}, el('h3', {}, t('share.title')), el('div', { className: 'row' }, el('button', { id: 'share', onclick: share }, t('press.link')))));
}

/** This plane and those of the folder, ticked, and those that come with the program. */
async function booklet(made) {
  const { files, shipped } = await get('/api/designs').catch(() => ({ files: [], shipped: [] }));
  const kept = files.filter((f) => f.plane && f.name !== store.file.name)
    .map(({ name, plane }) => ({ name: files.some((f) => f.name !== name && f.plane === plane) ? `${plane} (${name})` : plane, plane, ticked: true, text: async () => (await get(`/api/file?name=${encodeURIComponent(name)}`)).text }));
  const known = new Set([store.good?.name, ...kept.map((k) => k.plane)]);
  const others = shipped.filter((d) => !known.has(d.name)).map((d) => ({ name: d.name, ticked: false, text: async () => d.text }));
  const all = [...kept, ...others].map((d) => ({ ...d, box: el('input', { type: 'checkbox', checked: d.ticked }) }));
  const chosen = () => all.filter((d) => d.box.checked).map((d) => d.text);
  const make = (use) => () => made('booklet', use, chosen());
  return el('section', {}, el('h3', {}, t('press.booklet')), el('p', { className: 'aside' }, t('press.booklet.help')),
    el('div', { className: 'ticks' }, el('label', {}, el('input', { type: 'checkbox', checked: true, disabled: true }), store.good.name ?? t('press.booklet.this')),
      ...all.map((d) => el('label', {}, d.box, d.name))),
    el('div', { className: 'row' }, el('button', { 'data-press': 'print-booklet', onclick: make(open) }, t('press.booklet.print')),
      el('button', { 'data-press': 'save-booklet', onclick: make(download) }, t('press.booklet.save'))));
}

/** The text as an address, to be copied. */
async function share() {
  const field = el('input', { id: 'share-link', readOnly: true, value: await link(store.text), 'aria-label': t('share.link'), onfocus: () => field.select() });
  const copy = async () => {
    field.select();
    try { await navigator.clipboard.writeText(field.value); } catch { document.execCommand('copy'); }
    done.textContent = t('share.copied');
  };
  const done = el('span', { role: 'status', className: 'aside' });
  show(t('share.title'), el('p', {}, t(alone ? 'share.alone' : 'share.served')), field, el('div', { className: 'row' }, el('button', { className: 'main', onclick: copy }, t('share.copy')), done));
  field.focus();
}

/** Shows a file in a tab of its own; where none may be opened it is saved. */
function open(name, content, mime) {
  const url = URL.createObjectURL(new Blob([content], { type: mime }));
  if (!window.open(url)) download(name, content, mime);
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
