import assert from 'node:assert/strict';
import test from 'node:test';
import { browser, fresh } from './page.mjs';

/** A store over a server that is played by `answer`. */
async function open(answer = ({ text }) => ({ text, numbers: {} })) {
  browser();
  globalThis.fetch = async (_, { body }) => Response.json(await answer(JSON.parse(body)));
  return fresh('store.js');
}
// Long enough for the played server to answer on a machine that is busy with other tests.
const settled = () => new Promise((done) => { setTimeout(done, 250); });

test('each text typed is one thing to undo, and can be done again', async () => {
  const { store, setText, undo, redo } = await open();
  setText('one', { ask: false });
  setText('two', { ask: false });
  setText('two', { ask: false });
  assert.deepEqual(store.undo, ['', 'one']);
  undo();
  assert.equal(store.text, 'one');
  redo();
  assert.equal(store.text, 'two');
  redo();
  assert.equal(store.text, 'two');
  undo();
  setText('three', { ask: false });
  assert.deepEqual(store.redo, [], 'a new text ends what could be done again');
  await settled();
});

test('a drag is one thing to undo, one that moved nothing is none', async () => {
  const { store, setText, beginGesture, endGesture, change, baseText } = await open(
    ({ text, change: what }) => ({ text: what ? `${text}+${what}` : text, numbers: {} }),
  );
  setText('base', { ask: false });
  beginGesture();
  for (const move of ['a', 'b', 'c']) {
    change(move, { base: baseText() });
    await settled();
  }
  endGesture();
  await settled();
  assert.equal(store.text, 'base+c', 'each move changes the text at the start of the drag');
  assert.deepEqual(store.undo, ['', 'base']);
  beginGesture();
  endGesture();
  assert.deepEqual(store.undo, ['', 'base']);
});

test('an answer to a text that has been typed over is not taken', async () => {
  let release;
  const held = new Promise((done) => { release = done; });
  const { store, setText, change } = await open(async ({ text }) => {
    await held;
    return { text: `${text} as changed`, numbers: {} };
  });
  setText('mine', { ask: false });
  change('something');
  setText('mine, and more', { ask: false });
  release();
  await settled();
  assert.equal(store.text, 'mine, and more');
});

test('the newest good answer outlives a mistake', async () => {
  const { store, setText } = await open(({ text }) => (text === 'bad' ? { text } : { text, numbers: { of: text } }));
  setText('good');
  await settled();
  setText('bad');
  await settled();
  assert.equal(store.answer.text, 'bad');
  assert.deepEqual(store.good.numbers, { of: 'good' });
});

test('a text can be undone three hundred times', async () => {
  const { store, setText } = await open();
  for (let i = 0; i < 400; i += 1) setText(`text ${i}`, { ask: false });
  assert.equal(store.undo.length, 300);
  assert.equal(store.undo.at(-1), 'text 398');
});
