// A plane given by its outline: half of it drawn by points, with its mass and balance point.

import { el, svg } from './dom.js';
import { t } from './strings.js';

/** Size of the board, mm. */
const [WIDE, LONG] = [160, 300];

/** The board; `take` gets what was drawn and measured. */
export function outlineBoard(take) {
  let points = [];
  const board = svg('svg', { viewBox: `-12 -12 ${WIDE + 24} ${LONG + 24}`, class: 'outline-board', role: 'img', 'aria-label': t('start.outline.help') });
  const mass = el('input', { type: 'number', min: 0.1, max: 100, step: 0.1, value: 4.9, size: 5 });
  const balance = el('input', { id: 'outline-balance', type: 'number', min: 1, max: 400, step: 0.5, size: 5 });
  const keys = el('input', { size: 40, placeholder: '0 0, 90 210, 10 210', onchange: () => {
    points = keys.value.split(/[,;]/).map((p) => p.trim().split(/\s+/).map(Number)).filter((p) => p.length === 2 && p.every(Number.isFinite));
    draw();
  } });
  const answer = el('div', { role: 'status' });
  const draw = () => {
    const d = points.length ? `M${points.map((p) => p.join(' ')).join('L')}` : '';
    board.replaceChildren(
      ...Array.from({ length: WIDE / 20 + 1 }, (_, i) => svg('path', { d: `M${i * 20} 0V${LONG}`, stroke: 'var(--pf-hair)', 'stroke-width': i ? 0.3 : 1.2 })),
      ...Array.from({ length: LONG / 20 + 1 }, (_, i) => svg('path', { d: `M0 ${i * 20}H${WIDE}`, stroke: 'var(--pf-hair)', 'stroke-width': 0.3 })),
      svg('path', { d: d && `${d}Z`, fill: 'var(--pf-plain)', stroke: 'var(--pf-edge)', 'stroke-width': 1 }),
      ...points.map(([x, y]) => svg('circle', { cx: x, cy: y, r: 2.6, fill: 'var(--pf-move)' })),
      ...(Number(balance.value) ? [svg('path', { d: `M0 ${balance.value}H${WIDE}`, stroke: 'var(--pf-two)', 'stroke-width': 1, 'stroke-dasharray': '4 3' })] : []));
    keys.value = points.map((p) => p.join(' ')).join(', ');
  };
  board.addEventListener('click', (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(board.getScreenCTM().inverse());
    points.push([Math.max(0, Math.round(p.x)), Math.max(0, Math.round(p.y))]);
    draw();
  });
  balance.addEventListener('input', draw);
  const write = () => {
    if (points.length < 3 || !(Number(mass.value) > 0) || !(Number(balance.value) > 0)) {
      answer.textContent = t('start.outline.missing');
      return;
    }
    take({ corners: points, mass_g: Number(mass.value), balance_mm: Number(balance.value) });
  };
  draw();
  return el('div', { className: 'pair' }, board, el('div', { className: 'fields' },
    el('p', { className: 'aside' }, t('start.outline.help')),
    el('label', {}, t('start.outline.keys'), keys),
    el('label', {}, t('start.outline.mass'), mass), el('label', {}, t('start.outline.balance'), balance),
    el('button', { onclick: () => { points.pop(); draw(); } }, t('start.outline.back')),
    el('button', { onclick: () => { points = []; draw(); } }, t('start.outline.clear')),
    el('button', { id: 'outline-take', className: 'main', onclick: write }, t('start.outline.answer')), answer));
}
