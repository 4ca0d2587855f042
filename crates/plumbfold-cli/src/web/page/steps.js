// The folds, one after the other, each with a small picture of the model after it.

import { $, el, picture } from './dom.js';
import { t } from './strings.js';
import { on, setStep, store } from './store.js';

const list = $('steps');
let items = [];

export function startSteps() {
  on('answer', draw);
  on('step', mark);
  list.addEventListener('keydown', (e) => {
    const all = (store.good?.steps ?? []).length;
    const at = store.step ?? all;
    const to = {
      ArrowDown: at + 1, ArrowRight: at + 1, ArrowUp: at - 1, ArrowLeft: at - 1,
      Home: 0, End: all, PageDown: at + 5, PageUp: at - 5,
    }[e.key];
    if (to === undefined) return;
    e.preventDefault();
    go(Math.max(0, Math.min(all, to)));
  });
}

/** Shows the model after `n` steps of the text. */
export function go(n) {
  const all = (store.good?.steps ?? []).length;
  setStep(n >= all ? null : n);
}

function draw(answer) {
  if (!answer.steps) {
    // A plane given by its outline has no folds.
    if (answer.numbers) { items = []; list.replaceChildren(); }
    return mark();
  }
  const wanted = answer.steps.length + 1;
  if (items.length !== wanted) {
    items = [];
    for (let i = 0; i < wanted; i += 1) {
      const thumb = el('span', { className: 'thumb', 'aria-hidden': 'true' });
      const said = el('span', { className: 'said' });
      const item = el('li', { role: 'option', id: `step-${i}`, onclick: () => { go(i); list.focus(); } }, thumb, said);
      items.push({ item, thumb, said, words: '' });
    }
    list.replaceChildren(...items.map((i) => i.item));
  }
  items.forEach((it, i) => {
    const step = i === 0 ? { words: t('steps.sheet'), picture: answer.sheet_thumb } : answer.steps[i - 1];
    picture(it.thumb, step.picture);
    const words = i === 0 ? step.words : `${i}  ${step.words}`;
    if (it.words !== words) {
      it.words = words;
      it.said.replaceChildren(...(i === 0 ? [words] : [el('b', {}, String(i)), step.words]));
    }
    it.item.classList.toggle('failed', Boolean(step.failed));
  });
  mark();
}

function mark() {
  const all = Math.max(0, items.length - 1);
  const at = Math.min(store.step ?? all, all);
  items.forEach(({ item }, i) => {
    const chosen = i === at;
    if (chosen && item.getAttribute('aria-selected') !== 'true') item.scrollIntoView({ block: 'nearest' });
    item.setAttribute('aria-selected', chosen);
  });
  if (items.length) list.setAttribute('aria-activedescendant', `step-${at}`); else list.removeAttribute('aria-activedescendant');
  $('step-at').textContent = store.step === null || all < 1
    ? t('steps.done') : t('steps.at', { n: at, all });
}
