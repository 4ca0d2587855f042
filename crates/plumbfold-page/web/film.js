// A throw that was filmed: the browser decodes the film, the science follows the plane through small
// grey pictures of it, and the path lies over the one that was predicted. The film is sent to the
// science and nowhere else.

import { Latest, photographed, post } from './api.js';
import { show } from './dialog.js';
import { $, download, el, picture, svg } from './dom.js';
import { grip } from './grip.js';
import { t } from './strings.js';
import * as units from './units.js';
import { sentence } from './words.js';

/** Bytes of grey sent at most, longest side of a picture, and most pictures (as the science has it). */
const [BYTES_MAX, SIDE_MAX, PICTURES_MAX] = [36e6, 960, 900];
/** Two pictures of a film are at least so far apart, s, and at most. */
const [LEAST_S, MOST_S] = [1 / 500, 0.5];
/** And that is usual. */
const USUAL_S = 1 / 30;
/** How long a picture may take to be shown once it was sought, ms: one that is shown already may not be shown anew. */
const PATIENCE_MS = 200;
/** And how long before it is given up: a film that breaks off has no more. */
const GIVE_UP_MS = 5000;
const FOOT = 0.3048;

/** What gives the scale: how many marks, where they are at first (shares of the picture), and lengths asked for. */
const KINDS = {
  wall: { at: [[0.2, 0.8], [0.8, 0.8], [0.8, 0.3], [0.2, 0.3]], lengths: ['width', 'height'], before: true },
  floor: { at: [[0.2, 0.9], [0.8, 0.9], [0.7, 0.75], [0.3, 0.75]], lengths: ['width', 'depth'] },
  two: { at: [[0.25, 0.85], [0.75, 0.85]], lengths: ['apart'], lies: true, before: true },
  own: { at: [[0.52, 0.45], [0.48, 0.45]], lengths: ['length'] },
};

/** Shows the picture at a time; gives the time it is of as the film counts it, or null where the browser does not tell. */
function seek(video, s) {
  return new Promise((done) => {
    let at = null;
    let sought = false;
    video.requestVideoFrameCallback?.((_, { mediaTime }) => { at = mediaTime; if (sought) done(at); });
    video.addEventListener('seeked', () => {
      sought = true;
      if (at !== null) done(at); else setTimeout(() => done(at), video.requestVideoFrameCallback ? PATIENCE_MS : 0);
    }, { once: true });
    setTimeout(() => done(at), GIVE_UP_MS);
    video.currentTime = s;
  });
}

/** When a picture begins, and the time to the next, s: a later one is looked for, then one before it, until there is
 *  none between. The usual rate where the browser tells no times. */
async function rhythm(video, s) {
  const first = await seek(video, s) ?? 0;
  const since = async (ahead) => (await seek(video, first + ahead) ?? first) - first;
  let step = 0;
  for (let ahead = 0.012; ahead < MOST_S && step < LEAST_S; ahead *= 1.5) step = await since(ahead);
  while (step > 2 * LEAST_S) {
    const half = await since(step / 2 + 1e-4);
    if (half < LEAST_S || half > step - 1e-4) break;
    step = half;
  }
  return { first, step: step >= LEAST_S ? step : USUAL_S };
}

/** Measures the throw in a film of the plane and text that lie on the bench. */
export function measureFilm(file, { plane = null, text = null } = {}) {
  const url = URL.createObjectURL(file);
  const video = el('video', { src: url, muted: true, playsInline: true, preload: 'auto' });
  const over = svg('svg', { class: 'film-over', role: 'group', 'aria-label': t('film.board') });
  const [standing, own_] = [svg('g'), svg('g')];
  over.append(standing, own_);
  let size = [1, 1];
  /** Pictures taken from the film: their times and size, and the grey of all, row by row. */
  let grabbed = null;
  /** Clicks on the plane, `{ s, at }`, in dots of the film. */
  let clicks = [];
  let marks = {};
  /** The moment whose picture the marks were laid on. */
  let markedAt = 0;
  let followed = null;
  let told = null;
  /** From when to when the flight is filmed, s. */
  let [begins, ends] = [0, Infinity];
  let stopped = false;
  /** The film is being taken apart: nobody else seeks in it. */
  let grabbing = false;

  /* ---------- the form ---------- */

  const number = (value, min = 0, max = 1000) => el('input', { type: 'number', value, min, max, step: 'any', onchange: () => measure() });
  const kind = el('select', { id: 'film-kind', onchange: () => { fields(); measure(); draw(); } }, ...Object.keys(KINDS).map((k) => el('option', { value: k }, t(`film.${k}`))));
  const lengths = Object.fromEntries(['width', 'height', 'depth', 'apart', 'length'].map((name) => [name, Object.assign(number(''), { id: `film-${name}` })]));
  const lies = el('select', { onchange: () => measure() }, ...['level', 'upright', 'anyhow'].map((l) => el('option', { value: l }, t(`film.lies.${l}`))));
  const [camera, before] = ['camera', 'before'].map((name) => Object.assign(number(''), { id: `film-${name}` }));
  const slowed = number(1, 0.02, 50);
  const dropped = el('input', { type: 'checkbox', id: 'film-dropped', onchange: () => measure() });
  const scale = el('div', { className: 'fields' });
  const said = el('p', { id: 'film-said', role: 'status' }, t('film.first'));
  const numbers = el('dl', { className: 'found' });
  const remarks = el('ul', { className: 'remarks' });
  const path = el('div', { id: 'film-path', className: 'film-path' });
  const progress = el('progress', { max: 1, 'aria-label': t('film.progress') });
  const stage = el('span', { id: 'film-stage' });
  const stop = el('button', { onclick: () => { stopped = true; following.stop(); measuring.stop(); working(null); said.textContent = t('film.stopped'); } }, t('film.stop'));
  const time = el('input', { id: 'film-time', type: 'range', min: 0, max: 0, step: 'any', value: 0, 'aria-label': t('film.time'), oninput: () => look(Number(time.value)) });
  const at = el('output', {});
  const step = (way) => el('button', { 'aria-label': t(`film.step.${way < 0 ? 'back' : 'on'}`), onclick: () => look(shownAt() + (way + 0.02) * (grabbed?.step ?? USUAL_S)) }, way < 0 ? '◀' : '▶');
  const here = el('button', { id: 'film-here', onclick: () => click([0, 1].map((k) => size[k] / 2)) }, t('film.here'));
  const back = el('button', { onclick: () => { clicks.pop(); if (clicks.length) follow(); else { followed = told = null; answer(); draw(); } } }, t('film.back'));
  const edge = (which) => el('button', { onclick: () => { if (which === 'begins') begins = shownAt() - 1e-3; else ends = shownAt() + 1e-3; measure(); draw(); } }, t(`film.${which}`));
  const keep = el('button', { id: 'film-keep', className: 'main', disabled: true, onclick: async () => {
    try {
      await post('/api/notebook', { path: { plane: plane ?? t('film.unnamed'), text, points: told.points, note: file.name, scale_sd_percent: told.scale_sd_percent, level_sd_deg: told.level_sd_deg } });
      said.textContent = t('film.kept');
    } catch (error) { said.textContent = sentence(error.message); }
  } }, t('film.keep'));
  const save = el('button', { disabled: true, onclick: () => download(`${file.name.replace(/\.\w+$/, '')}.csv`, told.points, 'text/csv') }, t('film.csv'));
  const field = (key, input) => el('label', {}, t(key), input);

  const working_ = el('div', { className: 'row working', hidden: true }, progress, stage, stop);
  show(t('film.title'), el('div', { className: 'photo film' },
    el('div', { className: 'kept' }, el('div', { className: 'film-board' }, video, over, working_),
      el('div', { className: 'row' }, step(-1), time, step(1), at), path),
    el('div', { className: 'fields' }, el('p', { className: 'aside' }, t('film.help')), said, numbers, remarks,
      el('div', { className: 'row' }, here, back), el('div', { className: 'row' }, edge('begins'), edge('ends')),
      field('film.scale', kind), scale, field('film.slowed', slowed), el('label', { className: 'check' }, dropped, ' ', t('film.dropped')),
      el('div', { className: 'row' }, keep, save))));
  $('dialog').addEventListener('close', () => { stopped = true; following.stop(); measuring.stop(); URL.revokeObjectURL(url); }, { once: true });

  function fields() {
    const { lengths: wanted, lies: lie, before: apart } = KINDS[kind.value];
    const foot = units.isInch() ? '.ft' : '';
    scale.replaceChildren(el('p', { className: 'aside' }, t(`film.${kind.value}.help`)), ...wanted.map((name) => field(`film.${name}${foot}`, lengths[name])),
      ...(lie ? [field('film.lies', lies)] : []), ...(apart ? [field(`film.camera${foot}`, camera), field(`film.before${foot}`, before)] : []));
  }
  function working(share, words = '') {
    working_.hidden = share === null;
    if (share === null) return;
    progress.value = share;
    stage.textContent = words;
  }

  const unread = () => { said.textContent = t('film.unread'); standing.replaceChildren(); here.disabled = true; };
  video.addEventListener('loadedmetadata', async () => {
    // A film whose pictures cannot be decoded may still have a sound that can.
    if (!video.videoWidth) { unread(); return; }
    // What a browser recorded tells its length at its end only.
    if (!Number.isFinite(video.duration)) await seek(video, 1e7);
    size = [video.videoWidth, video.videoHeight];
    over.setAttribute('viewBox', `0 0 ${size[0]} ${size[1]}`);
    for (const [name, { at: shares }] of Object.entries(KINDS)) marks[name] = shares.map((p) => p.map((v, k) => v * size[k]));
    time.max = video.duration;
    draw();
    look(0);
  });
  video.addEventListener('error', unread);

  /* ---------- the film, picture by picture ---------- */

  const shownAt = () => Number(time.value);
  /** The picture that is shown at a time. */
  const shownFrom = (s) => Math.max(0, grabbed.times.findLastIndex((v) => v <= s + 1e-4));
  /** One picture at a time; of those asked for meanwhile the newest. */
  let looking = null;
  async function look(s) {
    if (grabbing) return;
    const within = Math.max(0, Math.min(video.duration || 0, s));
    const to = grabbed ? grabbed.times[shownFrom(within)] : within;
    time.value = to;
    at.textContent = `${to.toFixed(2)} s`;
    draw();
    const before = looking;
    looking = to;
    if (before !== null) return;
    while (looking !== null) {
      const next = looking;
      // The middle of a picture, not the moment where it follows the one before.
      await seek(video, next + (grabbed?.step ?? 0) / 2);
      if (looking === next) looking = null;
    }
  }

  /** Takes the film apart round a time: small, grey. */
  async function grab(round) {
    stopped = false;
    working(0, t('film.grabbing'));
    const { first, step } = await rhythm(video, Math.min(round, Math.max(0, video.duration - 0.3)));
    const count = Math.min(PICTURES_MAX, Math.floor(video.duration / step));
    const begin = Math.max(0, Math.min(first - Math.floor(count / 2) * step, video.duration - count * step));
    const from = first - Math.floor((first - begin) / step + 1e-6) * step;
    const by = Math.min(1, SIDE_MAX / Math.max(...size), Math.sqrt(BYTES_MAX / (count * size[0] * size[1])));
    const small = size.map((v) => Math.max(32, Math.round(v * by)));
    const canvas = el('canvas', { width: small[0], height: small[1] });
    const context = canvas.getContext('2d', { willReadFrequently: true });
    context.imageSmoothingQuality = 'high';
    const [times, grey] = [[], []];
    for (let k = 0; k < count && !stopped; k++) {
      const due = from + k * step;
      const shown = await seek(video, due + step / 2);
      // A camera in the dark leaves pictures out, or takes them late.
      const s = shown !== null && Math.abs(shown - due) < 3 * step ? shown : due;
      if (times.length && s < times.at(-1) + LEAST_S) continue;
      context.drawImage(video, 0, 0, ...small);
      const { data } = context.getImageData(0, 0, ...small);
      const row = new Uint8Array(small[0] * small[1]);
      // Rec. 601, in 256ths.
      for (let i = 0; i < row.length; i++) row[i] = (77 * data[4 * i] + 150 * data[4 * i + 1] + 29 * data[4 * i + 2]) >> 8;
      times.push(s);
      grey.push(row);
      working((k + 1) / count, t('film.grabbing'));
    }
    working(null);
    return stopped ? null : { times, size: small, step, grey: new Blob(grey) };
  }

  /* ---------- clicks, and the path ---------- */

  async function click(to) {
    const s = shownAt();
    clicks = [...clicks.filter((c) => Math.abs(c.s - s) > (grabbed?.step ?? USUAL_S) / 2), { s, at: to }];
    draw();
    if (!grabbed) {
      if (!working_.hidden) return;
      grabbing = true;
      grabbed = await grab(s);
      grabbing = false;
      await look(s);
      if (!grabbed) { clicks = []; draw(); return; }
    }
    follow();
  }
  const following = new Latest(
    ({ question }, signal) => photographed('/api/film', question, grabbed.grey, signal),
    (found) => {
      const by = [0, 1].map((k) => size[k] / grabbed.size[k]);
      for (const s of found.seen) s.at = s.at.map((v, k) => v * by[k]);
      // Marks and path lie in the picture that was clicked first; marks laid on another one go there.
      const before = lies_(markedAt);
      followed = found;
      const now = lies_(markedAt);
      for (const dots of Object.values(marks)) dots.forEach((at, i) => { dots[i] = now.back(before.there(at)); });
      working(null);
      measure();
      draw();
    },
    (error) => { followed = told = null; working(null); answer(); draw(); said.textContent = sentence(error.message); });
  /** How the picture at a time lies against the one that was clicked first. */
  function lies_(s) {
    const [c, n, x, y] = followed?.moved.length ? followed.moved[shownFrom(s)] : [1, 0, 0, 0];
    const by = followed?.moved.length ? size[0] / grabbed.size[0] : 1;
    const shift = [x * by, y * by];
    return {
      matrix: `matrix(${[c, n, -n, c, ...shift].map((v) => v.toFixed(5)).join(' ')})`,
      there: ([u, v]) => [c * u - n * v + shift[0], n * u + c * v + shift[1]],
      back: ([u, v]) => { const [p, q] = [u - shift[0], v - shift[1]]; return [c * p + n * q, c * q - n * p]; },
    };
  }
  function follow() {
    working(0.5, t('film.following'));
    const by = [0, 1].map((k) => grabbed.size[k] / size[k]);
    following.put({ patient: true, question: { size: grabbed.size, times_s: grabbed.times,
      clicks: clicks.map(({ s, at: [x, y] }) => [shownFrom(s), [x * by[0], y * by[1]]]) } });
  }

  const measuring = new Latest(({ question }, signal) => post('/api/path', question, signal),
    (found) => { told = found; answer(); draw(); },
    (error) => { told = null; answer(); draw(); said.textContent = sentence(error.message); });
  const metres = (input) => Number(input.value) * (units.isInch() ? FOOT : 1);
  function measure() {
    if (!followed) return;
    const { lengths: wanted, before: apart } = KINDS[kind.value];
    const missing = wanted.filter((name) => !(Number(lengths[name].value) > 0));
    if (missing.length) {
      told = null;
      answer();
      said.textContent = t('film.next', { n: followed.seen.length, of: grabbed.times.length });
      return;
    }
    const dots = marks[kind.value];
    const [a, b] = wanted.map((name) => metres(lengths[name]));
    const placed = { wall: { width_m: a, height_m: b }, floor: { width_m: a, depth_m: b }, two: { apart_m: a, lie: lies.value } }[kind.value];
    const nearer = kind.value === 'own' ? { own: { dots, length_m: a } }
      : apart && camera.value && before.value ? { before: { camera_m: metres(camera), before_m: metres(before) } } : { same: {} };
    measuring.put({ patient: true, question: {
      size, seen: followed.seen.filter((s) => s.t_s >= begins && s.t_s <= ends), click_dots: pixel(), slowed: Number(slowed.value) || 1, dropped: dropped.checked, text: dropped.checked ? null : text,
      marks: placed ? { [kind.value]: { dots, ...placed } } : { none: {} }, nearer,
    } });
  }

  function answer() {
    const filmed = told?.filmed;
    keep.disabled = save.disabled = !filmed;
    picture(path, filmed ? told.picture : '', t('film.picture'));
    const measured = (v, digits, unit, say = (n) => n.toFixed(digits).replace('-', '−')) => t('photo.about', { value: say(v.value), by: `${say((v.interval[1] - v.interval[0]) / 2)} ${unit}`.trim() });
    const rows = !filmed ? [] : [
      ['release', measured(filmed.release_speed_mps, 2, 'm/s')], ['climb', measured(filmed.release_elevation_deg, 1, '°')],
      ['glide', measured(filmed.glide_ratio, 2, '')], ['sinks', measured(filmed.sink_mps, 2, 'm/s')],
      ['pitch', filmed.glide_pitch_deg && measured(filmed.glide_pitch_deg, 1, '°')],
      ['swing', filmed.swing_period_s && measured(filmed.swing_period_s, 2, 's')], ['dies', filmed.swing_damping_per_s && measured(filmed.swing_damping_per_s, 2, '1/s')],
      ['predicted', filmed.predicted?.glide_ratio && filmed.predicted.glide_ratio.toFixed(2)], ['apart.mean', filmed.predicted && units.say(units.far(filmed.predicted.apart_m, 2))]];
    numbers.replaceChildren(...rows.filter(([, v]) => v).flatMap(([key, v]) => [el('dt', {}, t(`film.${key}`)), el('dd', {}, v)]));
    const heard = [...(followed?.remarks ?? []), ...(told?.remarks ?? []), told?.unpredicted].filter(Boolean);
    remarks.replaceChildren(...heard.map((words) => el('li', {}, units.inWords(sentence(words)))));
    if (!told) return;
    said.textContent = units.inWords((filmed ?? told).said);
    const { slowed: found } = told;
    if (found && Math.abs(found.value / Number(slowed.value) - 1) > 0.03) {
      said.append(' ', el('button', { onclick: () => { slowed.value = found.value.toFixed(2); dropped.checked = false; clicks = []; followed = told = null; answer(); draw(); said.textContent = t('film.first'); } }, t('film.take', { n: found.value.toFixed(2) })));
    }
  }

  /* ---------- what lies over the film ---------- */

  /** Dots of the film for one of the screen. */
  const pixel = () => size[0] / (over.clientWidth || size[0]);
  const place = (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(over.getScreenCTM().inverse());
    return [Math.max(0, Math.min(size[0], p.x)), Math.max(0, Math.min(size[1], p.y))];
  };
  const handles = { place: (e) => lies_(shownAt()).back(place(e)), change: (how) => { how(); markedAt = shownAt(); measure(); draw(); } };
  const line = (points, closed = false) => (points.length ? `M${points.map((p) => p.map((v) => v.toFixed(1)).join(' ')).join('L')}${closed ? 'Z' : ''}` : '');
  function draw() {
    const k = pixel();
    const dots = marks[kind.value] ?? [];
    const seen = followed?.seen.filter((s) => s.t_s >= begins && s.t_s <= ends) ?? [];
    const half = (grabbed?.step ?? USUAL_S) / 2;
    const now = seen.find((s) => Math.abs(s.t_s - shownAt()) <= half + 1e-6);
    const own = clicks.find((c) => Math.abs(c.s - shownAt()) <= half + 1e-6);
    // What stands still, as the picture that is shown has it.
    standing.setAttribute('transform', lies_(shownAt()).matrix);
    standing.replaceChildren(
      svg('path', { class: 'mark', d: line(dots, dots.length > 2) }),
      svg('path', { class: 'predicted', d: line(told?.over ?? []) }),
      ...seen.map((s) => svg('circle', { class: s.by_hand ? 'seen by-hand' : 'seen', cx: s.at[0], cy: s.at[1], r: 2 * k })),
      ...(now ? [svg('circle', { class: 'now', cx: now.at[0], cy: now.at[1], r: 14 * k, 'stroke-width': 2 * k })] : []),
      ...dots.map((at, i) => grip(handles, at, { kind: 'corner', label: t('film.mark', { n: i + 1 }), k, move: (to) => { dots[i] = to; } })));
    own_.replaceChildren(...(own ? [grip({ place, change: (how) => { how(); draw(); if (grabbed) follow(); } }, own.at, { kind: 'click', label: t('film.click'), k, move: (to) => { own.at = to; }, remove: () => { clicks = clicks.filter((c) => c !== own); } })] : []));
  }
  over.addEventListener('click', (e) => { if (e.target.tagName !== 'circle' || e.target.classList.contains('seen') || e.target.classList.contains('now')) click(place(e)); });
  fields();
}
