// Folding by hand: the paper at this step lies on the table with its points and edges marked;
// dragging one onto another says a fold in the words of the text, and shows what it would do.

import { Latest, post } from './api.js';
import { $, el, svg } from './dom.js';
import { t } from './strings.js';
import { bring } from './stage.js';
import { change, emit, on, setStep, store } from './store.js';
import * as units from './units.js';

/** Steps that need no dragging; how they are said comes with the paper. */
const USUAL = ['half', 'wings', 'over', 'turn', 'undo'];

const section = $('table');
const place = $('table-picture');
const footer = section.querySelector('footer');
let paper = null;
let preview = null;
/** The let that the step in words needs. */
let needed = null;
let picked = null;
let dropped = null;
let board = null;
let size = 1;
const ui = {};

export const isFolding = () => section.classList.contains('folding');

export function startFold() {
  build();
  $('fold').addEventListener('click', () => (isFolding() ? stop() : start()));
  on('answer', () => { if (isFolding() && paper?.text !== store.text) load(); });
  on('step', () => { if (isFolding()) load(); });
}

/* ---------- beginning and end ---------- */

/** Takes the paper in the hand. */
export function startFolding() { if (!isFolding()) start(); }

function start() {
  section.classList.add('folding');
  bring('table');
  $('fold').textContent = t('fold.stop');
  $('fold').classList.remove('main');
  ui.tools.hidden = false;
  move($('fold'), () => ui.buttons.append($('fold')));
  place.replaceChildren();
  place.drawn = null;
  clear();
  load();
}
function stop() {
  section.classList.remove('folding');
  $('fold').textContent = t('fold.start');
  $('fold').classList.add('main');
  move($('fold'), () => $('step-at').after($('fold')));
  ui.tools.hidden = true;
  place.replaceChildren();
  place.drawn = null;
  emit('answer', store.answer);
}

/** Moves a button without taking the focus from it. */
function move(button, act) {
  const focused = document.activeElement === button;
  act();
  if (focused) button.focus();
}

const before = () => store.step ?? store.good?.steps?.length ?? 0;

async function load() {
  const { text } = store;
  try {
    const held = await post('/api/fold', { text, step: before() });
    if (text !== store.text || !isFolding()) return;
    paper = { ...held.before, text, step: before() };
    clear();
  } catch (error) { emit('refused', error.message); }
}

function clear() {
  picked = null;
  dropped = null;
  preview = null;
  fillLists();
  ui.from.value = '';
  ui.onto.value = '';
  ui.line.textContent = '';
  ui.state.textContent = t('fold.help');
  ui.go.disabled = true;
  needed = null;
  for (const { key, possible } of paper?.usual ?? []) $(`fold-${key}`).disabled = !possible;
  $('fold-open').disabled = !paper?.opens;
  draw();
}

/* ---------- tools below the paper ---------- */

function build() {
  const choice = (name, options) => el('fieldset', {}, el('legend', {}, t(`fold.${name}`)),
    ...options.map(([value, label], i) => el('label', {}, el('input', { type: 'radio', name: `fold-${name}`, value, checked: i === 0, onchange: ask }), ' ', label)));
  ui.from = el('select', { id: 'fold-from', onchange: () => { picked = thing(ui.from.value); ask(); } });
  ui.onto = el('select', { id: 'fold-onto', onchange: () => { dropped = thing(ui.onto.value); ask(); } });
  ui.both = el('input', { type: 'checkbox', onchange: ask });
  const move = (key) => el('button', { id: `fold-${key}`, onclick: () => say(key) }, t(`fold.${key}`));
  ui.moves = el('div', { className: 'moves', role: 'group', 'aria-label': t('fold.moves') }, ...USUAL.map(move),
    el('button', { id: 'fold-open', onclick: openWings }, t('fold.open')));
  ui.line = el('code', { className: 'line', id: 'fold-line' });
  ui.go = el('button', { className: 'main', id: 'fold-do', disabled: true, onclick: foldIt }, t('fold.do'));
  ui.buttons = el('div', { className: 'row two' }, ui.go);
  ui.state = el('p', { role: 'status', id: 'fold-state' });
  ui.tools = el('div', { className: 'folding-tools', hidden: true },
    ui.state,
    el('div', { className: 'row two' },
      el('label', {}, `${t('fold.from')} `, ui.from), el('label', {}, `${t('fold.onto')} `, ui.onto)),
    el('div', { className: 'row' },
      choice('as', [['valley', t('fold.valley')], ['mountain', t('fold.mountain')], ['crease', t('fold.crease')]]),
      choice('layers', [['usual', t('fold.layers.default')], ['all', t('fold.layers.all')], ['top', t('fold.layers.top')]]),
      el('label', {}, ui.both, ' ', t('fold.both'))),
    ui.line, ui.buttons, ui.moves);
  footer.prepend(ui.tools);
}

const chosen = (name) => document.querySelector(`input[name=fold-${name}]:checked`).value;
const thing = (key) => {
  const [kind, index] = key.split(':');
  return kind ? { kind, ...(kind === 'spot' ? paper.spots : paper.lines)[index] } : null;
};

function fillLists() {
  const options = [el('option', { value: '' }, '—'),
    ...(paper?.spots ?? []).map((s, i) => el('option', { value: `spot:${i}` }, s.words)),
    ...(paper?.lines ?? []).map((l, i) => el('option', { value: `line:${i}` }, l.words))];
  ui.from.replaceChildren(...options);
  ui.onto.replaceChildren(...options.map((o) => o.cloneNode(true)));
}

/* ---------- the fold in words, and what it would do ---------- */

const trying = new Latest(
  (question) => post('/api/fold', question),
  (answer, { line, needs }, superseded) => {
    if (!isFolding() || !dropped && !line) return;
    ui.line.textContent = answer.line ?? '';
    preview = answer.after;
    ui.go.disabled = !preview;
    needed = needs ?? null;
    if (!answer.line && !answer.problem) ui.state.textContent = t('fold.picked', { what: picked.words });
    else if (answer.problem) ui.state.textContent = t('fold.cannot', { why: answer.problem });
    else if (answer.balance) {
      ui.state.textContent = t('fold.balance', { mm: units.say(units.length(answer.balance.behind_nose_mm, 1)), share: (answer.balance.area_ahead_fraction * 100).toFixed(1) });
    } else ui.state.textContent = t('fold.nothing');
    if (!superseded) draw();
  },
  (error) => emit('refused', error.message),
);

function ask() {
  if (!picked || !dropped) { draw(); return; }
  const { kind, words, at } = dropped;
  const drag = {
    from: { kind: picked.kind, words: picked.words }, onto: kind === 'free' ? { kind, at } : { kind, words },
    as: chosen('as'), layers: chosen('layers'), both: ui.both.checked,
  };
  trying.put({ text: paper.text, step: paper.step, drag });
  draw();
}

/** Tries a step in words. */
function say(key) {
  picked = dropped = null;
  const { line, needs } = paper.usual.find((u) => u.key === key);
  trying.put({ text: paper.text, step: paper.step, line, needs });
}

/** The pose: keel and wings opened as a hand opens them. */
function openWings() {
  change({ kind: 'open_wings' });
  ui.state.textContent = t('fold.open.done');
}

function foldIt() {
  const line = ui.line.textContent;
  if (!line || ui.go.disabled) return;
  const { step } = paper;
  const last = step >= (store.good?.steps?.length ?? 0);
  change({ kind: 'add_step', after: step, line, needs: needed });
  if (!last) setStep(step + 1);
}

/* ---------- the paper ---------- */

const flip = ([x, y]) => [x, -y];
const outline = (points) => `M${points.map((p) => flip(p).join(' ')).join('L')}Z`;

function draw() {
  if (!isFolding() || !paper) return;
  const all = paper.faces.flatMap((f) => f.points);
  const [x0, x1] = [Math.min(...all.map((p) => p[0])), Math.max(...all.map((p) => p[0]))];
  const [y0, y1] = [Math.min(...all.map((p) => p[1])), Math.max(...all.map((p) => p[1]))];
  size = Math.max(x1 - x0, y1 - y0) / 100;
  const pad = 14 * size;
  const faces = preview?.faces ?? paper.faces;
  const parts = faces.map((f) => svg('path', {
    d: outline(f.points), fill: f.up ? 'var(--pf-printed)' : 'var(--pf-plain)', stroke: 'var(--pf-edge)', 'stroke-width': 0.35 * size,
    'stroke-linejoin': 'round', class: f.moved ? 'moved' : null,
  }));
  for (const f of faces.filter((g) => g.moved)) parts.push(svg('path', { d: outline(f.points), fill: 'var(--pf-move)', 'fill-opacity': 0.16 }));
  if (preview) {
    for (const f of paper.faces) parts.push(svg('path', { d: outline(f.points), fill: 'none', stroke: 'var(--pf-soft)', 'stroke-width': 0.25 * size, 'stroke-dasharray': `${size} ${size}` }));
  }
  for (const [a, b] of paper.creases) parts.push(svg('path', { d: `M${flip(a).join(' ')}L${flip(b).join(' ')}`, stroke: 'var(--pf-edge-soft)', 'stroke-width': 0.25 * size }));
  const crease = bisector();
  if (crease) parts.push(svg('path', { d: `M${flip(crease[0]).join(' ')}L${flip(crease[1]).join(' ')}`, stroke: 'var(--pf-move)', 'stroke-width': 0.7 * size, 'stroke-dasharray': chosen('as') === 'mountain' ? `${4 * size} ${size} ${0.5 * size} ${size}` : `${3 * size} ${1.5 * size}` }));
  paper.lines.forEach((l, i) => parts.push(svg('g', { class: 'spot', 'data-thing': `line:${i}` },
    svg('path', { d: `M${flip(l.a).join(' ')}L${flip(l.b).join(' ')}`, stroke: mark(l) ? 'var(--pf-move)' : 'transparent', 'stroke-width': (mark(l) ? 1.4 : 3) * size, 'stroke-linecap': 'round' }),
    svg('title', {}, t('fold.edge', { what: l.words })))));
  paper.spots.forEach((s, i) => {
    const [x, y] = flip(s.at);
    parts.push(svg('g', { class: 'spot', 'data-thing': `spot:${i}` },
      svg('circle', { cx: x, cy: y, r: 4 * size, fill: 'transparent' }),
      svg('circle', { cx: x, cy: y, r: (mark(s) ? 2 : 1.3) * size, fill: mark(s) ? 'var(--pf-move)' : 'var(--pf-ground)', stroke: 'var(--pf-move)', 'stroke-width': 0.55 * size }),
      svg('title', {}, t('fold.point', { what: s.words }))));
  });
  if (picked && dropped) {
    const [a, b] = [middle(picked), middle(dropped)].map(flip);
    parts.push(svg('path', { d: `M${a.join(' ')}Q${(a[0] + b[0]) / 2 - (b[1] - a[1]) * 0.15} ${(a[1] + b[1]) / 2 + (b[0] - a[0]) * 0.15} ${b.join(' ')}`, fill: 'none', stroke: 'var(--pf-move)', 'stroke-width': 0.8 * size }),
      svg('circle', { cx: b[0], cy: b[1], r: 1.1 * size, fill: 'var(--pf-move)' }));
    // Where it has caught, in words beside the hand.
    if (dropped.words) parts.push(svg('text', { x: b[0], y: b[1] - 4 * size, 'text-anchor': 'middle', 'font-size': 3.6 * size, class: 'caught' }, t('fold.onto.what', { what: dropped.words })));
  }
  if (!board) {
    board = svg('svg', { class: 'paper', role: 'img', 'aria-label': t('fold.board') });
    listen(board);
  }
  board.setAttribute('viewBox', `${x0 - pad} ${-y1 - pad} ${x1 - x0 + 2 * pad} ${y1 - y0 + 2 * pad}`);
  board.replaceChildren(...parts);
  if (board.parentNode !== place) { place.drawn = null; place.replaceChildren(board); }
}

const same = (a, b) => a && b && a.words === b.words && a.kind !== 'free';
const mark = (x) => same(picked, x) || same(dropped, x);
const middle = (x) => x.at ?? [(x.a[0] + x.b[0]) / 2, (x.a[1] + x.b[1]) / 2];

/** The crease between two points, long enough to cross the paper. */
function bisector() {
  if (!picked?.at || !dropped?.at) return null;
  const [p, q] = [picked.at, dropped.at];
  const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
  const n = Math.hypot(dx, dy);
  if (n < 0.01) return null;
  const [mx, my, k] = [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, 60 * size / n];
  return [[mx - dy * k, my + dx * k], [mx + dy * k, my - dx * k]];
}

/* ---------- dragging ---------- */

function listen(svgBoard) {
  const at = (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svgBoard.getScreenCTM().inverse());
    return [p.x, -p.y];
  };
  let dragging = false;
  svgBoard.addEventListener('pointerdown', (e) => {
    const found = nearest(at(e));
    if (!found) return;
    e.preventDefault();
    svgBoard.setPointerCapture(e.pointerId);
    dragging = true;
    preview = null;
    picked = found;
    dropped = null;
    ui.from.value = keyOf(found);
    ui.onto.value = '';
    ui.state.textContent = t('fold.picked', { what: found.words });
    draw();
  });
  svgBoard.addEventListener('pointermove', (e) => {
    if (!dragging) return;
    const p = at(e);
    const found = nearest(p, picked);
    dropped = found ?? { kind: 'free', at: p, words: '' };
    ui.onto.value = found ? keyOf(found) : '';
    ask();
  });
  const end = () => { dragging = false; };
  svgBoard.addEventListener('pointerup', end);
  svgBoard.addEventListener('pointercancel', end);
}

const keyOf = (x) => {
  const spot = paper.spots.findIndex((s) => same(s, x));
  return spot >= 0 ? `spot:${spot}` : `line:${paper.lines.findIndex((l) => same(l, x))}`;
};

/** The thing under the pointer: a point within reach, else an edge or crease. A point can be
 *  dropped on anything, an edge only on an edge. */
function nearest(p, from = null) {
  const reach = 4.5 * size;
  const far = (s) => Math.hypot(s.at[0] - p[0], s.at[1] - p[1]);
  const spots = from?.kind === 'line' ? [] : paper.spots;
  const spot = spots.filter((s) => !same(s, from) && far(s) < reach).sort((a, b) => far(a) - far(b))[0];
  if (spot) return { kind: 'spot', ...spot };
  if (from && from.kind !== 'line') return null;
  const away = (l) => distance(p, l.a, l.b);
  // Of two that lie on each other the one that has a name is meant, such as the centre.
  const named = (l) => (/ edge$/.test(l.words) ? 0 : 0.2 * reach);
  const line = paper.lines.filter((l) => !same(l, from) && away(l) < reach * 0.8).sort((a, b) => away(a) - away(b) + named(b) - named(a))[0];
  return line ? { kind: 'line', ...line } : null;
}

function distance(p, a, b) {
  const d = [b[0] - a[0], b[1] - a[1]];
  const n = d[0] ** 2 + d[1] ** 2 || 1;
  const k = Math.max(0, Math.min(1, ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / n));
  return Math.hypot(p[0] - a[0] - d[0] * k, p[1] - a[1] - d[1] * k);
}

