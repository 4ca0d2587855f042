// The throw from the side, with the plane moving along its path.

import { $, picture, svg } from './dom.js';
import { t } from './strings.js';
import { on, store } from './store.js';

const place = $('hall-picture');
const slider = $('time');
let flight = null;
let playing = 0;
let at = 0;
let glyph = null;
let scale = null;
let shadows = null;

export function startHall() {
  on('answer', (answer) => {
    if (!answer.numbers) return;
    flight = answer.flight_path ?? null;
    picture(place, answer.pictures?.hall, t('hall.alt'));
    for (const control of [$('play'), slider]) control.disabled = !flight;
    if (!flight) return stop();
    at = Math.min(at, length());
    show();
    compare();
  });
  on('preview', compare);
  $('play').addEventListener('click', () => (playing ? stop() : play()));
  slider.addEventListener('input', () => { stop(); at = slider.value / 1000 * length(); show(); });
}

const length = () => flight.samples.at(-1)[0];

function play() {
  if (!flight) return;
  if (at >= length() - 0.01) at = 0;
  let last = performance.now();
  const tick = (now) => {
    at = Math.min(length(), at + (now - last) / 1000);
    last = now;
    show();
    playing = at < length() ? requestAnimationFrame(tick) : 0;
    label();
  };
  playing = requestAnimationFrame(tick);
  label();
}
function stop() {
  cancelAnimationFrame(playing);
  playing = 0;
  label();
}
function label() {
  $('play').textContent = t(playing ? 'hall.pause' : 'hall.play');
}

/** Place and nose direction at a time, between the samples [t, x, z, pitch]. */
function when(time) {
  const s = flight.samples;
  let hi = s.findIndex((p) => p[0] >= time);
  if (hi <= 0) hi = 1;
  const [a, b] = [s[hi - 1], s[Math.min(hi, s.length - 1)]];
  const k = b[0] > a[0] ? (time - a[0]) / (b[0] - a[0]) : 0;
  // The shorter way round, for planes that tumble.
  const turn = ((b[3] - a[3] + 540) % 360) - 180;
  return [a[1] + (b[1] - a[1]) * k, a[2] + (b[2] - a[2]) * k, a[3] + turn * k];
}

/** From metres down the hall and above the floor to places on the drawing, read off the path that
 *  was drawn: both scales are equal, and the ends of the path are known. */
function scaleOf(drawn) {
  const d = drawn.querySelector('.flight-path')?.getAttribute('d');
  const numbers = (d?.match(/-?[\d.]+/g) ?? []).map(Number);
  if (numbers.length < 4 || /[hv]/i.test(d)) return null;
  const [px, py] = [0, 1].map((k) => numbers.filter((_, i) => i % 2 === k));
  const [x, z] = [1, 2].map((k) => flight.samples.map((s) => s[k]));
  const reach = (v) => Math.max(...v) - Math.min(...v);
  const k = (reach(px) + reach(py)) / (reach(x) + reach(z));
  return { k, x0: Math.min(...px) - k * Math.min(...x), y0: Math.max(...py) + k * Math.min(...z) };
}

/** The flight before the last change, and that of a remedy looked at, in the picture of this one. */
function compare() {
  const drawn = place.querySelector('svg');
  if (!drawn || !scale) return;
  if (!shadows || !drawn.contains(shadows)) {
    shadows = svg('g', { class: 'shadows' });
    drawn.querySelector('.flight-path').before(shadows);
  }
  const line = (answer, kind) => answer?.flight_path && answer.text !== store.text && svg('path', {
    class: kind, d: `M${answer.flight_path.samples.map(([, x, z]) => `${(scale.x0 + scale.k * x).toFixed(2)} ${(scale.y0 - scale.k * z).toFixed(2)}`).join('L')}`,
  });
  shadows.replaceChildren(...[line(store.before, 'ghost'), line(store.preview, 'preview')].filter(Boolean));
}

function show() {
  const drawn = place.querySelector('svg');
  if (!flight || !drawn) return;
  if (!glyph || !drawn.contains(glyph)) {
    scale = scaleOf(drawn);
    shadows = null;
    glyph = svg('g', { class: 'flying' },
      svg('circle', { r: 4.4, fill: 'var(--pf-move)', 'fill-opacity': 0.22, stroke: 'var(--pf-move)', 'stroke-width': 0.3 }),
      svg('path', { d: 'M-3.6 0.5L4 0L-3.9 -1.5L-2.5 0Z', fill: 'var(--pf-plain)', stroke: 'var(--pf-edge)', 'stroke-width': 0.3, 'stroke-linejoin': 'round' }));
    drawn.append(glyph);
  }
  if (scale) {
    const [x, z, pitch] = when(at);
    glyph.setAttribute('transform', `translate(${(scale.x0 + scale.k * x).toFixed(2)} ${(scale.y0 - scale.k * z).toFixed(2)}) rotate(${(-pitch).toFixed(1)})`);
  }
  slider.value = Math.round(at / length() * 1000);
  const words = t('hall.seconds', { t: at.toFixed(1) });
  $('time-at').value = words;
  slider.setAttribute('aria-valuetext', words);
}
