// What the page knows. There is one truth, the design text; numbers and pictures are the newest
// answer to it. Everything that changes the text goes through here, so that it can be undone.

import { Latest, post } from './api.js';

const UNDO_MAX = 300;

export const store = {
  text: '',
  /** The newest answer for a text that could be folded, and the newest answer of all. */
  good: null,
  answer: null,
  /** The newest thorough answer, and the one before it of another text: what was before a change. */
  full: null,
  before: null,
  /** Steps of the text shown: null is the finished plane. */
  step: null,
  show: 'sheet',
  /** The picture that is looked at, and its frame in mm. */
  stage: null,
  /** What the text was opened from; `id` tells one opening from another. */
  file: { id: '', name: null, version: null, saved: '', opened: '' },
  undo: [],
  redo: [],
  /** A quick answer to another text that is only looked at. */
  preview: null,
};

const listeners = new Map();
/** Events: `text`, `answer`, `step`, `file`, `opened`, `units`, `refused`, `lost` (no server there),
 *  `leaving`: what is still being typed becomes text now, `stage`: another picture or size of it, `preview`,
 *  and `holding`: whether a slider is held. */
export function on(event, listener) {
  listeners.set(event, [...(listeners.get(event) ?? []), listener]);
}
export function emit(event, detail) {
  for (const listener of listeners.get(event) ?? []) listener(detail);
}

/* ---------- the text ---------- */

let gesture = false;
let ending = false;
/** Counts texts set on this side; an answer that changes the text must belong to the newest. */
let revision = 0;

function remember(before) {
  if (store.undo.at(-1) !== before) store.undo.push(before);
  if (store.undo.length > UNDO_MAX) store.undo.shift();
  store.redo = [];
}

/** A new text, as one thing that can be undone. */
export function setText(text, { ask = true } = {}) {
  if (text === store.text) return;
  finishGesture();
  remember(store.text);
  store.text = text;
  revision += 1;
  emit('text');
  if (ask) look();
}

/** Another design takes the place of this one, with a history of its own. Gives the one that was
 *  here, so that it can be taken up again as it was left. */
export function swap(design) {
  emit('leaving');
  finishGesture();
  const { text, file, undo: past, redo: ahead, step } = store;
  const stepped = (design.step ?? null) !== step;
  Object.assign(store, { undo: [], redo: [], step: null, full: null, before: null, ...design });
  revision += 1;
  emit('text');
  emit('opened');
  emit('file');
  if (stepped) emit('step', store.step);
  look();
  return { text, file, undo: past, redo: ahead, step };
}

/** Whether the text is kept nowhere but here. */
export const unsaved = () => store.text !== store.file.saved;

/** Between these, all changes are one thing to undo: one drag of a slider. */
export function beginGesture() {
  ending = false;
  if (gesture) return;
  remember(store.text);
  gesture = true;
  emit('holding', true);
}
/** The drag is over; its last move may still be under way. */
export function endGesture() {
  if (asking.idle) finishGesture(); else ending = true;
}
function finishGesture() {
  if (!gesture) return;
  gesture = false;
  ending = false;
  emit('holding', false);
  if (store.undo.at(-1) === store.text) store.undo.pop();
  emit('text');
}

function travel(from, to) {
  finishGesture();
  const text = from.pop();
  if (text === undefined) return;
  to.push(store.text);
  store.text = text;
  revision += 1;
  emit('text');
  look();
}
export const undo = () => travel(store.undo, store.redo);
export const redo = () => travel(store.redo, store.undo);

/* ---------- questions and answers ---------- */

const asking = new Latest(
  ({ text, change: what, step, depth, show, stage }, signal) =>
    post(depth === 'quick' ? '/api/analyse' : '/api/analyse?long', { text, change: what, step, depth, show, stage }, signal),
  (answer, question, superseded) => {
    if (store.lost) { store.lost = false; emit('lost', false); }
    if (question.revision !== revision) return;
    if (answer.text !== store.text) {
      if (!gesture) remember(store.text);
      store.text = answer.text;
      emit('text');
    }
    recall(answer);
    store.answer = answer;
    if (answer.numbers) store.good = answer;
    window.plumbfold.pictured ??= performance.now();
    emit('answer', answer);
    if (question.sent) shown(question.sent);
    if (superseded) return;
    if (ending) finishGesture();
    if (answer.depth === 'quick') settle();
  },
  (error) => {
    if (error.status === undefined) { store.lost = true; emit('lost', true); setTimeout(look, 3000); }
    else emit('refused', error.message);
    if (ending) finishGesture();
  },
);

/** What was found out about a text at length holds when only the picture of it is another. */
function recall(answer) {
  if (answer.depth === 'full') {
    if (answer.numbers) store.full = answer;
  } else if (store.full?.text === answer.text) {
    answer.verdict = store.full.verdict;
    answer.depth = 'full';
  }
  if (answer.depth === 'quick' && store.before !== store.full) store.before = store.full;
}

let settling = 0;
/** After the last quick answer of a drag, the thorough one. */
function settle() {
  clearTimeout(settling);
  settling = setTimeout(() => { if (asking.idle) look('full'); }, 150);
}

function put(question) {
  clearTimeout(settling);
  asking.put({ step: store.step, show: store.show, stage: store.stage?.frame ? store.stage : null, depth: 'quick', revision, patient: question.depth === 'full', ...question });
}

/** Asks for everything about the text as it is now. */
export const look = (depth = 'quick') => put({ text: store.text, depth });

/** Asks for a change of the text, and everything about the changed text, in one question. */
export const change = (what, { base = store.text, sent = 0 } = {}) => {
  if (sent) events.push(sent);
  put({ text: base, change: what, sent });
};

/** Text at the start of a drag: each move of the drag is a change of that text. */
export const baseText = () => (gesture ? store.undo.at(-1) : store.text);

/** Shows the model after so many steps of the text; null is the finished plane. */
export function setStep(step) {
  if (step === store.step) return;
  store.step = step;
  emit('step', step);
  look();
}
/** What lies on the table: `sheet`, `folded` or `layers`. */
export function setShow(show) {
  store.show = show;
  look();
}

/* ---------- speed ---------- */

/** Milliseconds from each slider event to pictures that follow it, for the speed script. */
export const timings = [];
const TIMINGS_MAX = 1000;
let events = [];
/** Pictures of the newest event up to `sent` are in the page. */
function shown(sent) {
  const followed = events.filter((e) => e <= sent);
  events = events.filter((e) => e > sent);
  requestAnimationFrame(() => {
    // A message arrives after the frame that shows the new pictures.
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      timings.push(...followed.map((e) => performance.now() - e));
      timings.splice(0, timings.length - TIMINGS_MAX);
    };
    port2.postMessage(0);
  });
}
/** Nothing is held, nothing is being asked, and the answer is to the text as it is. */
const resting = () => !gesture && asking.idle && store.answer?.text === store.text;
window.plumbfold = { store, timings, resting };
