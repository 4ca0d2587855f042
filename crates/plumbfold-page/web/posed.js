// The posed plane, turned by dragging. Orthographic; the plumb line hangs from the balance point.

import { hold, tray } from './clips.js';
import { $, el, svg } from './dom.js';
import { t } from './strings.js';
import { on, store } from './store.js';
import { tree, walk } from './solid.js';

const place = $('posed-picture');
const DEG = Math.PI / 180;

/** Turn of the nose about the upright, and tilt of the upright away from the eye, degrees. */
const views = { three: [-38, -58], top: [0, 0], side: [-90, -90], front: [180, -90] };
let [yaw, tilt] = views.three;
let zoom = 1;
let model = null;
let waiting = false;

const board = svg('svg', { role: 'img', viewBox: '-100 -80 200 160' });

export function startPosed() {
  on('answer', (answer) => { if (answer.panels) { model = read(answer); draw(); } });
  place.replaceChildren(el('p', { className: 'aside' }, t('posed.none')));
  for (const button of document.querySelectorAll('[data-view]')) {
    button.addEventListener('click', () => { [yaw, tilt] = views[button.dataset.view]; zoom = 1; draw(); });
  }
  tray(place.parentNode, behindNose);
  let from = null;
  let held = null;
  place.addEventListener('pointerdown', (e) => {
    const index = e.target.dataset?.ballast;
    if (index !== undefined && model) {
      held = hold(Number(index), [e.clientX, e.clientY], backwards());
      if (held) { place.setPointerCapture(e.pointerId); return; }
    }
    from = [e.clientX, e.clientY, yaw, tilt];
    place.setPointerCapture(e.pointerId);
    place.classList.add('turning');
  });
  place.addEventListener('pointermove', (e) => {
    if (held) held.move(e);
    if (!from) return;
    yaw = from[2] + (e.clientX - from[0]) * 0.6;
    tilt = from[3] - (e.clientY - from[1]) * 0.6;
    soon();
  });
  for (const over of ['pointerup', 'pointercancel']) {
    place.addEventListener(over, () => { held?.end(); held = null; from = null; place.classList.remove('turning'); });
  }
  place.addEventListener('keydown', (e) => {
    const turn = { ArrowLeft: [-6, 0], ArrowRight: [6, 0], ArrowUp: [0, 6], ArrowDown: [0, -6] }[e.key];
    if (turn) { yaw += turn[0]; tilt += turn[1]; } else if (e.key === '+') zoom *= 1.15;
    else if (e.key === '-') zoom /= 1.15;
    else return;
    e.preventDefault();
    draw();
  });
  new ResizeObserver(soon).observe(place);
}

/** Places of the body on the screen: the view as it was drawn last. */
let seen = null;
/** The way of a mm behind the nose on the screen, in dots. */
const backwards = () => {
  const [a, b] = [seen([0, 0, 0]), seen([0, -100, 0])];
  return [0, 1].map((k) => (b[k] - a[k]) / 100);
};
/** The place behind the nose under the finger, mm; null away from the plane. */
function behindNose(e) {
  const r = place.getBoundingClientRect();
  if (!seen || e.clientX < r.left || e.clientX > r.right || e.clientY < r.top || e.clientY > r.bottom) return null;
  const nose = seen([0, 0, 0]);
  const way = backwards();
  const length = way[0] ** 2 + way[1] ** 2;
  if (length < 1e-6) return null;
  const at = [e.clientX - (r.left + r.width / 2) - nose[0], e.clientY - (r.top + r.height / 2) - nose[1]];
  const mm = (at[0] * way[0] + at[1] * way[1]) / length;
  return mm < -20 || mm > 2 * model.radius + 20 ? null : mm;
}

function soon() {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(() => { waiting = false; draw(); });
}

/** Datum frame (x forward, y right, z down) to top view on the screen: right, up, to the eye. */
const upright = ([x, y, z]) => [y, x, -z];

function read(answer) {
  const faces = answer.panels.flatMap((p, panel) => p.sheets.map((points) => {
    const placed = points.map(upright);
    const [a, b, c] = placed;
    const area = Math.hypot(...cross(minus(b, a), minus(c, a)));
    return { panel, normal: upright(p.normal), points: placed, area };
  }));
  const all = faces.flatMap((f) => f.points);
  const middle = [0, 1, 2].map((i) => (Math.min(...all.map((p) => p[i])) + Math.max(...all.map((p) => p[i]))) / 2);
  const radius = Math.max(1, ...all.map((p) => Math.hypot(...minus(p, middle))));
  return {
    tree: tree(faces), middle, radius,
    balance: upright(answer.balance_at), ballast: (answer.ballast_at ?? []).map(upright),
  };
}
const minus = (a, b) => a.map((v, i) => v - b[i]);
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

function draw() {
  if (!model) return;
  const { clientWidth: w, clientHeight: h } = place;
  if (!w || !h) return;
  const [cy, sy, ct, st] = [Math.cos(yaw * DEG), Math.sin(yaw * DEG), Math.cos(tilt * DEG), Math.sin(tilt * DEG)];
  const scale = zoom * Math.min(w / (2.05 * model.radius), h / (1.75 * model.radius));
  const see = (p) => {
    const [x, y, z] = minus(p, model.middle);
    const [x1, y1] = [x * cy - y * sy, x * sy + y * cy];
    return [x1, y1 * ct - z * st, y1 * st + z * ct];
  };
  const screen = (p) => { const [x, y] = see(p); return [x * scale, -y * scale]; };
  seen = screen;
  // Direction to the eye in the frame of the plane: the third row of the turn.
  const eye = [sy * st, cy * st, ct];
  const parts = [];
  walk(model.tree, eye, (face) => {
    const facing = face.normal[0] * eye[0] + face.normal[1] * eye[1] + face.normal[2] * eye[2];
    const d = `M${face.points.map((p) => screen(p).map((v) => v.toFixed(2)).join(' ')).join('L')}Z`;
    const shade = (1 - Math.abs(facing)) * 0.34 + (facing < 0 ? 0.13 : 0);
    parts.push(svg('path', { d, fill: 'var(--pf-plain)', stroke: face.cut ? 'var(--pf-plain)' : 'var(--pf-edge)', 'stroke-width': 0.7, 'stroke-linejoin': 'round' }));
    parts.push(svg('path', { d, fill: 'var(--pf-shade)', 'fill-opacity': shade.toFixed(3) }));
  });
  model.ballast.forEach((at, index) => {
    const [x, y] = screen(at);
    parts.push(svg('rect', { class: 'held-clip', x: x - 4, y: y - 4, width: 8, height: 8, fill: 'var(--pf-two)', stroke: 'var(--pf-text)' }),
      // A finger needs more to take hold of.
      svg('circle', { class: 'held-clip', 'data-ballast': index, cx: x, cy: y, r: 14, fill: 'transparent' }));
  });
  const [bx, by] = screen(model.balance);
  if (tilt < -15 && tilt > -165) {
    // A plumb line, longer the more the plane is seen from the side.
    const drop = Math.min(h / 2 - by - 14, 0.8 * model.radius * scale * -st);
    if (drop > 12) parts.push(svg('path', { d: `M${bx} ${by}V${by + drop}`, stroke: 'var(--pf-two)', 'stroke-width': 1.2 }), svg('path', { d: `M${bx - 4} ${by + drop}h8l-4 10Z`, fill: 'var(--pf-two)' }));
  }
  const r = 5.5;
  parts.push(svg('circle', { cx: bx, cy: by, r, fill: 'var(--pf-ground)', stroke: 'var(--pf-text)', 'stroke-width': 1.3 }),
    svg('path', { d: `M${bx} ${by}V${by - r}A${r} ${r} 0 0 1 ${bx + r} ${by}ZM${bx} ${by}V${by + r}A${r} ${r} 0 0 1 ${bx - r} ${by}Z`, fill: 'var(--pf-text)' }));
  board.setAttribute('viewBox', `${-w / 2} ${-h / 2} ${w} ${h}`);
  board.setAttribute('aria-label', `${t('posed.title')}: ${store.good?.name ?? ''}`);
  board.replaceChildren(...parts);
  if (board.parentNode !== place) place.replaceChildren(board);
  for (const button of document.querySelectorAll('[data-view]')) {
    const [y0, t0] = views[button.dataset.view];
    button.setAttribute('aria-pressed', y0 === yaw && t0 === tilt);
  }
}
