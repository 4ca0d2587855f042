// One picture is looked at, large; the others stand beside it, small and as live. Which one, and the
// size of its frame, goes with every question, so that only that one is drawn large.

import { $ } from './dom.js';
import { t } from './strings.js';
import { emit, look, on, store } from './store.js';

const PLACES = ['hall', 'posed', 'edge', 'table'];
/** Dots of the screen for a mm of a picture: its smallest letters, 2.75 mm, are 12 dots then, and
 *  20 for those who sit at the back of a room. */
const [NEAR, FAR] = [4.4, 7.3];
/** A frame that changes its size is drawn for when it has come to rest. */
const REST_MS = 120;

const root = document.documentElement;
const isBig = () => 'big' in root.dataset;

/** Brings a picture onto the stage. */
export function bring(place) {
  for (const p of PLACES) {
    $(p).classList.toggle('on-stage', p === place);
    document.querySelector(`[data-stage=${p}]`).setAttribute('aria-pressed', p === place);
  }
  try { localStorage.setItem('stage', place); } catch { /* It is another one the next time. */ }
  store.stage = { place, frame: null };
  measure();
}

/** Looks how large the frame is; true if it has changed. */
function measure() {
  const { clientWidth: w, clientHeight: h } = $(`${store.stage.place}-picture`);
  if (!w || !h) return;
  const scale = isBig() ? FAR : NEAR;
  const frame = [Math.floor(w / scale), Math.floor(h / scale)];
  if (String(frame) === String(store.stage.frame)) return;
  store.stage.frame = frame;
  emit('stage', store.stage.place);
  if (store.text) look();
}

export function startStage() {
  let kept = null;
  try { kept = localStorage.getItem('stage'); } catch { /* As at first. */ }
  bring(PLACES.includes(kept) ? kept : 'hall');
  let waiting = 0;
  const seen = new ResizeObserver(() => { clearTimeout(waiting); waiting = setTimeout(measure, REST_MS); });
  for (const place of PLACES) {
    seen.observe($(`${place}-picture`));
    $(place).addEventListener('click', (e) => {
      if (store.stage.place !== place && !e.target.closest('button:not(.bring),a,input,summary')) bring(place);
    });
    for (const link of document.querySelectorAll(`.places a[href="#${place}"]`)) link.addEventListener('click', () => bring(place));
  }
  addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || document.querySelector('dialog[open]')) return;
    if (e.target.closest?.('input:not([type=range]),textarea,select')) return;
    const place = PLACES[Number(e.key) - 1];
    if (place) bring(place);
    else if (e.key.toLowerCase() === 'f') setBig(!isBig());
  });
  $('full').addEventListener('click', () => setBig(!isBig()));
  addEventListener('fullscreenchange', () => { if (!document.fullscreenElement) setBig(false); });
  // On a phone the flight stays in view while the sliders are.
  new IntersectionObserver(([e]) => document.body.classList.toggle('sliding', e.isIntersecting), { rootMargin: '-30% 0px 0px 0px' }).observe($('sliders'));
  on('holding', hold);
}

/** For a projector: the whole screen, and large type. */
function setBig(on) {
  if (on === isBig()) return;
  if (on) root.dataset.big = ''; else delete root.dataset.big;
  $('full').setAttribute('aria-pressed', on);
  $('full').textContent = t(on ? 'top.full.end' : 'top.full');
  // Where a browser does not give the whole screen, the type is large all the same.
  if (on) root.requestFullscreen?.().catch(() => {});
  else if (document.fullscreenElement) document.exitFullscreen();
  measure();
}

/** What stands above the sliders keeps its height while one is held, so that none moves away from
 *  under the finger. */
function hold(held) {
  for (const card of document.querySelectorAll('#change > .card:not(#sliders), .bench > .on-stage')) {
    card.style.height = held ? `${card.offsetHeight}px` : '';
  }
}
