// What the plane in the words can be printed as: pages for folding, models for machines.

import { bytes } from './api.js';
import { show } from './dialog.js';
import { $, download, el, menu } from './dom.js';
import { link } from './share.js';
import { t } from './strings.js';
import { emit, store } from './store.js';
import * as units from './units.js';
import { alone } from './way.js';

const KINDS = {
  template: ['pdf', 'application/pdf'],
  steps: ['pdf', 'application/pdf'],
  card: ['pdf', 'application/pdf'],
  svg: ['svg', 'image/svg+xml'],
  dxf: ['dxf', 'image/vnd.dxf'],
  stl: ['stl', 'model/stl'],
  glb: ['glb', 'model/gltf-binary'],
  page: ['html', 'text/html'],
};

/** What a printer takes: opened beside the page, where the browser prints it. */
const PAGES = ['template', 'steps', 'card'];

/** A menu beside the button that saves the text. */
export function startPress() {
  const print = (what) => el('button', { onclick: () => made(what, open) }, t(`press.print.${what}`));
  const save = (what) => el('button', { onclick: () => made(what, download) }, t(`press.${what}`));
  const prints = menu(el('summary', {}, t('press.title')), ...PAGES.map(print), ...Object.keys(KINDS).map(save),
    el('button', { id: 'share', onclick: share }, t('press.link')));
  prints.id = 'press';
  $('export-text').before(prints);
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

async function made(what, use) {
  const [ending, mime] = KINDS[what];
  const plane = (store.good?.name ?? 'plane').toLowerCase().replace(/\W+/g, '-');
  try {
    const content = await bytes('/api/print', { text: store.text, what, inch: units.isInch() });
    use(`${plane}-${what}.${ending}`, content, mime);
  } catch (error) { emit('refused', error.message); }
}

/** Shows a file in a tab of its own; where none may be opened it is saved. */
function open(name, content, mime) {
  const url = URL.createObjectURL(new Blob([content], { type: mime }));
  if (!window.open(url)) download(name, content, mime);
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
