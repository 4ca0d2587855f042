// A short lesson: from tail-heavy to nose-heavy on one square wing, four behaviours.

import { get } from './api.js';
import { $, el } from './dom.js';
import { keep } from './drafts.js';
import { open } from './files.js';
import { t } from './strings.js';
import { emit, on, setText, store, swap } from './store.js';
import { headline, lower } from './words.js';

/** Pages that ask first what the plane will do; the others show nothing of their own. */
const asking = (n) => n > 0 && n < pages.length - 1;

const card = $('lesson-card');
let page = 0;
/** What was said it would do, before the throw of this page; null until something was. */
let said = null;
/** What can be said: the pages' own behaviours. */
const ANSWERS = ['leaf', 'stalls', 'glides', 'dives'];
/** The design of each page. */
let pages = [];
/** The lesson's own design, and what was open before it. */
let file = null;
let before = null;

export function startLesson() {
  $('lesson').addEventListener('click', () => begin().catch((error) => emit('refused', error.message)));
  on('answer', () => { if (!card.hidden) see(); });
}

async function begin() {
  ({ lesson: pages } = await get('/api/designs'));
  const [first] = pages;
  if (store.file === file) setText(first); else before = open({ text: first });
  ({ file } = store);
  page = 0;
  said = null;
  card.hidden = false;
  draw();
  card.scrollIntoView({ block: 'start' });
}

function draw() {
  const last = page === pages.length - 1;
  // First it is said what the plane will do; then it is thrown.
  const asks = asking(page) && said === null;
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
      el('span', { className: 'aside' }, t('lesson.at', { n: page + 1, all: pages.length })),
      el('button', { className: 'quiet', onclick: end }, t('lesson.end'))));
  see();
}

function go(to) {
  page = to;
  said = null;
  draw();
  card.querySelector('h2').focus();
  if (!asking(page) || store.file !== file) return;
  setText(pages[page]);
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
