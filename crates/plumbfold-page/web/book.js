// The notebook beside the bench.

import { post } from './api.js';
import { $, download, el } from './dom.js';
import { show } from './dialog.js';
import { measureFilm } from './film.js';
import { judged } from './judged.js';
import { form } from './notebook.js';
import { t } from './strings.js';
import { store } from './store.js';
import { alone } from './way.js';

const ask = (question) => post('/api/notebook', question);
const here = () => (store.good?.text === store.text ? { plane: store.good.name, text: store.text } : {});

export function startBook() {
  $('notebook').addEventListener('click', open);
}

/** A film of a throw of what lies on the bench. */
export const filmed = (file) => measureFilm(file, here());

function open() {
  const files = alone ? [el('div', { className: 'fields' },
    el('button', { onclick: async () => download('notebook.json', (await ask({ look: {} })).book, 'application/json') }, t('book.download')),
    el('label', {}, t('book.import'), el('input', { type: 'file', accept: '.json', onchange: async (e) => {
      try { await ask({ import: await e.target.files[0].text() }); open(); } catch (error) { $('book-said').textContent = error.message; }
    } })))] : [];
  const film = el('label', { className: 'film-pick' }, t('book.film'), el('input', { type: 'file', id: 'book-film', accept: 'video/*', onchange: (e) => { const [file] = e.target.files; if (file) filmed(file); } }));
  show(t('book.title'), form(ask, here), judged(here), el('div', { className: 'fields' }, film), el('p', { className: 'aside' }, t(alone ? 'book.where.alone' : 'book.where')), ...files);
}
