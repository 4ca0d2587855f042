// A plane somebody folded, measured from a photo: the photo lies on a board with what was found drawn
// over it, and every piece of that can be dragged. The photo goes to the science and nowhere else.

import { Latest, photographed, post } from './api.js';
import { show } from './dialog.js';
import { $, el, svg } from './dom.js';
import { t } from './strings.js';
import * as units from './units.js';
import { headline, sentence } from './words.js';

const SHEETS = ['A4', 'A3', 'A5', 'Letter', 'Legal'];
/** Radius of what is dragged, dots of the screen. */
const HANDLE = 7;
/** The loupe shows so many dots of the screen's photo, three times as large. */
const LOUPE = 44;

/** Measures the plane in a photo; `take` gets the design text it is. */
export function measure(file, take) {
  const url = URL.createObjectURL(file);
  let found = null;
  /** The outline as it was found, to which corrections refer. */
  let base = [];
  let corners = null;
  let edits = [];
  let lines = [];
  /** The first end of a balance line, waiting for the second. */
  let end = null;
  let drawing = false;
  let size = [1, 1];

  /* ---------- the form ---------- */

  const number = (value, min, max, step) => el('input', { type: 'number', value, min, max, step, onchange: ask });
  const name = el('input', { value: file.name.replace(/\.\w+$/, '').replace(/[\s#]+/g, ' ') || 'Traced', size: 12, onchange: ask });
  const sheet = el('select', { onchange: afresh }, ...SHEETS.map((s) => el('option', {}, s)));
  const mass = number('', 0.1, 100, 0.1);
  const dihedral = number(4, -45, 45, 1);
  const keel = number(0, 0, 100, 1);
  const speed = number(4, 1, 12, 0.5);
  const differs = number('', 1, 200, 1);
  const under = el('input', { type: 'checkbox', onchange: ask });
  const line = el('button', { id: 'photo-line', 'aria-pressed': 'false', onclick: () => draws(!drawing) }, t('photo.line'));
  const back = el('button', { onclick: () => { if (lines.length) lines.pop(); else edits.pop(); ask(); } }, t('photo.back'));
  const again = el('button', { onclick: () => { lines = []; afresh(); } }, t('photo.again'));
  const stop = el('button', { onclick: () => { asking.stop(); said.textContent = t('photo.stopped'); working(false); } }, t('photo.stop'));
  const progress = el('progress', { 'aria-label': t('photo.looking') });
  const said = el('p', { id: 'photo-said', role: 'status' });
  const numbers = el('dl', { className: 'found' });
  const remarks = el('ul', { className: 'remarks' });
  const go = el('button', { id: 'photo-take', className: 'main', disabled: true, onclick: () => { close(); take(found.text); } }, t('photo.take'));
  const field = (key, input) => el('label', {}, t(`photo.${key}`), input);

  const board = svg('svg', { class: 'photo-board', role: 'group', 'aria-label': t('photo.board') });
  const picture = svg('image', { href: url, id: 'photo-image' });
  const over = svg('g', {});
  const loupe = svg('svg', { class: 'loupe', 'aria-hidden': 'true' });
  board.append(picture, over);
  const close = show(t('photo.title'), el('div', { className: 'photo' },
    el('div', { className: 'kept' }, board, loupe, el('div', { className: 'row working' }, progress, stop)),
    el('div', { className: 'fields' }, el('p', { className: 'aside' }, t('photo.help')), said, numbers, remarks,
      el('div', { className: 'row' }, line, back, again),
      field('name', name), field('sheet', sheet), field('mass', mass), field('keel', keel), field('dihedral', dihedral), field('speed', speed), field('differs', differs),
      el('label', { className: 'check' }, under, ' ', t('photo.under')), go)));
  $('dialog').addEventListener('close', () => { asking.stop(); URL.revokeObjectURL(url); }, { once: true });
  loupe.style.display = 'none';
  // The picture has its size once the browser has read it, and lies upright as the camera was held.
  const seen = new Image();
  seen.onload = () => { frame([seen.naturalWidth, seen.naturalHeight]); draw(); };
  seen.src = url;

  function frame([w, h]) {
    size = [w, h];
    board.setAttribute('viewBox', `0 0 ${w} ${h}`);
    for (const [key, value] of [['width', w], ['height', h]]) picture.setAttribute(key, value);
  }
  function working(on) { progress.parentNode.hidden = !on; }
  function draws(on) {
    drawing = on;
    end = null;
    line.setAttribute('aria-pressed', on);
    board.classList.toggle('drawing', on);
    if (on) said.textContent = t('photo.line.help');
    draw();
  }

  /* ---------- question and answer ---------- */

  const asking = new Latest(
    ({ question }, signal) => photographed('/api/trace', question, file, signal),
    (answer, { question }, superseded) => {
      found = answer;
      if (!question.edits.length) base = answer.outline.map((c) => c.in_photo);
      corners ??= answer.found.corners;
      frame(answer.found.photo_dots);
      draw();
      if (superseded) return;
      working(false);
      tell();
    },
    (error) => { working(false); go.disabled = true; said.textContent = sentence(error.message); draw(); });

  /** The same photo, with nothing of the outline said by hand. */
  function afresh() { corners = null; edits = []; ask(); }
  function ask() {
    working(true);
    said.textContent = t('photo.looking');
    const value = (input) => (input.value === '' ? null : Number(input.value));
    asking.put({ patient: true, question: {
      name: name.value, sheet: sheet.value, corners, edits, lines, underside: under.checked, threshold: value(differs),
      mass_g: value(mass), dihedral_deg: value(dihedral) ?? 0, keel_mm: value(keel) ?? 0, speed_mps: value(speed) ?? 4,
    } });
  }

  async function tell() {
    go.disabled = false;
    const length = (v) => t('photo.about', { value: units.length(v.value)[0], by: units.say(units.length((v.high - v.low) / 2)) });
    const share = (v) => t('photo.about', { value: (v.value * 100).toFixed(1), by: `${((v.high - v.low) * 50).toFixed(1)} %` });
    const rows = [['span', length(found.span_mm)], ['length', length(found.length_mm)],
      ['balance', found.balance ? length(found.balance.behind_nose_mm) : t('photo.unmeasured')],
      ['ahead', found.area_ahead_fraction ? share(found.area_ahead_fraction) : null]];
    numbers.replaceChildren(...rows.filter(([, v]) => v).flatMap(([key, v]) => [el('dt', {}, t(`photo.${key}`)), el('dd', {}, v)]));
    const heard = [...found.remarks.map((r) => r.text), found.balance?.disagree ? t('photo.disagree') : null].filter(Boolean);
    remarks.replaceChildren(...heard.map((words) => el('li', {}, units.inWords(words))));
    said.textContent = found.balance ? t('photo.done') : t('photo.next');
    if (!found.balance) return;
    const { text } = found;
    try {
      const { verdict } = await post('/api/analyse?long', { text, step: null, depth: 'counted', show: 'sheet' });
      if (found.text === text && verdict) said.textContent = t('photo.verdict', { verdict: headline(verdict) });
    } catch { /* The bench will tell. */ }
  }

  /* ---------- the board ---------- */

  const scale = () => size[0] / (board.clientWidth || size[0]);
  const path = (points, closed = true) => (points.length ? `M${points.map((p) => p.map((v) => v.toFixed(1)).join(' ')).join('L')}${closed ? 'Z' : ''}` : '');
  const mid = (a, b) => [0, 1].map((k) => (a[k] + b[k]) / 2);

  /** The outline with corrections: [number of the found point or null, place, edit that set it]. */
  function outline() {
    const out = [];
    base.forEach((at, i) => {
      const n = i + 1;
      if (!edits.some((e) => e.drop === n)) {
        const moved = edits.findLast((e) => e.move?.[0] === n);
        out.push({ n, at: moved ? moved.move[1] : at });
      }
      for (const e of edits) if (e.add?.[0] === n) out.push({ n: null, after: n, at: e.add[1], e });
    });
    return out;
  }

  function draw() {
    const k = scale();
    const width = { 'stroke-width': 2 * k };
    const points = outline();
    const handle = (at, kind, label, move, remove) => grip(at, kind, label, move, remove, k);
    over.replaceChildren(
      ...(found ? [svg('path', { class: 'ahead', d: path(found.ahead_dots) }), svg('path', { class: 'sheet', d: path(corners ?? found.sheet_dots), ...width }),
        svg('path', { class: 'outline', d: edits.length ? path(points.map((p) => p.at)) : path(found.outline_dots), ...width })] : []),
      ...(found?.balance_dots ? [svg('path', { class: 'balance', d: path(found.balance_dots[1], false), 'stroke-width': 3 * k }), svg('circle', { class: 'centre', cx: found.balance_dots[0][0], cy: found.balance_dots[0][1], r: 5 * k, ...width })] : []),
      ...lines.map((l) => svg('path', { class: 'line', d: path(l, false), ...width })),
      ...(drawing ? [] : points.map((p, i) => {
        const next = points[(i + 1) % points.length];
        return handle(mid(p.at, next.at), 'between', t('photo.add'), (at, over_) => { if (over_) { edits.push({ add: [p.n ?? p.after, at] }); } });
      })),
      ...(drawing ? [] : points.map((p, i) => handle(p.at, 'point', t('photo.point', { n: i + 1 }),
        (at) => { if (p.n) edits = [...edits.filter((e) => e.move?.[0] !== p.n), { move: [p.n, at] }]; else p.e.add[1] = at; },
        () => { edits = p.n ? [...edits, { drop: p.n }] : edits.filter((e) => e !== p.e); }))),
      ...(drawing ? [] : (corners ?? []).map((at, i) => handle(at, 'corner', t('photo.corner', { n: i + 1 }), (to) => { corners = corners.map((c, j) => (j === i ? to : c)); edits = []; }))),
      ...lines.flatMap((l, i) => [0, 1].map((j) => handle(l[j], 'end', t('photo.end', { n: i + 1 }), (to) => { l[j] = to; }, () => { lines = lines.filter((other) => other !== l); }))),
      ...(end ? [svg('circle', { class: 'end', cx: end[0], cy: end[1], r: HANDLE * k, ...width })] : []));
  }

  /** Something to drag, to move with the arrow keys, and to remove with the Delete key. */
  function grip(at, kind, label, move, remove, k) {
    const dot = svg('circle', { class: kind, cx: at[0], cy: at[1], r: (kind === 'between' ? 0.6 : 1) * HANDLE * k, 'stroke-width': 2 * k, tabindex: kind === 'between' ? -1 : 0, role: 'button', 'aria-label': label });
    let to = null;
    dot.addEventListener('pointerdown', (e) => {
      if (drawing) return;
      e.preventDefault();
      e.stopPropagation();
      dot.setPointerCapture(e.pointerId);
      dot.focus({ preventScroll: true });
      to = at;
    });
    dot.addEventListener('pointermove', (e) => {
      if (!to) return;
      to = place(e);
      dot.setAttribute('cx', to[0]);
      dot.setAttribute('cy', to[1]);
      look(to);
    });
    for (const over_ of ['pointerup', 'pointercancel']) {
      dot.addEventListener(over_, () => {
        look(null);
        if (to && Math.hypot(to[0] - at[0], to[1] - at[1]) > 0.5) { move(to, true); ask(); draw(); }
        to = null;
      });
    }
    dot.addEventListener('keydown', (e) => {
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
      if (step) move([0, 1].map((i) => at[i] + step[i] * (e.shiftKey ? 10 : 1)), true);
      else if ((e.key === 'Delete' || e.key === 'Backspace') && remove) remove();
      else return;
      e.preventDefault();
      const which = [...over.children].indexOf(dot);
      ask();
      draw();
      over.children[which]?.focus?.({ preventScroll: true });
    });
    if (remove) dot.addEventListener('dblclick', () => { remove(); ask(); draw(); });
    return dot;
  }

  /** What lies under the finger, larger, in the corner away from it. */
  function look(at) {
    loupe.style.display = at ? '' : 'none';
    if (!at) return;
    const r = LOUPE * scale() / 2;
    loupe.setAttribute('viewBox', `${at[0] - r} ${at[1] - r} ${2 * r} ${2 * r}`);
    loupe.classList.toggle('right', at[0] < size[0] / 2);
    if (!loupe.firstChild) loupe.append(svg('use', { href: '#photo-image' }), svg('path', { class: 'cross' }));
    loupe.lastChild.setAttribute('d', `M${at[0] - r} ${at[1]}h${2 * r}M${at[0]} ${at[1] - r}v${2 * r}`);
    loupe.lastChild.setAttribute('stroke-width', r / 60);
  }

  const place = (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(board.getScreenCTM().inverse());
    return [Math.max(0, Math.min(size[0], p.x)), Math.max(0, Math.min(size[1], p.y))];
  };
  board.addEventListener('click', (e) => {
    if (!drawing) return;
    const at = place(e);
    if (!end) { end = at; draw(); return; }
    lines.push([end, at]);
    draws(false);
    ask();
  });
  working(false);
  ask();
}

/** Lets photos be dropped anywhere on the page. */
export function startPhoto(take) {
  const isFile = (e) => [...(e.dataTransfer?.types ?? [])].includes('Files');
  addEventListener('dragover', (e) => { if (isFile(e)) e.preventDefault(); });
  addEventListener('drop', (e) => {
    if (!isFile(e)) return;
    e.preventDefault();
    const [file] = e.dataTransfer.files;
    if (file) take(file);
  });
}
