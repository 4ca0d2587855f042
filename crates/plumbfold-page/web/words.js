// Small helps with words.

import { t } from './strings.js';

/** A heading's first letter made small, to stand inside a sentence. */
export const lower = (words) => words.charAt(0).toLowerCase() + words.slice(1);

/** With a capital first letter and a full stop. */
export const sentence = (words) => (words
  ? words.charAt(0).toUpperCase() + words.slice(1).replace(/`([^`]+)`/g, '“$1”') + (/[.!?]$/.test(words) ? '' : '.') : '');

/** Above this share a thing is said to happen nearly always, below the rest hardly ever. */
const NEARLY = 0.95;

/** How often something happens, as the reports say it: no share is told as certain. */
export const often = (share) => {
  if (share > NEARLY) return t('often.always');
  return share < 1 - NEARLY ? t('often.never') : t('often.share', { percent: Math.round(share * 100) });
};

/** What a plane does inside a sentence. */
export const does = (behaviour) => lower(t(`behaviour.${behaviour}`));

/** What is said first of a verdict: the likeliest of its flights; before they are counted, what
 *  the one thrown exactly so does. */
export function headline({ behaviour, or, probability }) {
  if (!probability) return t('verdict.exactly', { behaviour: does(behaviour) });
  if (or) return t('verdict.edge', { behaviour: does(behaviour), other: does(or) });
  return probability[behaviour] > NEARLY ? t('verdict.always', { behaviour: does(behaviour) }) : t(`behaviour.${behaviour}`);
}
