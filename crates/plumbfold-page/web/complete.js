// What a word that is being typed may become: the words of the design text, and the names that this
// text has given. Pure: text and place in, words out.

/** Words by which lines begin. */
const LINES = ['plane', 'about', 'sheet', 'creep', 'let', 'crease', 'mark', 'valley', 'mountain', 'turn over', 'rotate', 'unfold', 'refold', 'roll', 'repeat', 'end', 'pose', 'trim', 'ballast', 'throw', 'outline', 'measured',
  'collapse', 'inside reverse', 'outside reverse', 'squash', 'petal', 'open sink', 'closed sink', 'pleat', 'crimp', 'swivel', 'rabbit ear', 'waterbomb base', 'preliminary base', 'tuck'];
/** What may follow, by the word the line begins with; steps of folding have those of `fold`. */
const FOLLOW = {
  sheet: ['upright', 'sideways', 'square', 'Letter', 'g/m2'],
  let: ['from', 'to'],
  fold: ['onto', 'through', 'along', 'parallel to', 'perpendicular to', 'hinged at', 'both sides', 'near half', 'far half', 'moving', 'call it', 'all layers', 'top layer', 'from it', 'back by',
    'left edge', 'right edge', 'top edge', 'bottom edge', 'top left corner', 'top right corner', 'bottom left corner', 'bottom right corner', 'top middle', 'bottom middle', 'left middle', 'right middle'],
  pose: ['opens', 'dihedral', 'wing', 'deg'],
  trim: ['elevator', 'left wing', 'right wing', 'rudder', 'up', 'down', 'left', 'right', 'deep'],
  ballast: ['clip', 'tape', 'staple', 'glue', 'at', 'behind nose', 'above keel'],
  throw: ['level', 'up', 'down', 'from', 'banked', 'm/s'],
  outline: ['mirrored'],
  measured: ['mass', 'balance', 'dihedral', 'keel'],
};
const MOST = 8;

/** Names that a text gives: its lets, marks, and creases called something. */
export function names(text) {
  const found = [...text.matchAll(/^[ \t]*(?:let|mark)[ \t]+([a-z]\w*)|call it[ \t]+([a-z]\w*)/gim)];
  return [...new Set(found.map((m) => m[1] ?? m[2]))];
}

/** `{from, words}`: where the word begins and what it may become; nothing in comments, after
 *  numbers, and where a new name is being given. */
export function completions(text, at) {
  const none = { from: at, words: [] };
  const line = text.slice(text.lastIndexOf('\n', at - 1) + 1, at);
  // In the middle of a word nothing is offered.
  if (line.includes('#') || /^\w/.test(text.slice(at)) || /^[ \t]*(plane|about)[ \t]/.test(line)) return none;
  if (/(call it|^[ \t]*(let|mark))[ \t]+\w*$/.test(line)) return none;
  const [begun] = /[A-Za-z]\w*$/.exec(line) ?? [''];
  if (!begun || /\d$/.test(line.slice(0, line.length - begun.length))) return none;
  const first = /^[ \t]*([a-z]+)/.exec(line)?.[1] ?? '';
  const starting = line.trim() === begun;
  const known = starting ? LINES : [...names(text.slice(0, at - begun.length) + text.slice(at)), ...(FOLLOW[first] ?? FOLLOW.fold)];
  const fits = (word) => word.length > begun.length && word.toLowerCase().startsWith(begun.toLowerCase());
  return { from: at - begun.length, words: [...new Set(known.filter(fits))].slice(0, MOST) };
}
