// One dialog for everything that asks or shows beside the bench.

import { $, el } from './dom.js';
import { t } from './strings.js';

const box = $('dialog');

/** Opens the dialog with a title and content; returns a function that closes it. */
export function show(title, ...content) {
  const close = () => box.close();
  box.replaceChildren(el('div', { className: 'inside' },
    el('header', {}, el('h2', { id: 'dialog-title' }, title), el('button', { onclick: close }, t('close'))),
    ...content));
  if (!box.open) box.showModal();
  return close;
}

/** Asks for a line of text; null when it was cancelled. */
export function ask({ title, text, field, yes }) {
  return new Promise((answer) => {
    const input = el('input', { type: 'text', value: field.value, required: true });
    const form = el('form', {
      method: 'dialog',
      onsubmit: (e) => { e.preventDefault(); done(input.value.trim()); },
    }, el('p', {}, text), el('div', { className: 'fields' },
      el('label', {}, field.label, input), el('button', { className: 'main', type: 'submit' }, yes)));
    const done = (value) => { box.removeEventListener('close', cancelled); box.close(); answer(value || null); };
    const cancelled = () => answer(null);
    box.addEventListener('close', cancelled, { once: true });
    show(title, form);
    input.select();
  });
}
