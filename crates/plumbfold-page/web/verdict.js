// What the plane will do, how sure that is, why, and what would mend it.

import { $, el, svg } from './dom.js';
import { post } from './api.js';
import { t } from './strings.js';
import { emit, on, setText, store } from './store.js';
import * as units from './units.js';
import { headline, often, sentence } from './words.js';

const card = $('verdict');
/** Remedies found for a text. */
let found = null;

export function startVerdict() {
  on('answer', draw);
  on('opened', () => { found = searching = null; $('remedy-list').replaceChildren(); $('remedies').hidden = true; });
  on('units', () => found && show(found.remedies, found.before));
  on('text', age);
  on('answer', (answer) => { if (answer.depth === 'full') search(answer); });
}

function draw(answer) {
  const broken = !answer.numbers;
  card.classList.toggle('stale', broken);
  if (broken) {
    card.removeAttribute('data-behaviour');
    say(t('verdict.broken'), t(answer.pictures.table ? 'verdict.broken.fold' : 'verdict.broken.why'));
    $('verdict-odds').replaceChildren();
    $('evidence').hidden = true;
    return;
  }
  const verdict = answer.verdict;
  if (!verdict) {
    card.removeAttribute('data-behaviour');
    say(t('verdict.unknown'), t('hall.wait'));
    $('evidence').hidden = true;
    return;
  }
  card.dataset.behaviour = verdict.behaviour;
  say(headline(verdict), units.inWords(sentence(verdict.cause ?? '')));
  if (verdict.probability) odds(verdict.probability);
  // How sure another plane was says nothing about this one; the space stays, so nothing jumps.
  $('verdict-odds').classList.toggle('stale', !verdict.probability);
  $('evidence').hidden = !verdict.evidence?.length;
  if (verdict.evidence) $('evidence').lastElementChild.replaceChildren(...verdict.evidence.map((e) => el('li', {}, units.inWords(sentence(e)))));
}

function say(title, cause) {
  if ($('verdict-title').textContent !== title) $('verdict-title').textContent = title;
  if ($('verdict-cause').textContent !== cause) $('verdict-cause').textContent = cause;
}

function odds(probability) {
  const likely = Object.entries(probability).filter(([, p]) => p >= 0.02).sort((a, b) => b[1] - a[1]).slice(0, 4);
  $('verdict-odds').replaceChildren(...likely.flatMap(([behaviour, p]) => [
    el('span', {}, t(`behaviour.${behaviour}`)),
    el('span', { className: 'bar', 'aria-hidden': 'true' },
      svg('svg', { viewBox: '0 0 100 10', preserveAspectRatio: 'none' }, svg('rect', { width: 100 * p, height: 10, fill: 'var(--pf-move)' }))),
    el('span', { className: 'share' }, often(p)),
  ]));
}

/* ---------- remedies ---------- */

let searching = null;
/** Ends the search under way: nobody waits for remedies of another text. */
let control = new AbortController();

/** The shown remedies belong to the text as it is, or one of them made it. */
const current = () => found?.text === store.text || Boolean(found?.remedies.some((r) => r.text === store.text));

/** Remedies of another text would undo what was changed since. */
function age() {
  if (searching !== null && searching !== store.text) { searching = null; control.abort(); }
  $('remedies').classList.toggle('stale', !current());
  $('remedy-list').inert = !current();
  for (const item of $('remedy-list').children) item.relabel();
}

/** Looks for remedies once the plane lies still. */
async function search({ text, verdict }) {
  const panel = $('remedies');
  panel.hidden = !verdict || (verdict.behaviour === 'glides' && !verdict.or && !current());
  if (current()) {
    searching = null;
    $('mend-state').textContent = found.remedies.length ? '' : t('mend.none');
  }
  if (panel.hidden || current() || searching === text) return;
  control.abort();
  control = new AbortController();
  searching = text;
  $('mend-state').textContent = t('mend.searching');
  try {
    const all = await post('/api/mend', { text }, control.signal);
    if (searching !== text) return;
    found = { text, ...all };
    $('mend-state').textContent = found.remedies.length ? '' : t('mend.none');
    show(found.remedies, found.before);
    age();
  } catch (error) {
    if (searching === text) $('mend-state').textContent = error.message;
  }
  if (searching === text) searching = null;
}

/** The flight and the balance a text would have, beside those it has; none for null. */
let looking = null;
async function preview(text) {
  looking = text;
  let answer = null;
  if (text && text !== store.text) {
    try { answer = await post('/api/analyse', { text, step: null, depth: 'quick', show: 'sheet' }); } catch { /* It is not shown. */ }
    if (looking !== text) return;
  }
  store.preview = answer;
  emit('preview');
}

function show(remedies, before) {
  $('remedy-list').replaceChildren(...remedies.map((r) => {
    const button = el('button', { className: 'main' }, t('mend.do'));
    const mm = (v) => units.length(v, 1)[0];
    const item = el('li', {},
      el('span', { className: 'what' }, units.inWords(sentence(r.change))),
      button,
      r.undoes ? el('span', { className: 'effect' }, t('mend.undoes')) : '',
      el('span', { className: 'effect' }, t(r.sure ? 'mend.sure' : 'mend.unsure', { from: often(before.glide_probability), to: often(r.after.glide_probability) })),
      el('span', { className: 'effect' }, t('mend.effect', {
        from: mm(before.cg_behind_nose_mm), to: units.say(units.length(r.after.cg_behind_nose_mm, 1)),
        distance: units.say(units.far(r.after.distance_m, 1)),
      })));
    item.relabel = () => {
      const done = store.text === r.text;
      button.textContent = t(done ? 'mend.undo' : 'mend.do');
      button.setAttribute('aria-label', `${button.textContent}: ${r.change}`);
      item.classList.toggle('taken', done);
    };
    const over = (on) => preview(on ? r.text : null);
    for (const [event, on] of [['pointerenter', true], ['pointerleave', false], ['focusin', true], ['focusout', false]]) item.addEventListener(event, () => over(on));
    // A second remedy takes the place of the first: both start from the same text.
    button.addEventListener('click', () => setText(store.text === r.text ? found.text : r.text));
    item.relabel();
    return item;
  }));
}
