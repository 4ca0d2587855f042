// Two versions side by side, with what differs marked.

import { post } from './api.js';
import { $, el, picture } from './dom.js';
import { show } from './dialog.js';
import { saver } from './export.js';
import { t } from './strings.js';
import { store } from './store.js';
import { say } from './files.js';
import * as units from './units.js';
import { headline, sentence } from './words.js';

let pinned = null;

const rows = [
  ['mass', (n) => n.mass_g, (v) => units.plain(v, 2, 'g')],
  ['cg', (n) => n.cg.behind_nose_mm, (v) => units.length(v, 1)],
  ['area_ahead', (n) => n.area_ahead_fraction * 100, (v) => units.plain(v, 1, '%')],
  ['cg_mac', (n) => n.cg_mac_fraction * 100, (v) => units.plain(v, 1, '%')],
  ['margin', (n) => n.aero && n.aero.static_margin_mac_fraction * 100, (v) => units.plain(v, 1, '%')],
  ['span', (n) => n.planform.span_mm, (v) => units.length(v, 1)],
  ['area', (n) => n.planform.area_mm2, (v) => units.area(v)],
  ['aspect', (n) => n.planform.aspect_ratio, (v) => units.plain(v, 2)],
  ['distance', (n) => n.flight?.distance_m, (v) => units.far(v, 1)],
  ['aloft', (n) => n.flight?.time_aloft_s, (v) => units.plain(v, 1, 's')],
  ['glide', (n) => n.glide?.lift_to_drag, (v) => units.plain(v, 1)],
];

export function startCompare() {
  $('compare').addEventListener('click', () => compare(pinned ? 'pinned' : store.file.name ? 'saved' : 'opened'));
}

function versions() {
  return {
    opened: [t('compare.opened'), store.file.opened],
    ...(store.file.name ? { saved: [t('compare.saved'), store.file.saved] } : {}),
    ...(pinned ? { pinned: [t('compare.pinned', { time: pinned.time }), pinned.text] } : {}),
  };
}

async function compare(which) {
  const all = versions();
  const select = el('select', { onchange: () => compare(select.value) },
    ...Object.entries(all).map(([key, [label]]) => el('option', { value: key, selected: key === which }, label)));
  const pin = el('button', { onclick: () => {
    pinned = { text: store.text, time: new Date().toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' }) };
    say(t('compare.pinned.done'), [], 2000);
    compare('pinned');
  } }, t('compare.pin'));
  const content = el('div', {});
  show(t('compare.title'), el('div', { className: 'fields' }, el('label', {}, t('compare.with'), select), pin), content);
  const [label, text] = all[which];
  const ask = (body) => post('/api/analyse?long', { text: body, step: null, depth: 'full', show: 'sheet' });
  const [old, now] = await Promise.all([ask(text), ask(store.text)]);
  if (!old.numbers || !now.numbers) { content.replaceChildren(t('compare.cannot')); return; }
  const panel = (name, answer) => {
    const places = ['edge', 'hall'].map((key) => {
      const place = el('div', { className: 'picture' });
      // Two pictures of the same kind on one page need different ids.
      picture(place, answer.pictures[key]?.replaceAll(`${key}-`, `${key}-${name === label ? 'a' : 'b'}-`));
      return el('div', { className: 'kept' }, saver(place, () => `${key}-${name}`.replace(/\W+/g, '-')), place);
    });
    return el('div', {}, el('h3', {}, name), el('p', {}, answer.verdict ? `${headline(answer.verdict)}. ${units.inWords(sentence(answer.verdict.cause ?? ''))}` : ''), ...places);
  };
  const body = rows.map(([key, of, write]) => {
    const [a, b] = [of(old.numbers), of(now.numbers)];
    if (a === undefined || a === null || b === undefined || b === null) return null;
    const differs = units.say(write(a)) !== units.say(write(b));
    const change = units.say(write(b - a));
    return el('tr', { className: differs ? 'differs' : '' }, el('td', {}, t(`number.${key}`)), el('td', {}, units.say(write(a))),
      el('td', {}, units.say(write(b))), el('td', {}, differs ? (b > a ? `+${change}` : change) : '='));
  });
  content.replaceChildren(
    el('div', { className: 'pair' }, panel(label, old), panel(t('compare.here'), now)),
    el('table', {}, el('thead', {}, el('tr', {}, ...[t('compare.number'), label, t('compare.here'), t('compare.change')].map((h) => el('th', { scope: 'col' }, h)))),
      el('tbody', {}, ...body.filter(Boolean))),
    wordsThatDiffer(text, store.text));
}

function wordsThatDiffer(a, b) {
  const [x, y] = [a.split('\n'), b.split('\n')];
  const gone = x.filter((l) => l.trim() && !y.includes(l));
  const come = y.filter((l) => l.trim() && !x.includes(l));
  if (!gone.length && !come.length) return el('p', { className: 'aside' }, t('compare.same'));
  return el('section', {}, el('h3', {}, t('compare.words')),
    el('pre', {}, ...gone.map((l) => el('del', {}, `− ${l}\n`)), ...come.map((l) => el('ins', {}, `+ ${l}\n`))));
}
