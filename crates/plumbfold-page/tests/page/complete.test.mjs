import assert from 'node:assert/strict';
import test from 'node:test';
import { browser, fresh } from './page.mjs';

const TEXT = 'plane T\nsheet A4 upright, 80 g/m2\nlet keel = 20 mm\nmark horn = 3 mm along left edge from top left corner\n'
  + 'crease left edge onto right edge, call it centre\n';

async function after(line, rest = '') {
  browser();
  const { completions } = await fresh('complete.js');
  const text = TEXT + line;
  const { from, words } = completions(text + rest, text.length);
  return [text.slice(from), words];
}

test('a line begins with a word of the language', async () => {
  assert.deepEqual(await after('mount'), ['mount', ['mountain']]);
  assert.deepEqual(await after('  va'), ['va', ['valley']]);
});

test('names that the text gives come first, then the words that fit the line', async () => {
  assert.deepEqual(await after('valley top left corner onto ce'), ['ce', ['centre']]);
  assert.deepEqual(await after('valley ho'), ['ho', ['horn']]);
  const [, words] = await after('valley near half parallel to centre, k');
  assert.deepEqual(words, ['keel']);
  assert.ok((await after('trim el'))[1].includes('elevator'));
});

test('nothing is offered in comments, in new names, after numbers and inside a word', async () => {
  for (const line of ['# mount', 'valley top edge onto centre, call it ce', 'let ke', 'trim elevator up 2 m', 'plane mo', 'about va', '']) {
    assert.deepEqual((await after(line))[1], [], line);
  }
  assert.deepEqual((await after('moun', 'tain along centre'))[1], []);
});

test('a word that stands there already is not offered again', async () => {
  assert.deepEqual((await after('mountain'))[1], []);
});
