import assert from 'node:assert/strict';
import test from 'node:test';
import { fresh } from './page.mjs';

/** Questions under way, to be answered or refused by the test. */
function desk() {
  const open = [];
  const ask = (question, signal) => new Promise((answer, refuse) => {
    signal.addEventListener('abort', () => refuse(Object.assign(new Error(), { name: 'AbortError' })));
    open.push({ question, answer, refuse });
  });
  return { open, ask };
}
const turn = () => new Promise((done) => { setTimeout(done); });

async function latest() {
  const { Latest } = await fresh('api.js');
  const { open, ask } = desk();
  const answered = [];
  const failed = [];
  const queue = new Latest(ask, (a, q, old) => answered.push([a, q.n, old]), (e) => failed.push(e.message));
  return { queue, open, answered, failed };
}

test('of the questions that wait only the newest is asked', async () => {
  const { queue, open, answered } = await latest();
  for (const n of [1, 2, 3]) queue.put({ n });
  assert.deepEqual(open.map((o) => o.question.n), [1]);
  open[0].answer('a');
  await turn();
  assert.deepEqual(open.map((o) => o.question.n), [1, 3]);
  open[1].answer('b');
  await turn();
  assert.deepEqual(answered, [['a', 1, true], ['b', 3, false]]);
  assert.ok(queue.idle);
});

test('a long question is given up for a newer one, without a word', async () => {
  const { queue, open, answered, failed } = await latest();
  queue.put({ n: 1, patient: true });
  queue.put({ n: 2 });
  await turn();
  open[1].answer('b');
  await turn();
  assert.deepEqual([answered, failed], [[['b', 2, false]], []]);
});

test('after a failure the next question is asked', async () => {
  const { queue, open, answered, failed } = await latest();
  queue.put({ n: 1 });
  open[0].refuse(new Error('no server'));
  await turn();
  queue.put({ n: 2 });
  open[1].answer('b');
  await turn();
  assert.deepEqual([answered, failed], [[['b', 2, false]], ['no server']]);
});

test('a refusal carries its status, its message and what else was said', async () => {
  const { post } = await fresh('api.js');
  globalThis.fetch = async () => Response.json({ message: 'taken', version: 3 }, { status: 409 });
  await assert.rejects(post('/x', {}), { status: 409, message: 'taken', body: { message: 'taken', version: 3 } });
  globalThis.fetch = async () => new Response('gone', { status: 404 });
  await assert.rejects(post('/x', {}), { status: 404, message: 'gone' });
});
