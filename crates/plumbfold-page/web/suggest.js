// The list that is offered under the word being typed. Tab takes the first or the chosen one; Enter
// only one that was chosen with the arrow keys, so that it stays a new line otherwise.

import { completions } from './complete.js';
import { $, el } from './dom.js';
import { t } from './strings.js';

const area = $('text');
const box = el('ul', { id: 'suggestions', role: 'listbox', 'aria-label': t('text.suggested'), hidden: true });
let offered = { from: 0, words: [] };
let chosen = -1;

/** `typed()` is called when a word was put in. */
export function startSuggestions(typed) {
  area.parentNode.append(box);
  for (const [key, value] of [['aria-autocomplete', 'list'], ['aria-controls', 'suggestions']]) area.setAttribute(key, value);
  area.addEventListener('input', () => offer());
  for (const gone of ['blur', 'click']) area.addEventListener(gone, close);
  area.addEventListener('scroll', () => { if (!box.hidden) place(); });
  area.addEventListener('keydown', (e) => {
    if (e.key === ' ' && e.ctrlKey) { e.preventDefault(); offer(); return; }
    if (box.hidden) return;
    const count = offered.words.length;
    if (e.key === 'ArrowDown') choose((chosen + 1) % count);
    else if (e.key === 'ArrowUp') choose(chosen <= 0 ? count - 1 : chosen - 1);
    else if (e.key === 'Tab' && !e.shiftKey || e.key === 'Enter' && chosen >= 0) take(Math.max(0, chosen));
    else if (e.key === 'Escape') close();
    else { if (e.key !== 'Shift') close(); return; }
    e.preventDefault();
    e.stopPropagation();
  });

  function take(n) {
    const { from, words } = offered;
    area.setRangeText(words[n], from, area.selectionStart, 'end');
    close();
    typed();
  }

  function offer() {
    offered = area.selectionStart === area.selectionEnd ? completions(area.value, area.selectionStart) : { words: [] };
    if (!offered.words.length) return close();
    box.replaceChildren(...offered.words.map((word, n) => el('li', {
      id: `suggestion-${n}`, role: 'option', 'aria-selected': 'false',
      // Before the text area loses the focus to the click.
      onpointerdown: (e) => { e.preventDefault(); take(n); },
    }, word)));
    box.hidden = false;
    place();
    choose(-1);
  }
}

function choose(n) {
  chosen = n;
  [...box.children].forEach((item, i) => item.setAttribute('aria-selected', i === chosen));
  if (chosen >= 0) area.setAttribute('aria-activedescendant', `suggestion-${chosen}`); else area.removeAttribute('aria-activedescendant');
}

function close() {
  box.hidden = true;
  area.removeAttribute('aria-activedescendant');
}

/** Under the first letter of the word; all letters are as wide. */
function place() {
  const before = area.value.slice(0, offered.from);
  const row = before.split('\n').length;
  const column = before.length - before.lastIndexOf('\n') - 1;
  const style = getComputedStyle(area);
  const pen = document.createElement('canvas').getContext('2d');
  pen.font = style.font;
  const x = parseFloat(style.paddingLeft) + column * pen.measureText('m').width - area.scrollLeft;
  const y = parseFloat(style.paddingTop) + row * parseFloat(style.lineHeight) - area.scrollTop;
  const { clientWidth, clientHeight } = area.parentNode;
  box.style.left = `${Math.max(0, Math.min(x, clientWidth - box.offsetWidth))}px`;
  // Where there is no room below, above the line.
  box.style.top = `${y + box.offsetHeight <= clientHeight ? y : Math.max(0, y - parseFloat(style.lineHeight) - box.offsetHeight)}px`;
}
