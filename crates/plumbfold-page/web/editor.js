// The design text, in colours and with marks under mistakes. The textarea, whose own letters are
// clear, lies over a copy of its text in which both are drawn; the two scroll together.

import { $, download, el } from './dom.js';
import { t } from './strings.js';
import { on, setText, store } from './store.js';
import { startSuggestions } from './suggest.js';

const area = $('text');
const marks = $('marks');
const list = $('mistakes');

export function startEditor() {
  let waiting = 0;
  area.addEventListener('input', () => {
    drawMarks([], area.value);
    clearTimeout(waiting);
    waiting = setTimeout(() => setText(area.value), 120);
  });
  startSuggestions(() => { drawMarks([], area.value); setText(area.value); });
  const now = () => { clearTimeout(waiting); setText(area.value); };
  area.addEventListener('blur', now);
  on('leaving', now);
  area.addEventListener('scroll', follow);
  new ResizeObserver(keepCaret).observe(area);
  on('text', () => {
    if (area.value === store.text) return;
    // Keep the caret on its line when a slider or a remedy changes the text.
    const { selectionStart, selectionEnd, scrollTop, scrollLeft } = area;
    area.value = store.text;
    if (document.activeElement === area) area.setSelectionRange(selectionStart, selectionEnd);
    area.scrollTop = scrollTop;
    area.scrollLeft = scrollLeft;
    drawMarks(store.answer?.diagnostics ?? []);
  });
  on('answer', (answer) => {
    drawMarks(answer.diagnostics);
    drawList(answer.diagnostics);
  });
  on('step', () => drawMarks(store.answer?.diagnostics ?? []));
  $('export-text').addEventListener('click', () => {
    const name = store.file.name ?? `${(store.good?.name ?? 'plane').toLowerCase().replace(/\W+/g, '-')}.plane`;
    download(name, store.text, 'text/plain');
  });
}

/** Mistakes listed below make the field lower: the line being written stays in sight. */
function keepCaret() {
  if (document.activeElement !== area) return;
  const row = area.value.slice(0, area.selectionEnd).split('\n').length;
  const { lineHeight, paddingTop } = getComputedStyle(area);
  const bottom = parseFloat(paddingTop) + row * parseFloat(lineHeight);
  if (bottom > area.scrollTop + area.clientHeight) area.scrollTop = bottom - area.clientHeight + parseFloat(lineHeight);
}

function follow() {
  marks.scrollTop = area.scrollTop;
  marks.scrollLeft = area.scrollLeft;
}

/** What stands out in a text: a comment, the word a line begins with, a name given, a number. */
const PARTS = /(#.*$)|(^[ \t]*[a-z]+)|(?<=call it )(\w+)|(?<![\w.])(\d+(?:\.\d+)?(?: ?(?:mm|in|deg|g\/m2|m\/s|g|m|lb)\b| ?%)?)/gm;
const KINDS = ['comment', 'word', 'name', 'number'];

/** A stretch of the text, in pieces. */
function coloured(text, from, to) {
  const pieces = [];
  let at = from;
  PARTS.lastIndex = from;
  for (let m = PARTS.exec(text); m && m.index < to; m = PARTS.exec(text)) {
    const end = Math.min(to, m.index + m[0].length);
    pieces.push(text.slice(at, m.index), el('span', { className: KINDS[m.slice(1).findIndex((part) => part !== undefined)] }, text.slice(m.index, end)));
    at = end;
  }
  pieces.push(text.slice(at, to));
  return pieces;
}

/** Spans of mistakes, and of the step that is shown. */
function drawMarks(diagnostics, text = store.text) {
  const spans = diagnostics.map((d) => ({ from: d.from, to: Math.max(d.to, d.from + 1), kind: d.severity }));
  const step = store.step > 0 ? store.good?.steps?.[store.step - 1] : null;
  if (step && store.good.text === text) spans.push({ from: step.from, to: step.to, kind: 'here' });
  spans.sort((a, b) => a.from - b.from);
  const pieces = [];
  let at = 0;
  for (const { from, to, kind } of spans) {
    if (from < at) continue;
    pieces.push(...coloured(text, at, from), el('mark', { className: kind }, ...(to > from && kind !== 'here' ? [text.slice(from, to)] : [...coloured(text, from, to), text.slice(from, to) ? '' : ' '])));
    at = to;
  }
  pieces.push(...coloured(text, at, text.length), '\n\n');
  marks.replaceChildren(...pieces);
  follow();
}

function drawList(diagnostics) {
  const key = JSON.stringify(diagnostics);
  if (list.key === key) return;
  list.key = key;
  area.setAttribute('aria-invalid', diagnostics.some((d) => d.severity === 'error'));
  list.replaceChildren(...diagnostics.map((d) => el('li', { className: d.severity },
    el('button', { onclick: () => goTo(d) }, t('text.at', { line: d.line })),
    `: ${d.message}${d.label ? ` (${d.label})` : ''}. `,
    d.help ? t('text.help', { help: d.help }) : '')));
}

function goTo({ from, to }) {
  area.focus();
  area.setSelectionRange(from, Math.max(to, from));
}
