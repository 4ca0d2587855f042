// Throws, kept as they are made: large buttons for a hand that holds a plane, a stopwatch, and what
// all throws say. The same form lies beside the bench and on a phone in the hall.

import { el } from './dom.js';
import { t } from './strings.js';
import * as units from './units.js';

const DID = ['glides', 'stalls', 'porpoises', 'dives', 'banks', 'spirals', 'tumbles', 'leaf'];
const ENDED = ['wall', 'ceiling', 'person'];
const FOOT = 0.3048;

/** The form. `ask(question)` gives what the notebook holds; `here()` the plane and text that lie on
 *  the bench, if there is one. */
export function form(ask, here = () => ({})) {
  let names = [];
  let from = 0;
  let running = 0;

  const said = el('p', { role: 'status', id: 'book-said' });
  const plane = el('select', { id: 'book-plane', onchange: () => { other.hidden = plane.value !== ''; if (!other.hidden) other.focus(); } });
  const other = el('input', { id: 'book-name', 'aria-label': t('book.name'), placeholder: t('book.name'), maxLength: 60, hidden: true });
  const number = (id, label) => el('input', { id, inputMode: 'decimal', autocomplete: 'off', size: 6, 'aria-label': label });
  const time = number('book-time', t('book.time'));
  const distance = number('book-distance', t('book.distance'));
  const note = el('input', { id: 'book-note', maxLength: 300, autocomplete: 'off' });
  const watch = el('button', { id: 'book-watch', className: 'huge', onclick: () => (running ? land() : start()) });

  /* ---------- the stopwatch ---------- */

  function start() {
    from = performance.now();
    running = setInterval(tick, 50);
    tick();
    watch.classList.add('running');
    time.value = '';
    said.textContent = '';
  }
  const tick = () => { watch.textContent = t('book.land', { s: ((performance.now() - from) / 1000).toFixed(1) }); };
  function land() {
    clearInterval(running);
    running = 0;
    time.value = ((performance.now() - from) / 1000).toFixed(2);
    rest();
  }
  function rest() {
    watch.classList.remove('running');
    watch.textContent = t('book.start');
  }

  /* ---------- what it did ---------- */

  /** Buttons of which one at most is pressed. */
  function choice(kind, all, words) {
    const buttons = all.map((value) => el('button', { className: 'big', value, 'aria-pressed': 'false', onclick: (e) => press(e.currentTarget) }, t(`${words}.${value}`)));
    const press = (button) => { for (const b of buttons) b.setAttribute('aria-pressed', b === button && b.getAttribute('aria-pressed') !== 'true'); };
    return {
      box: el('div', { className: `choice ${kind}`, role: 'group', 'aria-label': t(`book.${kind}`) }, ...buttons),
      value: () => buttons.find((b) => b.getAttribute('aria-pressed') === 'true')?.value ?? null,
      clear: () => press(null),
    };
  }
  const did = choice('did', DID, 'behaviour');
  const ended = choice('ended', ENDED, 'book.ended');

  /* ---------- keeping ---------- */

  const read = (input) => {
    const words = input.value.trim().replace(',', '.');
    if (!words) return null;
    const value = Number(words);
    if (!Number.isFinite(value)) throw new Error(t('book.number', { words: input.value }));
    return value;
  };
  const keep = el('button', { id: 'book-keep', className: 'main huge', onclick: async () => {
    // A second press before the answer would keep the throw twice.
    keep.disabled = true;
    try {
      if (running) land();
      const far = read(distance);
      const lies = here();
      const thrown = plane.value || other.value;
      await told({ throw: {
        plane: thrown, time_s: read(time), did: did.value(), ended: ended.value(), note: note.value || null,
        distance_m: far === null ? null : Number((units.isInch() ? far * FOOT : far).toFixed(4)), text: thrown === lies.plane ? lies.text : null,
      } });
      for (const input of [time, distance, note]) input.value = '';
      did.clear();
      ended.clear();
      said.textContent = t('book.kept');
    } catch (error) { said.textContent = error.message; }
    keep.disabled = false;
  } }, t('book.keep'));
  const undo = el('button', { id: 'book-undo', onclick: async () => {
    undo.disabled = true;
    try { await told({ undo: {} }); said.textContent = t('book.undone'); } catch (error) { said.textContent = error.message; }
    undo.disabled = false;
  } }, t('book.undo'));

  /* ---------- where and who ---------- */

  const place = el('input', { id: 'book-place', maxLength: 60, autocomplete: 'off' });
  const thrower = el('input', { id: 'book-thrower', maxLength: 60, autocomplete: 'off' });
  const warmth = number('book-temperature', t('book.temperature'));
  const runs = el('p', { className: 'aside', id: 'book-session' });
  const begin = el('button', { id: 'book-begin', onclick: async () => {
    try {
      await told({ session: { place: place.value, thrower: thrower.value || null, temperature_c: read(warmth) } });
      session.open = false;
      said.textContent = '';
    } catch (error) { said.textContent = error.message; }
  } }, t('book.begin'));
  const session = el('details', { className: 'session' }, el('summary', {}, t('book.session')),
    ...[['book.place', place], ['book.thrower', thrower], ['book.temperature', warmth]].map(([key, input]) => el('label', {}, el('span', {}, t(key)), input)), begin);

  /* ---------- what is there ---------- */

  const results = el('div', { className: 'results' });
  const list = el('ol', { className: 'thrown' });
  async function told(question) {
    const holds = await ask(question);
    names = [...new Set([here().plane, ...holds.planes].filter(Boolean))];
    const chosen = other.hidden ? plane.value || names[0] : other.value;
    plane.replaceChildren(...names.map((n) => el('option', { selected: n === chosen }, n)), el('option', { value: '', selected: !names.includes(chosen) }, t('book.another')));
    other.hidden = plane.value !== '';
    runs.hidden = !holds.session;
    if (holds.session) runs.textContent = t(holds.session.thrower ? 'book.running.by' : 'book.running', holds.session);
    const far = (m) => units.say(units.far(m, 2));
    const some = (f) => {
      const parts = [f.distance_m === undefined ? null : units.say(units.far(f.distance_m, 2)), f.time_s === undefined ? null : `${f.time_s.toFixed(2)} s`, f.did && t(`behaviour.${f.did}`), f.ended && t(`book.ended.${f.ended}`), f.note];
      return parts.filter(Boolean).join(', ');
    };
    list.replaceChildren(...holds.throws.map(({ fields }) => el('li', {}, el('strong', {}, fields.plane), ` ${some(fields)}`)));
    const about = (s, say) => (s ? `${say(s.mean)}${s.mean_interval ? ` (${say(s.mean_interval[0]).split(' ')[0]} – ${say(s.mean_interval[1])})` : ''}` : '–');
    results.replaceChildren(holds.results.planes.length ? el('table', {},
      el('thead', {}, el('tr', {}, ...['plane', 'throws', 'far', 'best', 'aloft'].map((key) => el('th', { scope: 'col' }, t(`book.${key}`))))),
      el('tbody', {}, ...holds.results.planes.map((p) => el('tr', {}, el('td', {}, p.name), el('td', {}, String(p.throws)), el('td', {}, about(p.distance, far)),
        el('td', {}, p.distance ? far(p.distance.greatest) : '–'), el('td', {}, about(p.time, (v) => `${v.toFixed(2)} s`)))))) : t('book.empty'));
  }

  rest();
  told({ look: {} }).catch((error) => { said.textContent = error.message; });
  const field = (label, ...inputs) => el('label', {}, el('span', {}, label), ...inputs);
  return el('div', { className: 'book' },
    el('div', { className: 'enter' }, field(t('book.plane'), plane), other, watch,
      el('div', { className: 'two' }, field(t('book.time'), time), field(t(units.isInch() ? 'book.distance.ft' : 'book.distance'), distance)),
      did.box, ended.box, field(t('book.note'), note), keep, said, runs, session),
    el('div', {}, el('header', {}, el('h3', {}, t('book.last')), undo), list, el('h3', {}, t('book.results')), results));
}
