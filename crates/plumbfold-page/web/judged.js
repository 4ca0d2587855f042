// What the throws say: whether a change was real or luck, and what they make of the prediction.

import { post } from './api.js';
import { el } from './dom.js';
import { t } from './strings.js';
import * as units from './units.js';
import { sentence } from './words.js';

/** The questions; `here()` gives plane and text that lie on the bench. */
export function judged(here) {
  const [one, other] = ['a', 'b'].map((side) => el('select', { id: `judged-${side}` }));
  const said = el('p', { id: 'judged-said', role: 'status' });
  const but = el('ul', { className: 'remarks' });
  const buttons = [];
  const ask = async (question) => {
    said.textContent = t('judged.working');
    but.replaceChildren();
    for (const button of buttons) button.disabled = true;
    try {
      const { told } = await post('/api/notebook?long', question);
      said.textContent = units.inWords(told.said);
      but.replaceChildren(...told.warnings.map((words) => el('li', {}, units.inWords(sentence(words)))));
    } catch (error) { said.textContent = sentence(error.message); }
    for (const button of buttons) button.disabled = false;
  };
  buttons.push(
    el('button', { id: 'judged-settle', onclick: () => ask({ settle: { a: one.value, b: other.value } }) }, t('judged.settle')),
    el('button', { id: 'judged-calibrate', onclick: () => {
      const { text } = here();
      if (text) ask({ calibrate: { text } }); else said.textContent = t('judged.nothing');
    } }, t('judged.calibrate')));
  /** Planes and versions that were thrown by now; the two newest are compared unless others are chosen. */
  const look = async () => {
    const { results } = await post('/api/notebook', { look: {} });
    const names = results.planes.map((p) => p.name);
    for (const [select, back] of [[one, 2], [other, 1]]) {
      const chosen = select.value || names.at(-back);
      select.replaceChildren(...names.map((name) => el('option', { selected: name === chosen }, name)));
    }
  };
  const field = (key, input) => el('label', {}, el('span', {}, t(key)), input);
  return el('details', { className: 'judged', id: 'judged', ontoggle: (e) => { if (e.currentTarget.open) look().catch((error) => { said.textContent = sentence(error.message); }); } },
    el('summary', {}, t('judged.title')), el('p', { className: 'aside' }, t('judged.help')),
    el('div', { className: 'row' }, field('judged.a', one), field('judged.b', other), buttons[0]), el('div', { className: 'row' }, buttons[1]), said, but);
}
