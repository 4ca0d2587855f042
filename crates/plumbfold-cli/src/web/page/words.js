// Small helps with words.

/** A heading's first letter made small, to stand inside a sentence. */
export const lower = (words) => words.charAt(0).toLowerCase() + words.slice(1);

/** With a capital first letter and a full stop. */
export const sentence = (words) => (words
  ? words.charAt(0).toUpperCase() + words.slice(1).replace(/`([^`]+)`/g, '“$1”') + (/[.!?]$/.test(words) ? '' : '.') : '');
