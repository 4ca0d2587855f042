// Small drawings that go with the explanations of numbers for which the server has none. 240 by
// 96; a wing seen from above has its nose up or to the left.

import { svg } from './dom.js';

const ink = 'var(--pf-text)';
const soft = 'var(--pf-soft)';
const move = 'var(--pf-move)';
const paper = { fill: 'var(--pf-plain)', stroke: 'var(--pf-edge)', 'stroke-width': 1.2 };

const path = (d, a = {}) => svg('path', { d, fill: 'none', stroke: ink, 'stroke-width': 1.4, 'stroke-linecap': 'round', 'stroke-linejoin': 'round', ...a });
const word = (x, y, text, a = {}) => svg('text', { x, y, fill: ink, 'font-size': 11, 'text-anchor': 'middle', ...a }, text);
/** The quartered circle that marks a centre of gravity. */
const balance = (x, y, r = 6) => svg('g', {},
  svg('circle', { cx: x, cy: y, r, fill: 'var(--pf-ground)', stroke: ink, 'stroke-width': 1.2 }),
  svg('path', { d: `M${x} ${y}V${y - r}A${r} ${r} 0 0 1 ${x + r} ${y}ZM${x} ${y}V${y + r}A${r} ${r} 0 0 1 ${x - r} ${y}Z`, fill: ink }));
/** A dart from above, nose to the left: length 170 from x = 30. */
const dart = () => svg('path', { d: 'M30 48 L200 10 L200 86Z', ...paper });
/** The part of the dart ahead of x. */
const ahead = (x) => {
  const h = (x - 30) * 38 / 170;
  return svg('path', { d: `M30 48L${x} ${48 - h}V${48 + h}Z`, fill: 'var(--pf-ahead)', stroke: 'var(--pf-edge)', 'stroke-width': 1.2 });
};
const upright = (x, a = {}) => path(`M${x} 6V90`, { 'stroke-dasharray': '4 3', stroke: soft, ...a });
/** A dimension line. */
const measure = (x1, y1, x2, y2) => path(`M${x1} ${y1}L${x2} ${y2}`, { stroke: move, 'stroke-width': 1.8 });
const floor = () => path('M8 84H232', { stroke: soft });
const plane = (x, y, turn = 0) => svg('path', { d: 'M-11 3L12 0L-11 -5L-7 0Z', transform: `translate(${x} ${y}) rotate(${turn})`, ...paper });

/** MAC of a dart: two thirds of its root chord, and where it lies. */
const mac = () => measure(87, 35, 200, 35);

export const drawings = {
  mass: () => [path('M60 78H180M120 78V62M70 40H170L150 62H90Z', { fill: 'var(--pf-behind)' }), svg('path', { d: 'M76 34L164 24L150 36Z', ...paper })],
  cg_mac: () => [dart(), mac(), balance(115, 48), upright(87), upright(115), word(101, 90, '25 %')],
  span: () => [svg('path', { d: 'M120 10L210 74H30Z', ...paper }), measure(30, 86, 210, 86)],
  aspect: () => [svg('path', { d: 'M20 40H140V58H20Z', ...paper }), svg('path', { d: 'M170 14H215V84H170Z', ...paper }), word(80, 78, '6'), word(192, 54, '⅔', { fill: 'var(--pf-edge)' })],
  area: () => [svg('path', { d: 'M120 10L210 84H30Z', ...paper, fill: 'var(--pf-behind)' })],
  layers: () => [0, 1, 2, 3, 4].map((i) => path(`M60 ${70 - i * 11}H180`, { 'stroke-width': 4, stroke: i % 2 ? 'var(--pf-printed)' : 'var(--pf-soft)' })),
  quarter: () => [dart(), ahead(115), upright(115), word(94, 52, '¼', { fill: ink }), word(165, 52, '¾', { fill: 'var(--pf-edge)' })],
  distance: () => [floor(), path('M24 40C90 24 150 52 208 82', { stroke: move }), plane(24, 40, 8), measure(24, 91, 208, 91)],
  aloft: () => [floor(), path('M24 40C90 24 150 52 208 82', { stroke: move }), plane(120, 44, 14), svg('circle', { cx: 200, cy: 26, r: 15, fill: 'none', stroke: ink, 'stroke-width': 1.4 }), path('M200 26V16M200 26L207 30')],
  highest: () => [floor(), path('M24 50C70 -10 110 20 208 82', { stroke: move }), measure(78, 21, 78, 84)],
  sink: () => [floor(), plane(120, 30, 10), path('M120 42V76m-5 -7l5 8l5 -8', { stroke: move, 'stroke-width': 2 })],
  trim_speed: () => [plane(60, 48), path('M84 48H196m-9 -6l10 6l-10 6', { stroke: move, 'stroke-width': 2 })],
  loading: () => [svg('path', { d: 'M40 58H200L180 72H60Z', ...paper }), path('M120 8V48m-7 -10l7 11l7 -11', { 'stroke-width': 2.4 })],
};
