import assert from 'node:assert/strict';
import test from 'node:test';
import { browser, fresh } from './page.mjs';

/** A made-up language: every vowel twice. What the page fills in stays as it is. */
const doubled = (words) => words.split(/(\{\w+\})/).map((part) => (part.startsWith('{') ? part : part.replace(/[aeiou]/gi, '$&$&'))).join('');

test('the headline is the likeliest, names the edge, and never claims to be certain', async () => {
  browser();
  const { headline, often } = await fresh('words.js');
  const odds = (glides) => ({ glides, dives: 1 - glides });
  assert.equal(headline({ behaviour: 'glides', or: null, probability: odds(0.8) }), 'Glides');
  assert.equal(headline({ behaviour: 'glides', or: null, probability: odds(0.99) }), 'Nearly always glides');
  assert.equal(headline({ behaviour: 'dives', or: 'glides', probability: odds(0.4) }), 'On an edge: dives or glides');
  assert.equal(headline({ behaviour: 'glides', probability: null }), 'Thrown exactly so it glides');
  assert.deepEqual([1, 0.73, 0].map(often), ['nearly always', '73 %', 'hardly ever']);
});

test('another language needs no other code', async () => {
  browser();
  const words = await fresh('words.js');
  const { strings } = await import(new URL('../../web/strings.js', import.meta.url));
  const before = { ...strings };
  for (const key of Object.keys(strings)) strings[key] = doubled(strings[key]);
  try {
    assert.equal(words.headline({ behaviour: 'stalls', or: 'glides', probability: { stalls: 0.5, glides: 0.5 } }),
      'OOn aan eedgee: cliimbs aand staalls oor gliidees');
    assert.equal(words.often(0.99), 'neeaarly aalwaays');
    assert.equal(words.often(0.5), '50 %');
  } finally {
    Object.assign(strings, before);
  }
});
