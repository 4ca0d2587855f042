// What the plane in the words can be printed as: pages for folding, models for machines.

import { bytes } from './api.js';
import { $, download, el, menu } from './dom.js';
import { t } from './strings.js';
import { emit, store } from './store.js';

const KINDS = {
  template: ['pdf', 'application/pdf'],
  steps: ['pdf', 'application/pdf'],
  card: ['pdf', 'application/pdf'],
  stl: ['stl', 'model/stl'],
  glb: ['glb', 'model/gltf-binary'],
};

/** A menu beside the button that saves the text. */
export function startPress() {
  const button = (what) => el('button', { onclick: () => print(what) }, t(`press.${what}`));
  const prints = menu(el('summary', {}, t('press.title')), ...Object.keys(KINDS).map(button));
  prints.id = 'press';
  $('export-text').before(prints);
}

async function print(what) {
  const [ending, mime] = KINDS[what];
  const plane = (store.good?.name ?? 'plane').toLowerCase().replace(/\W+/g, '-');
  try {
    download(`${plane}-${what}.${ending}`, await bytes('/api/print', { text: store.text, what }), mime);
  } catch (error) { emit('refused', error.message); }
}
