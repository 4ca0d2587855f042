// The design text, with marks under mistakes. The textarea lies over a copy of its own text in
// which the marks are drawn; both scroll together.

import { $, download, el } from './dom.js';
import { t } from './strings.js';
import { on, setText, store } from './store.js';

const area = $('text');
const marks = $('marks');
const list = $('mistakes');

export function startEditor() {
  let waiting = 0;
  area.addEventListener('input', () => {
    drawMarks([]);
    clearTimeout(waiting);
    waiting = setTimeout(() => setText(area.value), 120);
  });
  const now = () => { clearTimeout(waiting); setText(area.value); };
  area.addEventListener('blur', now);
  on('leaving', now);
  area.addEventListener('scroll', follow);
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

function follow() {
  marks.scrollTop = area.scrollTop;
  marks.scrollLeft = area.scrollLeft;
}

/** Spans of mistakes, and of the step that is shown. */
function drawMarks(diagnostics) {
  const text = store.text;
  const spans = diagnostics.map((d) => ({ from: d.from, to: Math.max(d.to, d.from + 1), kind: d.severity }));
  const step = store.step > 0 ? store.good?.steps?.[store.step - 1] : null;
  if (step && store.good.text === text) spans.push({ from: step.from, to: step.to, kind: 'here' });
  spans.sort((a, b) => a.from - b.from);
  const pieces = [];
  let at = 0;
  for (const { from, to, kind } of spans) {
    if (from < at) continue;
    pieces.push(text.slice(at, from), el('mark', { className: kind }, text.slice(from, to) || ' '));
    at = to;
  }
  pieces.push(text.slice(at), '\n\n');
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
