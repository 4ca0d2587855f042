// The bench is put together here; each part looks after itself.

import { $, picture } from './dom.js';
import { startBalance } from './balance.js';
import { startBook } from './book.js';
import { startCompare } from './compare.js';
import { startEditor } from './editor.js';
import { offerPictures } from './export.js';
import { startFiles } from './files.js';
import { isFolding, startFold } from './fold.js';
import { startHall } from './hall.js';
import { startPosed } from './posed.js';
import { startLesson } from './lesson.js';
import { startNumbers } from './numbers.js';
import { startPress } from './press.js';
import { startSeries } from './series.js';
import { startSliders } from './sliders.js';
import { begin, startStart } from './start.js';
import { startStage } from './stage.js';
import { startSteps } from './steps.js';
import { emit, on, redo, setShow, store, undo } from './store.js';
import { fill, t } from './strings.js';
import { startVerdict } from './verdict.js';
import { startWhy } from './why.js';
import { startWelcome } from './welcome.js';
import * as units from './units.js';

// The secret in the address has become a cookie; the bar above need not show it.
if (location.search) history.replaceState(null, '', location.pathname + location.hash);

fill();
for (const start of [startFiles, startEditor, startSteps, startSliders, startNumbers, startPosed, startHall, startVerdict, startWhy, startFold, startCompare, startSeries, startLesson, startStart, startPress, startBook, offerPictures, startStage, startWelcome]) start();

/* Pictures that the server draws whole. Where there is no new one, the last plane stays; a fold
   that cannot be made is drawn where it fails. */
on('answer', ({ numbers, pictures }) => {
  if ((numbers || pictures.table) && !isFolding()) picture($('table-picture'), pictures.table, t(`table.alt.${numbers ? store.show : 'fails'}`));
  if (numbers) picture($('edge-picture'), pictures.edge, t('edge.title'));
});
for (const button of document.querySelectorAll('[data-show]')) {
  button.addEventListener('click', () => {
    for (const other of document.querySelectorAll('[data-show]')) other.setAttribute('aria-pressed', other === button);
    setShow(button.dataset.show);
  });
}
// A step is looked at folded; the sheet shows the creases of all steps.
on('step', (step) => { if (step !== null && store.show === 'sheet' && !isFolding()) document.querySelector('[data-show=folded]').click(); });

/* Undo and redo, also from the keyboard; inside the text they undo typing in steps of the page. */
$('undo').addEventListener('click', undo);
$('redo').addEventListener('click', redo);
addEventListener('keydown', (e) => {
  if (!(e.ctrlKey || e.metaKey) || e.altKey || document.querySelector('dialog[open]')) return;
  const key = e.key.toLowerCase();
  if (key === 'z' || key === 'y') {
    e.preventDefault();
    if (key === 'y' || e.shiftKey) redo(); else undo();
  }
});

/* On a narrow page the tools that are not needed all the time wait behind a button. */
$('more').addEventListener('click', () => $('more').setAttribute('aria-expanded', $('more').getAttribute('aria-expanded') !== 'true'));

/* Units and colours. */
const showUnits = () => {
  $('units').textContent = t(units.isInch() ? 'top.units.inch' : 'top.units');
  $('units').setAttribute('aria-label', t('top.units.say', { unit: t(units.isInch() ? 'top.units.inch' : 'top.units') }));
};
$('units').addEventListener('click', () => { units.setInch(!units.isInch()); showUnits(); emit('units'); if (store.good) emit('answer', store.answer); });
showUnits();

const themes = ['auto', 'light', 'dark'];
const showTheme = () => {
  const theme = localStorage.getItem('theme') ?? 'auto';
  if (theme === 'auto') delete document.documentElement.dataset.theme; else document.documentElement.dataset.theme = theme;
  $('theme').title = t('top.theme.say', { theme: t(`theme.${theme}`) });
};
$('theme').addEventListener('click', () => {
  const at = themes.indexOf(localStorage.getItem('theme') ?? 'auto');
  localStorage.setItem('theme', themes[(at + 1) % 3]);
  showTheme();
});
showTheme();

startBalance();
begin().catch((error) => emit('refused', error.message));
