// Numbers that explain themselves: hover or focus one for a sentence and a small drawing.

import { get } from './api.js';
import { $, el, picture, svg } from './dom.js';
import { drawings } from './drawings.js';
import { t } from './strings.js';
import { emit, on, store } from './store.js';
import * as units from './units.js';

/** Which numbers stand where; each gives [number, unit], or null while it is not known. */
const shown = {
  table: {
    mass: (n) => units.plain(n.mass_g, 2, 'g'),
    layers: (n) => n.layers && units.plain(n.layers.max, 0),
  },
  posed: {
    span: (n) => units.length(n.planform.span_mm, 0),
    area: (n) => units.area(n.planform.area_mm2),
    aspect: (n) => units.plain(n.planform.aspect_ratio, 2),
    loading: (n) => units.plain(n.mass_g / (n.planform.area_mm2 * 1e-4), 2, 'g/dm²'),
  },
  edge: {
    cg: (n) => units.length(n.cg.behind_nose_mm, 1),
    area_ahead: (n) => units.plain(n.area_ahead_fraction * 100, 1, '%'),
    quarter: (n) => units.length(n.quarter_area_behind_nose_mm, 1),
    mac: (n) => units.length(n.planform.mac_mm, 1),
    cg_mac: (n) => units.plain(n.cg_mac_fraction * 100, 1, '%'),
    neutral: (n) => n.aero && units.length(n.aero.neutral_point_behind_nose_mm, 1),
    margin: (n) => n.aero && units.plain(n.aero.static_margin_mac_fraction * 100, 1, '%'),
  },
  hall: {
    distance: (n) => n.flight && units.far(n.flight.distance_m, 1),
    aloft: (n) => n.flight && units.plain(n.flight.time_aloft_s, 1, 's'),
    highest: (n) => n.flight && units.far(n.flight.max_height_m, 2),
    glide: (n) => n.glide && units.plain(n.glide.lift_to_drag, 1),
    trim_speed: (n) => n.glide && units.speed(n.glide.speed_mps, 1),
    sink: (n) => n.glide && units.speed(n.glide.sink_mps, 2),
    phugoid: (n) => (n.phugoid ? units.plain(n.phugoid.period_s, 1, 's') : null),
  },
};

const buttons = new Map();
const box = $('explain');
let over = null;
/** Drawings of the server by number. */
let drawn = {};

export function startNumbers() {
  for (const [where, numbers] of Object.entries(shown)) {
    const place = document.querySelector(`[data-numbers=${where}]`);
    for (const key of Object.keys(numbers)) {
      const value = el('span', { className: 'value' });
      const button = el('button', { className: 'number', hidden: true, 'data-key': key, 'aria-describedby': 'explain' },
        el('span', { className: 'name' }, t(`number.${key}`)), value);
      buttons.set(key, { button, value, of: numbers[key] });
      place.append(button);
      button.addEventListener('pointerenter', (e) => { if (e.pointerType !== 'touch') explain(button); });
      button.addEventListener('pointerleave', (e) => { if (e.pointerType !== 'touch') hide(); });
      button.addEventListener('focus', () => explain(button));
      button.addEventListener('blur', hide);
      button.addEventListener('click', () => explain(button));
    }
  }
  document.addEventListener('keydown', (e) => { if (e.key === 'Escape') hide(); });
  window.addEventListener('scroll', hide, { passive: true });
  on('answer', draw);
  on('units', draw);
  get('/api/explain').then((all) => { drawn = all; }, (error) => emit('refused', error.message));
}

function draw() {
  const numbers = store.good?.numbers;
  if (!numbers) return;
  for (const { button, value, of } of buttons.values()) {
    const said = of(numbers);
    button.hidden = !said;
    if (!said) continue;
    const words = units.say(said);
    if (value.words === words) continue;
    value.words = words;
    value.replaceChildren(said[0], said[1] ? el('span', { className: 'unit' }, ` ${said[1]}`) : '');
  }
}

function explain(button) {
  over = button;
  const { key } = button.dataset;
  box.replaceChildren(t(`explain.${key}`));
  const drawing = el('div', { 'aria-hidden': 'true' });
  if (key in drawings) drawing.append(svg('svg', { viewBox: '0 0 240 96' }, ...drawings[key]()));
  else picture(drawing, drawn[key]);
  box.append(drawing);
  box.hidden = false;
  const at = button.getBoundingClientRect();
  const { width, height } = box.getBoundingClientRect();
  const left = Math.max(8, Math.min(at.left, innerWidth - width - 12));
  const above = at.top - height - 8;
  box.style.left = `${left + scrollX}px`;
  box.style.top = `${(above > 8 ? above : at.bottom + 8) + scrollY}px`;
}

function hide() {
  if (!over) return;
  over = null;
  box.hidden = true;
}
