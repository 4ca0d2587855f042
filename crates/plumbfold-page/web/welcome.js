// The first minute: what this is, and three ways in. Gone once one was taken.

import { get } from './api.js';
import { $, el } from './dom.js';
import { open } from './files.js';
import { startFolding } from './fold.js';
import { choose, blank } from './start.js';
import { t } from './strings.js';
import { emit } from './store.js';

const card = $('welcome');
/** The page of the lesson whose plane stalls. */
const STALLS = 2;

export function startWelcome() {
  $('hello').addEventListener('click', () => { welcome(); card.scrollIntoView({ block: 'nearest' }); card.querySelector('button').focus(); });
  let seen = false;
  try { seen = localStorage.getItem('welcomed') === 'yes'; } catch { /* It is shown each time. */ }
  if (!seen) welcome();
}

function welcome() {
  const way = (key, act) => el('button', { id: `welcome-${key}`, onclick: () => { done(); act().catch((error) => emit('refused', error.message)); } }, t(`welcome.${key}`));
  card.replaceChildren(el('p', {}, el('strong', {}, t('welcome.what')), ' ', t('welcome.ways')),
    el('div', { className: 'row' }, way('mend', mend), way('fold', fold), way('outline', outline), way('mine', mine),
      el('button', { className: 'quiet', onclick: done }, t('close'))));
  card.hidden = false;
}

function done() {
  card.hidden = true;
  try { localStorage.setItem('welcomed', 'yes'); } catch { /* It is shown again. */ }
}

async function mend() {
  const { lesson } = await get('/api/designs');
  open({ text: lesson[STALLS] });
}

async function fold() {
  await blank();
  startFolding();
}

async function outline() {
  await choose();
  document.querySelector('.outline-board').scrollIntoView({ block: 'center' });
}

/** The symptom first. */
async function mine() {
  $('why').open = true;
  $('why').scrollIntoView({ block: 'center' });
  $('why-it').focus();
}
