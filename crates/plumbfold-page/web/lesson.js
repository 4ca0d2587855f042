// A short lesson: from tail-heavy to nose-heavy on one square wing, four behaviours.

import { get, post } from './api.js';
import { $, el } from './dom.js';
import { keep } from './drafts.js';
import { open } from './files.js';
import { t } from './strings.js';
import { emit, on, setText, store, swap } from './store.js';
import { headline, lower } from './words.js';

const PLANE = 'Scow';
const SPEED = 'throw 4 m/s, level, from 1.6 m';
/** What each page wants to show; the first and the last show nothing of their own. */
const wanted = [null, ['leaf', 'tumbles'], ['stalls'], ['glides'], ['dives'], null];
/** From tail-heavy to nose-heavy: how often the front is folded over, and the clip on it, g. */
const weights = [[0, 0], [1, 0], [2, 0], [3, 0], [4, 0], [5, 0], [5, 0.5], [5, 1], [5, 2], [5, 4], [5, 6], [5, 9]];
/** Where nothing shows the behaviour that a page wants. */
const guess = [3, 0, 2, 6, 10, 3];

const card = $('lesson-card');
let page = 0;
/** What was said it would do, before the throw of this page; null until something was. */
let said = null;
/** What can be said: the pages' own behaviours. */
const ANSWERS = ['leaf', 'stalls', 'glides', 'dives'];
let base = '';
/** The lesson's own design, and what was open before it. */
let file = null;
let before = null;
let chosen = guess;

export function startLesson() {
  $('lesson').addEventListener('click', () => begin().catch((error) => emit('refused', error.message)));
  on('answer', () => { if (!card.hidden) see(); });
}

async function begin() {
  const { shipped } = await get('/api/designs');
  const design = shipped.find((d) => d.name === PLANE) ?? shipped[0];
  base = design.text.replace(/^throw .*$/m, SPEED);
  if (store.file === file) setText(base); else before = open({ text: base });
  ({ file } = store);
  page = 0;
  said = null;
  card.hidden = false;
  draw();
  card.scrollIntoView({ block: 'nearest' });
  chosen = await choose();
}

/** The design with one of the weights. */
function weighted([turns, clip]) {
  const folded = base.replace(/^(let turns\s*=\s*)\d+/m, `$1${turns}`);
  return clip ? folded.replace(/^throw /m, `ballast clip ${clip} g at 4 mm behind nose\nthrow `) : folded;
}

/** Which weight shows most often what each page wants, found by flying them all. */
async function choose() {
  const flown = [];
  for (const weight of weights) {
    const answer = await post('/api/analyse?long', { text: weighted(weight), step: null, depth: 'counted', show: 'sheet' });
    flown.push(answer.verdict?.probability ?? {});
  }
  let least = 0;
  return wanted.map((behaviours, i) => {
    if (!behaviours) return guess[i];
    const share = (k) => behaviours.reduce((sum, b) => sum + (flown[k][b] ?? 0), 0);
    let best = least;
    for (let k = least; k < flown.length; k += 1) if (share(k) > share(best)) best = k;
    if (!(share(best) > 0.5)) return guess[i];
    least = best;
    return best;
  });
}

function draw() {
  const last = page === wanted.length - 1;
  // First it is said what the plane will do; then it is thrown.
  const asks = Boolean(wanted[page]) && said === null;
  document.body.classList.toggle('asking', asks);
  const answer = (behaviour) => el('button', { className: 'guess', value: behaviour, onclick: () => predict(behaviour) }, t(`behaviour.${behaviour}`));
  card.replaceChildren(
    el('h2', { tabIndex: -1 }, t(asks ? 'lesson.asks' : `lesson.${page}.title`)),
    el('p', {}, asks ? t(`lesson.${page}.made`) : t(`lesson.${page}.text`)),
    el('p', { id: 'lesson-see', role: 'status' }),
    ...(asks ? [el('div', { className: 'row guesses', role: 'group', 'aria-label': t('lesson.asks') }, ...ANSWERS.map(answer))] : []),
    el('div', { className: 'row' },
      el('button', { disabled: page === 0, onclick: () => go(page - 1) }, t('lesson.back')),
      el('button', { className: asks ? '' : 'main', disabled: last, onclick: () => go(page + 1) }, t('lesson.next')),
      el('span', { className: 'aside' }, t('lesson.at', { n: page + 1, all: wanted.length })),
      el('button', { className: 'quiet', onclick: end }, t('lesson.end'))));
  see();
}

function go(to) {
  page = to;
  said = null;
  draw();
  card.querySelector('h2').focus();
  if (!wanted[page] || store.file !== file) return;
  setText(weighted(weights[chosen[page]]));
  // What the lesson shows is nobody's work; what is made of it is.
  file.saved = store.text;
}

/** Back to where the lesson was begun, unless another design was opened since. */
function end() {
  card.hidden = true;
  document.body.classList.remove('asking');
  if (store.file === file) {
    keep();
    swap(before);
  }
  file = before = null;
  $('lesson').focus();
}

/** Somebody said what it will do: now it is thrown. */
function predict(behaviour) {
  said = behaviour;
  draw();
  card.querySelector('h2').focus();
}

function see() {
  const verdict = store.answer?.verdict;
  const line = $('lesson-see');
  if (!line) return;
  // Fluttering and tumbling are told apart by nobody who has not seen both.
  const fits = verdict && (verdict.behaviour === said || said === 'leaf' && verdict.behaviour === 'tumbles');
  line.textContent = verdict && said ? `${t('lesson.said', { behaviour: t(`behaviour.${said}`) })} ${t('lesson.see', { behaviour: lower(headline(verdict)) })}${fits ? ` ${t('lesson.right')}` : ''}` : '';
}
