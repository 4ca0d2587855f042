// Symptom first: what was seen of the real plane, and what would explain it.

import { post } from './api.js';
import { $, el } from './dom.js';
import { t } from './strings.js';
import { on, store } from './store.js';
import * as units from './units.js';
import { sentence } from './words.js';

const SYMPTOMS = ['stalls', 'waves', 'dives', 'turns left', 'turns right', 'drops', 'tumbles'];
/** Most causes shown. */
const SHOWN = 6;
let control = new AbortController();

export function startWhy() {
  const choice = $('why-it');
  choice.replaceChildren(el('option', { value: '' }, t('why.choose')), ...SYMPTOMS.map((s) => el('option', { value: s }, t(`why.${s}`))));
  choice.addEventListener('change', () => ask(choice.value));
  // What was found belongs to the text it was asked of.
  on('text', () => { control.abort(); choice.value = ''; show('', []); });
}

async function ask(it) {
  control.abort();
  control = new AbortController();
  const { signal } = control;
  if (!it) return show('', []);
  show(t('why.wait'), []);
  try {
    const found = await post('/api/why', { text: store.text, it }, signal);
    show(found.said, found.causes);
  } catch (error) {
    if (!signal.aborted) show(error.message, []);
  }
}

function show(said, causes) {
  $('why-said').textContent = units.inWords(said);
  $('why-causes').replaceChildren(...causes.slice(0, SHOWN).map((c) => el('li', {},
    el('strong', {}, units.inWords(sentence(c.what))),
    el('p', {}, units.inWords(sentence(t('why.test', { test: c.test })))),
    el('p', {}, units.inWords(sentence(t('why.cure', { cure: c.cure })))))));
}
