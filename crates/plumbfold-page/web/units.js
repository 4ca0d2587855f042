// Lengths as people want to read them. The text keeps the units it was written in.

let inch = localStorage.getItem('units') === 'inch';

export const isInch = () => inch;
export function setInch(on) {
  inch = on;
  localStorage.setItem('units', on ? 'inch' : 'mm');
}

const number = (value, decimals) => {
  const text = value.toFixed(decimals);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text.replace('-', '−');
};

/** [number, unit] of a length in mm. */
export function length(mm, decimals = 1) {
  return inch ? [number(mm / 25.4, decimals + 1), 'in'] : [number(mm, decimals), 'mm'];
}
/** [number, unit] of a long length in m. */
export function far(m, decimals = 1) {
  return inch ? [number(m / 0.3048, decimals), 'ft'] : [number(m, decimals), 'm'];
}
/** [number, unit] of a speed in m/s. */
export function speed(v, decimals = 1) {
  return inch ? [number(v / 0.3048, decimals), 'ft/s'] : [number(v, decimals), 'm/s'];
}
/** [number, unit] of an area in mm2. */
export function area(mm2) {
  return inch ? [number(mm2 / 645.16, 1), 'in²'] : [number(mm2 / 100, 0), 'cm²'];
}
export function plain(value, decimals, unit = '') {
  return [number(value, decimals), unit];
}
/** Any control value by the unit of its text. */
export function ofUnit(value, unit, whole) {
  if (unit === 'mm') return length(value, 1);
  if (unit === 'm') return far(value, 2);
  if (unit === 'm/s') return speed(value, 1);
  if (unit === 'deg') return [number(value, 1), '°'];
  if (unit === 'g') return [number(value, 2), 'g'];
  return [number(value, whole ? 0 : 2), unit];
}
export const say = ([value, unit]) => (unit === '°' ? value + unit : `${value} ${unit}`.trim());

const INCH = { mm: ['in', 25.4], m: ['ft', 0.3048], 'm/s': ['ft/s', 0.3048] };
/** A value of a control as it is typed: a plain number in the units that are shown. */
export function typed(value, unit) {
  const [, size] = (inch && INCH[unit]) || [unit, 1];
  return String(Number((value / size).toFixed(3)));
}
/** What was typed, in the unit of the control; null for what is no number. A unit may follow. */
export function read(text, unit) {
  const [, number, said] = /^\s*([+\-−]?[\d.,]+)\s*([a-z/°"]*)\s*$/i.exec(text) ?? [];
  const value = Number((number ?? '').replace('−', '-').replace(',', '.') || NaN);
  if (!Number.isFinite(value)) return null;
  const [shown, size] = INCH[unit] ?? [];
  const other = said ? said === shown : inch && shown;
  return Number((other ? value * size : value).toFixed(4));
}

/** Lengths and speeds in a sentence, as people want to read them; `73 to 88 mm` is two of them. The
 *  program says them the same way: the tests of both read one list. */
export function inWords(words) {
  if (!inch) return words;
  const to = { mm: length, m: far, 'm/s': speed };
  const said = (value, unit) => {
    const [, sign, size] = /^([+\-−]?)(.*)$/.exec(value);
    const [number, other] = to[unit](Number(size), unit === 'mm' ? (size.split('.')[1] ?? '').length : 1);
    return [sign + number, other];
  };
  return words
    // How far for how much height is the same number in any unit.
    .replace(/\b1 m in ([\d.]+\d) m(?![\w/²])/g, '1 ft in $1 ft')
    .replace(/ m for each metre\b/g, ' ft for each foot')
    .replace(/(?:([+\-−]?\d+(?:\.\d+)?) (to|or|x|±) )?([+\-−]?\d+(?:\.\d+)?) (mm|m\/s|m)(?![\w/²])/g,
      (_, first, between, last, unit) => (first ? `${said(first, unit)[0]} ${between} ` : '') + say(said(last, unit)));
}

/** The same in every text of a picture. */
export function inPicture(drawn) {
  if (!inch) return;
  for (const node of drawn.querySelectorAll('text')) {
    if (!node.childElementCount) node.textContent = inWords(node.textContent);
  }
}
