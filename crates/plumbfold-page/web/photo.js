// A plane somebody folded, measured from a photo: the photo lies on a board with what was found drawn
// over it, and every piece of that can be dragged. The photo goes to the science and nowhere else.

import { Latest, photographed, post } from './api.js';
import { show } from './dialog.js';
import { $, el, svg } from './dom.js';
import { grip, HANDLE } from './grip.js';
import { t } from './strings.js';
import * as units from './units.js';
import { headline, sentence } from './words.js';

const SHEETS = ['A4', 'A3', 'A5', 'Letter', 'Legal'];
/** Steps of the work, each a question of its own. */
const STAGES = ['sheet', 'plane', 'flight'];
/** Corners of a sheet nothing is known of, in shares of the photo. */
const FRAME = [[0.15, 0.15], [0.85, 0.15], [0.85, 0.85], [0.15, 0.85]];
/** The loupe shows so many dots of the screen's photo, three times as large. */
const LOUPE = 44;

/** Measures the plane in a photo; `take` gets the design text it is. */
export function measure(file, take) {
  const url = URL.createObjectURL(file);
  let found = null;
  /** The outline as it was found, to which corrections refer. */
  let base = [];
  /** What the hand said: corners of the sheet, the outline drawn or corrected, lines it was balanced on or
      hung by, the line of symmetry or a place near the nose. */
  let hand = { corners: null, lens: null, outline: null, edits: [], lines: [], axis: null, nose: null };
  /** The same before each change. */
  let past = [];
  /** The sheet as it was found, while nothing else is known. */
  let sheetDots = null;
  /** How far the work went where it failed: borders of what stands out, points of an outline. */
  let reached = null;
  /** What the next clicks draw, `line`, `plumb` or `outline`, and those made. */
  let drawing = null;
  let trail = [];
  let size = [1, 1];

  /* ---------- the form ---------- */

  const number = (value, min, max, step) => el('input', { type: 'number', value, min, max, step, onchange: ask });
  const name = el('input', { value: file.name.replace(/\.\w+$/, '').replace(/[\s#]+/g, ' ') || 'Traced', size: 12, onchange: ask });
  const sheet = el('select', { onchange: afresh }, ...SHEETS.map((s) => el('option', {}, s)));
  const mass = number('', 0.1, 100, 0.1);
  const dihedral = number(4, -45, 45, 1);
  const keel = number('', 0, 100, 1);
  const speed = number('', 1, 12, 0.5);
  const differs = number('', 1, 200, 1);
  const under = el('input', { type: 'checkbox', onchange: ask });
  const tool = (kind) => el('button', { id: `photo-${kind}`, 'aria-pressed': 'false', onclick: (e) => { if (drawing === 'outline' && kind === 'outline' && trail.length > 2) drawn(); else draws(drawing === kind ? null : kind, !e.detail); } }, t(`photo.${kind}`));
  const tools = { line: tool('line'), plumb: tool('plumb'), outline: tool('outline') };
  const round = el('button', { onclick: () => { if (found) change(() => Object.assign(hand, { nose: found.found.axis[1], axis: null })); } }, t('photo.round'));
  const back = el('button', { id: 'photo-back', onclick: () => { if (past.length) { hand = past.pop(); ask(); draw(); } } }, t('photo.back'));
  const again = el('button', { onclick: () => { past = []; hand = { ...hand, lines: [] }; afresh(); } }, t('photo.again'));
  const supports = [0, 1].map(() => [number('', 0, 100, 0.01), number('', 0, 500, 0.5)]);
  const scales = el('details', { id: 'photo-scales' }, el('summary', {}, t('photo.scales')), el('p', { className: 'aside' }, t('photo.scales.help')),
    ...supports.map(([grams, at], i) => el('div', { className: 'row' }, el('label', {}, t('photo.scale.mass', { n: i + 1 }), grams), el('label', {}, t('photo.scale.at'), at))));
  const stop = el('button', { id: 'photo-stop', onclick: () => { asking.stop(); said.textContent = t('photo.stopped'); working(0); } }, t('photo.stop'));
  const progress = el('progress', { max: STAGES.length, 'aria-label': t('photo.progress') });
  const stage = el('span', { id: 'photo-stage' });
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
    el('div', { className: 'kept' }, board, loupe, el('div', { className: 'row working' }, progress, stage, stop)),
    el('div', { className: 'fields' }, el('p', { className: 'aside' }, t('photo.help')), said, numbers, remarks,
      el('div', { className: 'row' }, tools.line, tools.plumb), scales, el('div', { className: 'row' }, back, again, tools.outline, round),
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
  /** Which stage of the work is under way, from 1; 0 where there is none. */
  function working(n) {
    progress.parentNode.hidden = !n;
    if (!n) return;
    progress.value = n - 0.5;
    stage.textContent = t('photo.stage', { n, of: STAGES.length, what: t(`photo.stage.${STAGES[n - 1]}`) });
  }
  function change(how) {
    past.push(structuredClone(hand));
    how();
    ask();
    draw();
  }
  /** Draws a line by two clicks; by keys it lies across the plane at first, and counts once its ends
      were moved. */
  function draws(kind, byKeys) {
    if (kind === 'outline' && byKeys) {
      // A diamond, whose points the arrow keys move: no plane before that.
      drawn([[0.5, 0.25], [0.7, 0.5], [0.5, 0.75], [0.3, 0.5]].map(([u, v]) => [u * size[0], v * size[1]]), true);
      return;
    }
    if (kind && byKeys && found) {
      const [nose, tail] = found.found.axis;
      const along = [tail[0] - nose[0], tail[1] - nose[1]];
      const middle = [0, 1].map((k) => nose[k] + 0.45 * along[k]);
      const ends = [-0.25, 0.25].map((s) => [middle[0] - s * along[1], middle[1] + s * along[0]]);
      change(() => hand.lines.push({ kind, ends, unsaid: true }));
      return;
    }
    drawing = kind;
    trail = [];
    for (const [name, button] of Object.entries(tools)) button.setAttribute('aria-pressed', name === kind);
    board.classList.toggle('drawing', Boolean(kind));
    if (kind) said.textContent = t(`photo.${kind}.help`);
    draw();
  }

  /** The outline is what was drawn. */
  function drawn(points = trail, unsaid = false) {
    draws(null);
    base = points;
    change(() => Object.assign(hand, { outline: points, unsaid, edits: [] }));
  }

  /* ---------- question and answer ---------- */

  // The sheet is asked for first, unless the hand said where it lies: it is drawn while the plane is
  // looked for, and can be corrected where no plane was found on it.
  const asking = new Latest(
    async ({ question }, signal) => {
      if (!question.corners) {
        working(1);
        const sheet = await photographed('/api/trace', { ...question, sheet_only: true }, file, signal);
        for (const key of ['corners', 'lens']) question[key] = hand[key] = sheet[key];
        sheetDots = sheet.sheet_dots;
        frame(sheet.photo_dots);
        draw();
      }
      working(2);
      return photographed('/api/trace', question, file, signal);
    },
    (answer, { question }, superseded) => {
      found = answer;
      reached = null;
      if (!question.edits.length) base = answer.outline.map((c) => c.in_photo);
      frame(answer.found.photo_dots);
      draw();
      if (!superseded) tell();
    },
    (error) => {
      working(0);
      go.disabled = true;
      // What was measured before is no answer to this.
      numbers.replaceChildren();
      remarks.replaceChildren();
      said.textContent = sentence(error.message);
      reached = error.body?.corners ? error.body : null;
      if (reached) {
        // Corners to drag where the sheet was not found: as guessed, or anywhere.
        hand.corners ??= reached.corners.length === 4 ? reached.corners : FRAME.map(([u, v]) => [u * size[0], v * size[1]]);
        if (!hand.edits.length && reached.outline.length) base = reached.outline;
        found = null;
      }
      draw();
    });

  /** The same photo, with nothing of sheet and outline said by hand. */
  function afresh() { hand = { ...hand, corners: null, lens: null, outline: null, edits: [], axis: null, nose: null }; found = null; reached = null; base = []; sheetDots = null; ask(); draw(); }
  function ask() {
    working(hand.corners ? 2 : 1);
    said.textContent = '';
    const value = (input) => (input.value === '' ? null : Number(input.value));
    const weighed = supports.filter((s) => s.every((input) => input.value !== '')).map(([grams, at]) => `${grams.value} g at ${at.value} mm`);
    const of = (kind) => hand.lines.filter((l) => l.kind === kind && !l.unsaid).map((l) => l.ends);
    asking.put({ patient: true, question: {
      name: name.value, sheet: sheet.value, corners: hand.corners, lens: hand.lens, outline: hand.outline, edits: hand.edits, axis: hand.axis, nose: hand.nose, lines: of('line'), plumbs: of('plumb'),
      supports: weighed.length === 2 ? weighed : [], underside: under.checked, threshold: value(differs),
      mass_g: value(mass), dihedral_deg: value(dihedral) ?? 0, keel_mm: value(keel), speed_mps: value(speed),
    } });
  }

  async function tell() {
    go.disabled = Boolean(hand.outline && hand.unsaid && !hand.edits.length);
    if (go.disabled) {
      numbers.replaceChildren();
      remarks.replaceChildren();
      said.textContent = t('photo.outline.keys');
      working(0);
      return;
    }
    const length = (v) => t('photo.about', { value: units.length(v.value)[0], by: units.say(units.length((v.high - v.low) / 2)) });
    const share = (v) => t('photo.about', { value: (v.value * 100).toFixed(1), by: `${((v.high - v.low) * 50).toFixed(1)} %` });
    const rows = [['span', length(found.span_mm)], ['length', length(found.length_mm)],
      ['balance', found.balance ? length(found.balance.behind_nose_mm) : t('photo.unmeasured')],
      ['ahead', found.area_ahead_fraction ? share(found.area_ahead_fraction) : null]].map(([key, v]) => [t(`photo.${key}`), v, null]);
    // Each measurement by itself, where there are several to compare.
    const each = found.balance?.measurements ?? [];
    if (each.length > 1) {
      const alone = each.map((m) => [sentence(m.what).replace(/\.$/, ''), m.alone_behind_nose_mm === null ? '–' : units.say(units.length(m.alone_behind_nose_mm)), 'one']);
      rows.splice(3, 0, ...alone);
    }
    numbers.replaceChildren(...rows.filter(([, v]) => v).flatMap(([what, v, className]) => [el('dt', { className }, what), el('dd', { className }, v)]));
    const heard = [...found.remarks.map((r) => r.text), keel.value === '' ? t('photo.nokeel') : null].filter(Boolean);
    remarks.replaceChildren(...heard.map((words) => el('li', {}, units.inWords(words))));
    said.textContent = t(hand.lines.some((l) => l.unsaid) ? 'photo.unsaid' : found.balance ? 'photo.done' : 'photo.next');
    if (!found.balance) { working(0); return; }
    working(3);
    const { text } = found;
    try {
      const { verdict } = await post('/api/analyse?long', { text, step: null, depth: 'counted', show: 'sheet' });
      if (found.text === text && verdict) said.textContent = t('photo.verdict', { verdict: headline(verdict) });
    } catch { /* The bench will tell. */ }
    if (found?.text === text && asking.idle) working(0);
  }

  /* ---------- the board ---------- */

  const scale = () => size[0] / (board.clientWidth || size[0]);
  const path = (points, closed = true) => (points.length ? `M${points.map((p) => p.map((v) => v.toFixed(1)).join(' ')).join('L')}${closed ? 'Z' : ''}` : '');
  const mid = (a, b) => [0, 1].map((k) => (a[k] + b[k]) / 2);

  const plus = (a, b, times = 1) => [0, 1].map((k) => a[k] + times * b[k]);
  /** Ways out of both ends of a line, so long. */
  function outward([a, b], length) {
    const along = plus(a, b, -1);
    const out = along.map((v) => (v * length) / (Math.hypot(...along) || 1));
    return [out, out.map((v) => -v)];
  }

  /** The outline with corrections: [number of the found point or null, place, edit that set it]. */
  function outline() {
    const out = [];
    const { edits } = hand;
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
    const handle = (at, kind, label, move, remove) => grip(handles, at, { kind, label, k, move, remove, small: kind === 'between' });
    const { corners, edits, lines } = hand;
    const still = drawing !== null;
    const axis = hand.axis ?? found?.found.axis;
    // What turns the line of symmetry stands clear of the outline's own points at nose and tail.
    const clear = found ? outward(axis, 3 * HANDLE * k) : [];
    const tips = clear.map((by, i) => plus(axis[i], by));
    const stroke = (of, d) => svg('path', { class: of, d });
    const sheet_ = corners ?? found?.sheet_dots ?? sheetDots;
    const said_ = (i) => t(`photo.end.${lines[i].kind}`, { n: 1 + lines.slice(0, i).filter((l) => l.kind === lines[i].kind).length });
    over.replaceChildren(
      ...(sheet_ ? [stroke('sheet', path(sheet_))] : []),
      ...(reached ? [...reached.pieces.map((p) => stroke('piece', path(p))), stroke('outline', path(points.map((p) => p.at)))] : []),
      ...(found ? [svg('path', { class: 'ahead', d: path(found.ahead_dots) }), stroke('axis', path(tips, false)),
        stroke('outline', edits.length ? path(points.map((p) => p.at)) : path(found.outline_dots))] : []),
      ...(found?.balance_dots ? [stroke('balance', path(found.balance_dots[1], false)), svg('circle', { class: 'centre', cx: found.balance_dots[0][0], cy: found.balance_dots[0][1], r: 5 * k, ...width })] : []),
      ...lines.map((l) => stroke(l.kind, path(l.ends, false))),
      ...(still ? [] : points.map((p, i) => {
        const next = points[(i + 1) % points.length];
        return handle(mid(p.at, next.at), 'between', t('photo.add'), (at) => { hand.edits.push({ add: [p.n ?? p.after, at] }); });
      })),
      ...(still ? [] : points.map((p, i) => handle(p.at, 'point', t('photo.point', { n: i + 1 }),
        (at) => { if (p.n) hand.edits = [...hand.edits.filter((e) => e.move?.[0] !== p.n), { move: [p.n, at] }]; else p.e.add[1] = at; },
        () => { hand.edits = p.n ? [...hand.edits, { drop: p.n }] : hand.edits.filter((e) => e !== p.e); }))),
      ...(still ? [] : (corners ?? []).map((at, i) => handle(at, 'corner', t('photo.corner', { n: i + 1 }), (to) => { hand.corners = corners.map((c, j) => (j === i ? to : c)); hand.edits = []; }))),
      ...(still ? [] : tips.map((at, i) => handle(at, 'tip', t(i ? 'photo.tail' : 'photo.nose'),
        (to) => { hand.axis = axis.map((p, j) => (j === i ? plus(to, clear[i], -1) : p)); hand.nose = null; }))),
      ...lines.flatMap((l, i) => [0, 1].map((j) => handle(l.ends[j], 'end', said_(i), (to) => { l.ends[j] = to; l.unsaid = false; }, () => { hand.lines = lines.filter((other) => other !== l); }))),
      ...(trail.length > 1 ? [stroke('outline', path(trail, false))] : []),
      ...trail.map(([cx, cy]) => svg('circle', { class: 'end', cx, cy, r: HANDLE * k, ...width })));
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
  const handles = { place, change, look, still: () => drawing };
  board.addEventListener('click', (e) => {
    if (!drawing) return;
    const at = place(e);
    const kind = drawing;
    const closes = kind === 'outline' && trail.length > 2 && Math.hypot(...plus(at, trail[0], -1)) < 2 * HANDLE * scale();
    if (closes) { drawn(); return; }
    trail.push(at);
    if (kind === 'outline' || trail.length < 2) { draw(); return; }
    const ends = trail;
    draws(null);
    change(() => hand.lines.push({ kind, ends }));
  });
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
