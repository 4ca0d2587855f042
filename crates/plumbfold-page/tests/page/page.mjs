// What the browser gives the page, as little of it as its pure modules need, and the modules
// themselves. Each call loads them anew, so that no test sees what another has set.

import { register } from 'node:module';

// The page's modules end in `.js` and stand in no package; without this, older nodes take them for
// the older kind of module.
register(`data:text/javascript,${encodeURIComponent(`
  export const load = (url, context, next) =>
    next(url, url.includes('/plumbfold-page/web/') ? { ...context, format: 'module' } : context);
`)}`);

const PAGE = new URL('../../web/', import.meta.url);
let loads = 0;

export function browser({ units } = {}) {
  const kept = new Map(units ? [['units', units]] : []);
  globalThis.localStorage = {
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => kept.set(key, String(value)),
  };
  globalThis.window = {};
  globalThis.requestAnimationFrame = (act) => act();
  return kept;
}

/** The module of a file, not seen before. */
export const fresh = (file) => {
  loads += 1;
  return import(`${new URL(file, PAGE)}?load=${loads}`);
};
