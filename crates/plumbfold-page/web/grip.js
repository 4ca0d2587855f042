// Something on a picture to drag with mouse or finger, to move with the arrow keys and to remove with
// the Delete key.

import { svg } from './dom.js';

/** Radius of what is dragged, dots of the screen: a finger needs more. */
export const HANDLE = matchMedia('(pointer: coarse)').matches ? 12 : 7;

/** A handle at a place of a board. The board says where an event is (`place`), makes a change
 *  (`change`), may show what lies under the finger (`look`) and may hold all handles (`still`); `k` is
 *  its dots for one of the screen. `move(to)` and `remove()` are what the changes are. */
export function grip(board, at, { kind, label, k, move, remove = null, small = false }) {
  const dot = svg('circle', { class: kind, cx: at[0], cy: at[1], r: (small ? 0.6 : 1) * HANDLE * k, 'stroke-width': 2 * k, tabindex: small ? -1 : 0, role: 'button', 'aria-label': label });
  let to = null;
  dot.addEventListener('pointerdown', (e) => {
    if (board.still?.()) return;
    e.preventDefault();
    e.stopPropagation();
    dot.setPointerCapture(e.pointerId);
    dot.focus({ preventScroll: true });
    to = at;
  });
  dot.addEventListener('pointermove', (e) => {
    if (!to) return;
    to = board.place(e);
    dot.setAttribute('cx', to[0]);
    dot.setAttribute('cy', to[1]);
    board.look?.(to);
  });
  for (const ends of ['pointerup', 'pointercancel']) {
    dot.addEventListener(ends, () => {
      board.look?.(null);
      const there = to;
      to = null;
      if (there && Math.hypot(there[0] - at[0], there[1] - at[1]) > 0.5) board.change(() => move(there));
    });
  }
  dot.addEventListener('keydown', (e) => {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
    const removes = (e.key === 'Delete' || e.key === 'Backspace') && remove;
    if (!step && !removes) return;
    e.preventDefault();
    // A change draws everything anew; the focus stays at the same handle.
    const all = dot.parentNode;
    const which = [...all.children].indexOf(dot);
    board.change(() => { if (step) move([0, 1].map((i) => at[i] + step[i] * (e.shiftKey ? 10 : 1))); else remove(); });
    all.children[which]?.focus?.({ preventScroll: true });
  });
  if (remove) dot.addEventListener('dblclick', () => board.change(remove));
  return dot;
}
