// Sliders for everything the text can be asked to change. A slider does not know the text: it
// sends what it wants, and the server answers with the changed text and all that follows from it.

import { $, el } from './dom.js';
import { t } from './strings.js';
import { baseText, beginGesture, change, endGesture, on, store } from './store.js';
import * as units from './units.js';

const place = $('slider-list');
let shape = '';
let rows = new Map();
let held = null;


export function startSliders() {
  on('answer', (answer) => answer.controls && draw(answer.controls));
  on('units', () => { shape = ''; if (store.good) draw(store.good.controls); });
}

const said = (value, unit, whole) => units.say(units.ofUnit(value, unit, whole));
const way = (value, unit, more, less, zero) =>
  (value === 0 ? t(zero) : t(value > 0 ? more : less, { value: said(Math.abs(value), unit) }));

function stepOf(unit, whole, range) {
  if (whole) return 1;
  // What a hand can make: half a mm of paper, a tenth of a bend.
  if (unit === 'mm') return range > 12 ? 0.5 : 0.1;
  return { deg: 0.5, 'm/s': 0.1, m: 0.05, g: 0.05 }[unit] ?? Math.max(range / 200, 1e-3);
}

/** All sliders of a design, in the order they are shown. */
function wanted(c) {
  const groups = [];
  groups.push({
    title: t('change.lets'),
    empty: c.lets.length ? null : t('change.lets.none'),
    rows: c.lets.map((l) => ({
      id: `let-${l.name}`, name: l.name, note: l.computed ? t('change.computed') : l.note,
      value: l.value, min: l.range[0], max: l.range[1],
      step: stepOf(l.unit, l.whole, l.range[1] - l.range[0]),
      unit: l.unit, say: (v) => said(v, l.unit, l.whole),
      ask: (value) => ({ kind: 'let', name: l.name, value }),
    })),
  });
  const trims = new Map(c.trims.map((x) => [x.surface, x]));
  groups.push({
    title: t('change.trim'),
    // A let that gives the bend has its dial above.
    rows: ['elevator', 'left wing', 'right wing', 'rudder'].filter((surface) => !trims.get(surface)?.by).map((surface) => ({
      id: `trim-${surface}`, name: t(`trim.${surface}`), value: trims.get(surface)?.mm ?? 0,
      min: -6, max: 6, step: 0.1, unit: 'mm',
      say: (v) => (surface === 'rudder'
        ? way(v, 'mm', 'trim.right', 'trim.left', 'trim.zero') : way(v, 'mm', 'trim.up', 'trim.down', 'trim.zero')),
      ask: (mm) => ({ kind: 'trim', surface, mm }),
    })),
  });
  groups.push({
    title: t('change.ballast'),
    add: () => change({ kind: 'add_ballast' }),
    rows: c.ballast.flatMap((b, index) => [
      b.mass_by ? null : {
        id: `ballast-mass-${index}`, name: t('change.ballast.mass', { kind: b.kind }), value: b.mass_g,
        min: 0, max: 3, step: 0.05, unit: 'g', say: (v) => said(v, 'g'),
        ask: (mass_g) => ({ kind: 'ballast', index, mass_g }),
        remove: () => change({ kind: 'remove_ballast', index }),
      },
      b.behind_mm === null || b.behind_by ? null : {
        id: `ballast-place-${index}`, name: t('change.ballast.place', { kind: b.kind }), value: b.behind_mm,
        min: 0, max: Math.max(120, Math.ceil(b.behind_mm)), step: 0.5, unit: 'mm', say: (v) => said(v, 'mm'),
        ask: (behind_mm) => ({ kind: 'ballast', index, behind_mm }),
      },
    ]).filter(Boolean),
  });
  groups.push({
    title: t('change.throw'),
    rows: [
      { key: 'speed_mps', name: t('throw.speed'), min: 1, max: 12, step: 0.1, unit: 'm/s', say: (v) => said(v, 'm/s') },
      { key: 'elevation_deg', name: t('throw.elevation'), min: -30, max: 45, step: 1, unit: 'deg', say: (v) => way(v, 'deg', 'throw.up', 'throw.down', 'throw.level') },
      { key: 'height_m', name: t('throw.height'), min: 0.4, max: 3, step: 0.05, unit: 'm', say: (v) => said(v, 'm') },
      { key: 'bank_deg', name: t('throw.bank'), min: -30, max: 30, step: 1, unit: 'deg', say: (v) => way(v, 'deg', 'throw.right', 'throw.left', 'throw.even') },
    ].map((r) => ({ ...r, id: `throw-${r.key}`, value: c.throw[r.key], ask: (v) => ({ kind: 'throw', [r.key]: v }) })),
  });
  return groups;
}

function draw(controls) {
  const groups = wanted(controls);
  const now = JSON.stringify([units.isInch(), groups.map((g) => [g.title, g.empty, g.rows.map((r) => [r.id, r.name, r.note, r.min, r.max])])]);
  if (now !== shape) {
    // Keep the row under the finger: a rebuild would end the drag.
    if (held) return update(groups);
    const focused = document.activeElement?.closest?.('.slider') ? document.activeElement.id : null;
    shape = now;
    rows = new Map();
    place.replaceChildren(...groups.flatMap((g) => [
      el('h3', {}, g.title, g.add ? el('button', { className: 'quiet', onclick: g.add }, t('change.ballast.add')) : null),
      g.empty ? el('p', { className: 'aside' }, g.empty) : null,
      ...g.rows.map(build),
    ].filter(Boolean)));
    if (focused) $(focused)?.focus();
  }
  update(groups);
}

function build(row) {
  const input = el('input', { type: 'range', id: row.id, min: row.min, max: row.max, step: row.step });
  const output = el('output', { htmlFor: row.id });
  const exact = el('button', { className: 'exact', title: t('change.type'), onclick: () => type(state, exact) }, output);
  const state = { input, output, row };
  rows.set(row.id, state);
  const begin = () => { held = row.id; beginGesture(); };
  const end = () => { if (held === row.id) { held = null; endGesture(); } };
  input.addEventListener('pointerdown', begin);
  input.addEventListener('keydown', (e) => { if (/^(Arrow|Page|Home|End)/.test(e.key)) begin(); });
  input.addEventListener('input', () => {
    const value = Number(input.value);
    show(state, value);
    change(state.row.ask(value), { base: baseText(), sent: performance.now() });
  });
  for (const event of ['change', 'pointerup', 'pointercancel', 'keyup', 'blur']) input.addEventListener(event, () => setTimeout(end, 0));
  return el('div', { className: 'slider' },
    el('label', { htmlFor: row.id }, row.name, row.note ? el('small', {}, row.note) : null),
    el('span', {}, exact, row.remove ? el('button', { className: 'quiet', onclick: () => state.row.remove() }, t('change.ballast.remove')) : null),
    input);
}

/** The value as a number to be typed, in the units that are shown. */
function type(state, exact) {
  const { row, input } = state;
  const field = el('input', { type: 'text', inputMode: 'decimal', size: 7, value: units.typed(Number(input.value), row.unit), 'aria-label': t('change.exact', { name: row.name }) });
  const leave = (take) => {
    field.onblur = null;
    const value = take ? units.read(field.value, row.unit) : null;
    field.replaceWith(exact);
    if (value !== null && value !== Number(input.value)) change(state.row.ask(value));
  };
  field.addEventListener('keydown', (e) => {
    if (e.key !== 'Enter' && e.key !== 'Escape') return;
    e.preventDefault();
    leave(e.key === 'Enter');
    exact.focus();
  });
  field.onblur = () => leave(true);
  exact.replaceWith(field);
  field.select();
}

function update(groups) {
  for (const row of groups.flatMap((g) => g.rows)) {
    const state = rows.get(row.id);
    if (!state) continue;
    state.row = row;
    if (held === row.id) continue;
    // A value outside the range the slider was made for still must be shown.
    if (row.value < row.min) state.input.min = row.value;
    if (row.value > row.max) state.input.max = row.value;
    state.input.value = row.value;
    show(state, row.value);
  }
}

function show({ input, output, row }, value) {
  const words = row.say(value);
  if (output.value !== words) output.value = words;
  input.setAttribute('aria-valuetext', words);
}

