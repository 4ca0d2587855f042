// The folds, one after the other, each with a small picture of the model after it.

import { $, el, picture } from './dom.js';
import { bring } from './stage.js';
import { t } from './strings.js';
import { change, on, setStep, setText, store } from './store.js';

const list = $('steps');
const tools = $('step-tools');
let items = [];

export function startSteps() {
  on('answer', draw);
  on('step', mark);
  build();
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

/* ---------- changing steps where they stand ---------- */

function build() {
  const tool = (key, act) => el('button', { 'data-do': key, onclick: act }, t(`steps.${key}`));
  tools.replaceChildren(tool('edit', edit), tool('up', () => swap(-1)), tool('down', () => swap(1)), tool('remove', remove));
}

/** The step that is shown, counted from 1; the last one when the plane is finished. */
const at = () => store.step ?? (store.good?.steps ?? []).length;
/** Numbers of a step as the printed steps have them; a mark has none. */
const numbers = ({ folds }) => (folds ? [...new Set(folds)].join('–') : '');
/** Places are those of the newest text that could be folded. */
const step = (n) => (store.good?.text === store.text ? store.good.steps?.[n - 1] : null);

function remove() {
  const n = at();
  if (!step(n)) return;
  change({ kind: 'remove_step', index: n - 1 });
  if (store.step !== null) setStep(n - 1);
}

/** Changes places with the step before or after. */
function swap(by) {
  const n = at();
  const first = Math.min(n, n + by);
  if (!step(first) || !step(first + 1)) return;
  change({ kind: 'swap_step', index: first - 1 });
  go(n + by);
}

function edit() {
  const n = at();
  const shown = step(n);
  if (!shown) return;
  const { text } = store;
  const { said } = items[n];
  const field = el('input', { type: 'text', className: 'words', value: text.slice(shown.from, shown.to), 'aria-label': shown.folds ? t('steps.words', { n: numbers(shown) }) : t('steps.mark.words') });
  const leave = (take) => {
    field.onblur = null;
    field.replaceWith(said);
    if (take && store.text === text) setText(text.slice(0, shown.from) + field.value.trim() + text.slice(shown.to));
    list.focus();
  };
  field.addEventListener('keydown', (e) => {
    e.stopPropagation();
    if (e.key === 'Enter' || e.key === 'Escape') { e.preventDefault(); leave(e.key === 'Enter'); }
  });
  field.addEventListener('click', (e) => e.stopPropagation());
  field.onblur = () => leave(true);
  said.replaceWith(field);
  field.select();
}

function draw(answer) {
  // A plane given by its outline has no folds.
  if (answer.numbers) folded(Boolean(answer.steps));
  if (!answer.steps) {
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
    const words = i === 0 ? step.words : `${numbers(step) || '•'}  ${step.words}`;
    if (it.words !== words) {
      it.words = words;
      it.said.replaceChildren(...(i === 0 ? [words] : [el('b', {}, numbers(step) || '•'), step.words]));
    }
    it.item.classList.toggle('failed', Boolean(step.failed));
  });
  mark();
}

/** What shows folds is there for planes that have some. */
function folded(has) {
  $('words').classList.toggle('unfolded', !has);
  $('table').hidden = !has;
  document.querySelector('.places a[href="#table"]').hidden = !has;
  if (!has && store.stage.place === 'table') bring('hall');
}

/** Scrolls the list only: the page stays where it is. */
function inSight(item) {
  const top = item.offsetTop - list.offsetTop;
  list.scrollTop = Math.min(top, Math.max(list.scrollTop, top + item.offsetHeight - list.clientHeight));
}

/** Which step is shown, in words. */
function where(at) {
  const steps = store.good?.steps ?? [];
  const shown = steps[at - 1];
  if (!shown) return t('steps.sheet');
  const all = Math.max(0, ...steps.map((s) => s.folds?.[1] ?? 0));
  const next = steps.slice(at).find((s) => s.folds);
  if (shown.folds) return t('steps.at', { n: numbers(shown), all });
  return next ? t('steps.mark.for', { n: next.folds[0] }) : t('steps.mark');
}

function mark() {
  const all = Math.max(0, items.length - 1);
  const at = Math.min(store.step ?? all, all);
  tools.hidden = at < 1;
  const several = /\n/.test(store.text.slice(step(at)?.from ?? 0, step(at)?.to ?? 0));
  for (const [key, off] of [['edit', several], ['up', at < 2], ['down', at >= all], ['remove', false]]) tools.querySelector(`[data-do=${key}]`).disabled = off || !step(at);
  items.forEach(({ item }, i) => {
    const chosen = i === at;
    if (chosen && item.getAttribute('aria-selected') !== 'true') inSight(item);
    item.setAttribute('aria-selected', chosen);
  });
  if (items.length) list.setAttribute('aria-activedescendant', `step-${at}`); else list.removeAttribute('aria-activedescendant');
  $('step-at').textContent = store.step === null || all < 1 ? t('steps.done') : where(at);
}
