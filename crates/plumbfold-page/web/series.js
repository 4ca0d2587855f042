// One measure in steps: how a number, and what the plane does, follow from it.

import { post } from './api.js';
import { $, el, picture } from './dom.js';
import { show } from './dialog.js';
import { saver } from './export.js';
import { t } from './strings.js';
import { change, store } from './store.js';
import * as units from './units.js';

/** Each gives [number, unit], or nothing where it is not known. */
const numbers = {
  area_ahead: (n) => units.plain(n.area_ahead_fraction * 100, 1, '%'),
  cg: (n) => units.length(n.cg.behind_nose_mm, 1),
  margin: (n) => n.aero && units.plain(n.aero.static_margin_mac_fraction * 100, 1, '%'),
  distance: (n) => n.flight && units.far(n.flight.distance_m, 2),
  aloft: (n) => n.flight && units.plain(n.flight.time_aloft_s, 2, 's'),
  glide: (n) => n.glide && units.plain(n.glide.lift_to_drag, 2),
};

export function startSeries() {
  $('series').addEventListener('click', openSeries);
}

function openSeries() {
  const lets = store.good?.controls.lets ?? [];
  if (!lets.length) { show(t('series.title'), el('p', {}, t('series.none'))); return; }
  const which = el('select', { onchange: limits }, ...lets.map((l) => el('option', {}, l.name)));
  const [from, to] = [0, 1].map(() => el('input', { type: 'number', size: 6, step: 'any' }));
  const count = el('input', { type: 'number', min: 2, max: 25, value: 9, size: 3 });
  const what = el('select', { onchange: draw }, ...Object.keys(numbers).map((k) => el('option', { value: k }, t(`number.${k}`))));
  const chart = el('div', { className: 'chart', role: 'status' });
  const table = el('div', {});
  let points = [];
  let control = null;
  const chosen = () => lets.find((l) => l.name === which.value);
  function limits() {
    const l = chosen();
    [from.value, to.value] = l.range;
    if (l.whole) count.value = Math.min(25, l.range[1] - l.range[0] + 1);
  }
  async function run() {
    control = chosen();
    const n = Math.max(2, Math.min(25, Number(count.value) || 9));
    const [a, b] = [Number(from.value), Number(to.value)];
    const values = [...new Set(Array.from({ length: n }, (_, i) => a + (b - a) * i / (n - 1)).map((v) => (control.whole ? Math.round(v) : Math.round(v * 100) / 100)))].sort((x, y) => x - y);
    try {
      ({ points } = await post('/api/series', { text: store.text, let: control.name, values }));
      await draw();
    } catch (error) { chart.replaceChildren(error.message); table.replaceChildren(); }
  }
  async function draw() {
    if (!points.length) return;
    table.replaceChildren(list(points, what.value, control));
    const question = plot(points, what.value, control);
    if (question) {
      picture(chart, (await post('/api/plot', question)).picture, question.label);
      legible(chart);
    } else chart.replaceChildren(t('series.failed'));
  }
  limits();
  const field = (label, input) => el('label', {}, label, input);
  show(t('series.title'), el('div', { className: 'fields' }, field(t('series.let'), which), field(t('series.from'), from), field(t('series.to'), to),
    field(t('series.count'), count), field(t('series.show'), what), el('button', { className: 'main', onclick: run }, t('series.run')), saver(chart, () => `${control.name}-${what.value}`)), chart, table);
  run();
}

/** Dots of the screen for a mm of the picture, so that its smallest letters have 12. */
const DOTS = 4.4;
/** On a narrow page the chart goes on to the side. */
function legible(chart) {
  const drawn = chart.querySelector('svg');
  const [, , w, h] = drawn.getAttribute('viewBox').split(/[\s,]+/).map(Number);
  drawn.style.minWidth = `${w * DOTS}px`;
  drawn.style.minHeight = `${h * DOTS}px`;
  chart.tabIndex = 0;
}

const bare = (said) => Number(said[0].replace('−', '-'));
const named = (name, unit) => (unit ? `${name}, ${unit}` : name);

/** The question for a chart; null where nothing is known. */
function plot(points, key, control) {
  const of = (value) => units.ofUnit(value, control.unit, control.whole);
  const said = points.map((p) => (p.numbers && numbers[key](p.numbers)) || null);
  const unit = said.find(Boolean)?.[1];
  return unit === undefined ? null : {
    along: named(control.name, of(0)[1]), at: points.map((p) => bare(of(p.value))), now: bare(of(control.value)),
    behaviours: points.map((p) => p.behaviour ?? null),
    label: named(t(`number.${key}`), unit), values: said.map((v) => v && bare(v)),
  };
}

function list(points, key, control) {
  const heads = [control.name, t(`number.${key}`), t('series.does')];
  return el('table', {}, el('thead', {}, el('tr', {}, ...heads.map((h, i) => el('th', { scope: 'col', className: i === 2 ? 'says' : '' }, h)), el('td', {}))),
    el('tbody', {}, ...points.map((p) => {
      const said = p.numbers && numbers[key](p.numbers);
      const use = () => { change({ kind: 'let', name: control.name, value: p.value }); $('dialog').close(); };
      return el('tr', { className: p.value === control.value ? 'differs' : '' },
        el('td', {}, units.say(units.ofUnit(p.value, control.unit, control.whole))),
        el('td', {}, said ? units.say(said) : t('series.failed')),
        el('td', { className: 'says' }, p.behaviour ? t(`behaviour.${p.behaviour}`) : ''),
        el('td', {}, el('button', { onclick: use }, t('series.use'))));
    })));
}
