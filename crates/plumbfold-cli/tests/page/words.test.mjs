import assert from 'node:assert/strict';
import test from 'node:test';
import { fresh } from './page.mjs';

test('a heading inside a sentence starts small', async () => {
  const { lower } = await fresh('words.js');
  assert.equal(lower('Climbs and stalls'), 'climbs and stalls');
  assert.equal(lower(''), '');
});

test('a sentence starts large, ends with one stop and quotes what is typed', async () => {
  const { sentence } = await fresh('words.js');
  assert.equal(sentence('try `keel = 20 mm`'), 'Try “keel = 20 mm”.');
  assert.equal(sentence('does it glide?'), 'Does it glide?');
  assert.equal(sentence('it glides.'), 'It glides.');
  assert.equal(sentence(''), '');
  assert.equal(sentence(undefined), '');
});
