// The balance before the last change, and that of a remedy looked at, in the picture of this one.

import { $, svg } from './dom.js';
import { on, store } from './store.js';

const place = $('edge-picture');

export function startBalance() {
  on('answer', compare);
  on('preview', compare);
}

/** A picture's level lines are drawn from left to right: [from, to, height]. */
function level(drawn, name) {
  const n = drawn.querySelector(`.${name}`)?.getAttribute('d')?.match(/-?[\d.]+/g)?.map(Number);
  return n && [n[0], n[2] ?? n[0], n[1]];
}

function compare() {
  const drawn = place.querySelector('svg');
  const now = store.good?.numbers;
  if (!drawn || !now) return;
  drawn.querySelector('.shadows')?.remove();
  const [line, quarter] = ['balance-line', 'quarter-area'].map((name) => level(drawn, name));
  const apart = now.quarter_area_behind_nose_mm - now.cg.behind_nose_mm;
  // Two places whose distance is known give the scale.
  if (!line || !quarter || Math.abs(apart) < 0.2) return;
  const k = (quarter[2] - line[2]) / apart;
  const mark = (answer, kind) => {
    if (!answer?.numbers || answer.text === store.text) return null;
    const y = line[2] + k * (answer.numbers.cg.behind_nose_mm - now.cg.behind_nose_mm);
    return Math.abs(y - line[2]) < 0.2 ? null : svg('path', { class: kind, d: `M${line[0]} ${y.toFixed(2)}H${line[1]}` });
  };
  drawn.append(svg('g', { class: 'shadows' }, mark(store.before, 'ghost'), mark(store.preview, 'preview')));
}
