// One measure in steps: how a number, and what the plane does, follow from it.

import { post } from './api.js';
import { $, el, svg } from './dom.js';
import { show } from './dialog.js';
import { t } from './strings.js';
import { change, store } from './store.js';
import * as units from './units.js';

const numbers = {
  area_ahead: [(n) => n.area_ahead_fraction * 100, '%'],
  cg: [(n) => n.cg.behind_nose_mm, 'mm'],
  margin: [(n) => n.aero && n.aero.static_margin_mac_fraction * 100, '%'],
  distance: [(n) => n.flight?.distance_m, 'm'],
  aloft: [(n) => n.flight?.time_aloft_s, 's'],
  glide: [(n) => n.glide?.lift_to_drag, ''],
};
const signs = { leaf: 'L', tumbles: 'T', stalls: 'S', porpoises: 'P', glides: 'G', dives: 'D', banks: 'B', spirals: 'R' };

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
  const chart = el('div', {});
  let points = [];
  const chosen = () => lets.find((l) => l.name === which.value);
  function limits() {
    const l = chosen();
    [from.value, to.value] = l.range;
    if (l.whole) count.value = Math.min(25, l.range[1] - l.range[0] + 1);
  }
  async function run() {
    const l = chosen();
    const n = Math.max(2, Math.min(25, Number(count.value) || 9));
    const [a, b] = [Number(from.value), Number(to.value)];
    const values = [...new Set(Array.from({ length: n }, (_, i) => a + (b - a) * i / (n - 1)).map((v) => (l.whole ? Math.round(v) : Math.round(v * 100) / 100)))];
    chart.replaceChildren('…');
    try {
      ({ points } = await post('/api/series', { text: store.text, let: l.name, values }));
      draw();
    } catch (error) { chart.replaceChildren(error.message); }
  }
  function draw() {
    if (points.length) chart.replaceChildren(plot(points, what.value, chosen()), list(points, what.value, chosen()));
  }
  limits();
  const field = (label, input) => el('label', {}, label, input);
  show(t('series.title'), el('div', { className: 'fields' }, field(t('series.let'), which), field(t('series.from'), from), field(t('series.to'), to),
    field(t('series.count'), count), field(t('series.show'), what), el('button', { className: 'main', onclick: run }, t('series.run'))), chart);
  run();
}

function nice(min, max) {
  const raw = (max - min || 1) / 5;
  const p = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((k) => k * p).find((s) => s >= raw);
  const ticks = [];
  for (let v = Math.ceil(min / step) * step; v <= max + step * 1e-6; v += step) ticks.push(Math.round(v / step) * step);
  return ticks;
}

function plot(points, key, control) {
  const [of, unit] = numbers[key];
  const data = points.map((p) => [p.value, p.numbers && of(p.numbers), p.behaviour]).filter((d) => typeof d[1] === 'number');
  const [W, H, L, R, T, B] = [760, 320, 58, 20, 22, 48];
  if (!data.length) return el('p', {}, t('series.failed'));
  const xs = data.map((d) => d[0]);
  const ys = data.map((d) => d[1]);
  const pad = (Math.max(...ys) - Math.min(...ys) || 1) * 0.12;
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys) - pad, Math.max(...ys) + pad];
  const X = (v) => L + (v - x0) / (x1 - x0 || 1) * (W - L - R);
  const Y = (v) => H - B - (v - y0) / (y1 - y0) * (H - T - B);
  const word = (x, y, text, a = {}) => svg('text', { x, y, fill: 'var(--pf-text)', 'font-size': 12, 'text-anchor': 'middle', ...a }, text);
  const line = (d, stroke, width) => svg('path', { d, fill: 'none', stroke, 'stroke-width': width });
  const round = (v) => String(Number(v.toPrecision(6)));
  return svg('svg', { viewBox: `0 0 ${W} ${H}`, class: 'chart', role: 'img', 'aria-label': t('series.alt', { what: t(`number.${key}`), name: control.name }) },
    ...nice(y0, y1).flatMap((v) => [line(`M${L} ${Y(v)}H${W - R}`, 'var(--pf-hair)', 1), word(L - 8, Y(v) + 4, round(v), { 'text-anchor': 'end' })]),
    ...nice(x0, x1).map((v) => word(X(v), H - B + 18, round(v))),
    line(`M${L} ${H - B}H${W - R}`, 'var(--pf-soft)', 1.2),
    word((L + W - R) / 2, H - 8, `${control.name}${control.unit ? `, ${control.unit}` : ''}`),
    word(L, 12, `${t(`number.${key}`)}${unit ? `, ${unit}` : ''}`, { 'text-anchor': 'start' }),
    line(`M${data.map((d) => `${X(d[0])} ${Y(d[1])}`).join('L')}`, 'var(--pf-one)', 2),
    ...data.map((d) => svg('g', {},
      svg('circle', { cx: X(d[0]), cy: Y(d[1]), r: 8.5, fill: d[2] === 'glides' ? 'var(--pf-good)' : 'var(--pf-ground)', stroke: 'var(--pf-one)', 'stroke-width': 1.6 }),
      word(X(d[0]), Y(d[1]) + 4, signs[d[2]] ?? '', { 'font-weight': 600, 'font-size': 11 }))));
}

function list(points, key, control) {
  const [of, unit] = numbers[key];
  return el('table', {}, el('thead', {}, el('tr', {}, ...[control.name, t(`number.${key}`), t('series.show'), ''].map((h, i) => el(i === 3 ? 'td' : 'th', {}, i === 2 ? '' : h)))),
    el('tbody', {}, ...points.map((p) => {
      const v = p.numbers && of(p.numbers);
      return el('tr', {}, el('td', {}, units.say(units.ofUnit(p.value, control.unit, control.whole))),
        el('td', {}, typeof v === 'number' ? units.say(units.plain(v, unit === '%' || unit === 'mm' ? 1 : 2, unit)) : t('series.failed')),
        el('td', {}, p.behaviour ? `${signs[p.behaviour]}  ${t(`behaviour.${p.behaviour}`)}` : ''),
        el('td', {}, el('button', { onclick: () => { change({ kind: 'let', name: control.name, value: p.value }); $('dialog').close(); } }, t('series.use'))));
    })));
}
