// The file behind the text: opened, saved only when asked, and watched for changes from outside.

import { get, post } from './api.js';
import { $, el } from './dom.js';
import { ask } from './dialog.js';
import { t } from './strings.js';
import { emit, on, setText, store, look } from './store.js';

const WATCH_MS = 1500;
const notice = $('notice');

export function startFiles() {
  $('save').addEventListener('click', save);
  on('text', state);
  on('answer', state);
  on('file', state);
  on('refused', (why) => say(why));
  on('lost', (lost) => (lost ? say(t('server.gone')) : say(t('server.back'), [], 2500)));
  addEventListener('beforeunload', (e) => { if (unsaved()) e.preventDefault(); });
  addEventListener('keydown', (e) => {
    if (!(e.ctrlKey || e.metaKey) || e.key.toLowerCase() !== 's') return;
    e.preventDefault();
    save();
  });
  setInterval(watch, WATCH_MS);
}

export const unsaved = () => store.text !== store.file.saved;

/** Opens a text: of a file (with its version), or new. */
export function open({ name = null, version = null, text }) {
  store.file = { name, version, saved: name ? text : '', opened: text };
  store.step = null;
  quiet();
  const first = !store.text;
  if (text === store.text) look(); else setText(text);
  if (first) store.undo = [];
  emit('opened');
  emit('file');
}

function state() {
  const { name } = store.file;
  $('file-state').textContent = name ? t(unsaved() ? 'file.changed' : 'file.saved', { name }) : t('file.unsaved');
  $('plane-name').textContent = store.answer?.name ?? store.good?.name ?? '';
  document.title = `${unsaved() ? '• ' : ''}${$('plane-name').textContent || 'Plumbfold'} – Plumbfold`;
  $('save').disabled = Boolean(name) && !unsaved();
  $('undo').disabled = store.undo.length === 0;
  $('redo').disabled = store.redo.length === 0;
}

async function save() {
  if (!store.file.name) return saveAs();
  return write(store.file.name, store.file.version);
}

export async function saveAs() {
  const name = `${(store.good?.name ?? 'plane').toLowerCase().replace(/[^\w]+/g, '-')}.plane`;
  const answer = await ask({
    title: t('file.as'), text: t('file.in', { folder: store.folder }),
    field: { label: t('file.ask'), value: name }, yes: t('top.save'),
  });
  if (!answer) return;
  await write(answer.endsWith('.plane') ? answer : `${answer}.plane`, null);
}

async function write(name, version) {
  const { text } = store;
  try {
    const kept = await post('/api/save', { name, text, version });
    Object.assign(store.file, { name, version: kept.version, saved: text });
    quiet();
    emit('file');
  } catch (error) {
    if (error.status !== 409) say(t('file.failed', { why: error.message }));
    else if (version === null) say(t('file.exists'));
    else outside(error.body.now);
  }
}

/** Is the file still what we saw? */
async function watch() {
  const { name, version } = store.file;
  if (!name || document.hidden) return;
  try {
    const now = await get(`/api/version?name=${encodeURIComponent(name)}`);
    if (store.file.name !== name || store.file.version !== version || now.version === version) return;
    if (notice.about === `${name} ${now.version}`) return;
    outside(now.version ? await get(`/api/file?name=${encodeURIComponent(name)}`) : null);
  } catch { /* The next question says that the server is gone. */ }
}

/** Tells of a change from outside and lets the person choose; nothing is overwritten. */
function outside(now) {
  const { name } = store.file;
  notice.about = `${name} ${now?.version ?? null}`;
  if (!now) {
    store.file.version = null;
    return say(t('file.gone', { name }));
  }
  const take = () => {
    Object.assign(store.file, { version: now.version, saved: now.text });
    setText(now.text);
    emit('file');
    say(t('file.taken'), [], 4000);
  };
  const keep = () => {
    Object.assign(store.file, { version: now.version, saved: now.text });
    emit('file');
    quiet();
  };
  say(t(unsaved() ? 'file.outside.conflict' : 'file.outside', { name }), [
    [t('file.take'), take], [t('file.keep'), keep], [t('file.other'), saveAs],
  ]);
}

/* ---------- the strip below the heading ---------- */

let leaving = 0;
export function say(text, actions = [], forMs = 0) {
  clearTimeout(leaving);
  notice.replaceChildren(el('p', {}, text), ...actions.map(([label, act]) => el('button', { onclick: act }, label)),
    el('button', { className: 'quiet', onclick: quiet }, t('close')));
  notice.hidden = false;
  if (forMs) leaving = setTimeout(quiet, forMs);
}
export function quiet() {
  notice.hidden = true;
  notice.replaceChildren();
}
