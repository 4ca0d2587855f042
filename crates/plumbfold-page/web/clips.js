// Clips on the plane in the hand: one is dragged along the keel, or dropped onto the plane from
// beside it. Places are counted behind the nose, along the body.

import { el, svg } from './dom.js';
import { t } from './strings.js';
import { baseText, beginGesture, change, endGesture, store } from './store.js';

/** From here a drag is meant, dots of the screen. */
const MEANT = 4;
/** Clips go where a hand can put them. */
const STEP_MM = 0.5;

/** The clip that waits beside the plane. `where(event)` gives the place behind the nose under the
 *  finger, mm, and null away from the plane. */
export function tray(place, where) {
  const clip = el('button', { className: 'clip', id: 'clip', title: t('clips.add'), 'aria-label': t('clips.add'), onclick: (e) => { if (!e.detail) change({ kind: 'add_ballast' }); } },
    svg('svg', { viewBox: '0 0 20 30', width: 18, height: 26, 'aria-hidden': 'true' },
      svg('path', { d: 'M6 8V21a4 4 0 0 0 8 0V7a2.6 2.6 0 0 0-5.2 0V20a1.2 1.2 0 0 0 2.4 0V9', fill: 'none', stroke: 'currentColor', 'stroke-width': 1.6, 'stroke-linecap': 'round' })));
  let ghost = null;
  clip.addEventListener('pointerdown', (e) => {
    e.preventDefault();
    clip.focus();
    clip.setPointerCapture(e.pointerId);
    ghost = clip.firstChild.cloneNode(true);
    ghost.setAttribute('class', 'clip-ghost');
    document.body.append(ghost);
    follow(e);
  });
  const follow = (e) => {
    if (!ghost) return;
    ghost.style.left = `${e.clientX}px`;
    ghost.style.top = `${e.clientY}px`;
  };
  clip.addEventListener('pointermove', follow);
  for (const over of ['pointerup', 'pointercancel']) {
    clip.addEventListener(over, (e) => {
      ghost?.remove();
      ghost = null;
      if (over === 'pointercancel') return;
      const on = clip.contains(document.elementFromPoint(e.clientX, e.clientY)) ? undefined : where(e);
      // A press without a drag puts it near the nose.
      if (on === undefined) change({ kind: 'add_ballast' });
      else if (on !== null) change({ kind: 'add_ballast', behind_mm: stepped(on) });
    });
  }
  place.append(clip);
}

const stepped = (mm) => Math.max(0, Math.round(mm / STEP_MM) * STEP_MM);

/** A clip taken by a finger: its place follows. `ahead` is the way of a mm behind the nose on the
 *  screen, `index` counts the ballast of the text. Gives what to do as the finger moves, and at the
 *  end; null where the clip's place is not counted behind the nose. */
export function hold(index, start, ahead) {
  const ballast = store.good?.controls?.ballast[index];
  if (!ballast || ballast.behind_mm === null) return null;
  // A let that gives the place is what changes.
  const ask = (mm) => (ballast.behind_by ? { kind: 'let', name: ballast.behind_by, value: mm } : { kind: 'ballast', index, behind_mm: mm });
  const length = ahead[0] ** 2 + ahead[1] ** 2;
  const from = ballast.behind_mm;
  let moving = false;
  return {
    move(e) {
      const [dx, dy] = [e.clientX - start[0], e.clientY - start[1]];
      if (!moving && Math.hypot(dx, dy) < MEANT || length < 1e-6) return;
      if (!moving) beginGesture();
      moving = true;
      change(ask(stepped(from + (dx * ahead[0] + dy * ahead[1]) / length)), { base: baseText(), sent: performance.now() });
    },
    end() { if (moving) endGesture(); },
  };
}
