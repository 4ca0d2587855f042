import assert from 'node:assert/strict';
import test from 'node:test';
import { browser, fresh } from './page.mjs';

async function shelf() {
  const kept = browser();
  const { shelved } = await fresh('shelf.js');
  const carried = [];
  const work = async (path, { body }) => { carried.push([path, JSON.parse(body)]); return Response.json({ book: '{"notebook":1}', throws: [] }); };
  const ask = async (path, question) => {
    const answer = await shelved(path, { body: question && JSON.stringify(question) }, work);
    return answer && [answer.status, await answer.json()];
  };
  return { ask, carried, kept };
}

test('a design is kept, read again, and never written over by one who has not seen it', async () => {
  const { ask } = await shelf();
  const [, one] = await ask('/api/save', { name: 'a.plane', text: 'plane A', version: null });
  assert.deepEqual(await ask('/api/file?name=a.plane'), [200, one]);
  assert.deepEqual(await ask('/api/version?name=a.plane'), [200, { version: one.version }]);
  const [status, refused] = await ask('/api/save', { name: 'a.plane', text: 'plane B', version: null });
  assert.equal(status, 409);
  assert.deepEqual(refused.now, one);
  const [, two] = await ask('/api/save', { name: 'a.plane', text: 'plane B', version: one.version });
  assert.notEqual(two.version, one.version);
  // The version of one file is not that of another with the same text.
  const [, other] = await ask('/api/save', { name: 'b.plane', text: 'plane B', version: null });
  assert.notEqual(other.version, two.version);
});

test('names that are no file are refused, missing files are missing', async () => {
  const { ask } = await shelf();
  for (const name of ['', '.plane', 'a', '../a.plane', 'a/b.plane', 'a:b.plane', 'a\nb.plane']) {
    assert.equal((await ask('/api/save', { name, text: '', version: null }))[0], 400, name);
  }
  assert.equal((await ask('/api/file?name=none.plane'))[0], 404);
  assert.deepEqual(await ask('/api/version?name=none.plane'), [200, { version: null }]);
});

test('the notebook goes along with a question and comes back with its answer', async () => {
  const { ask, carried, kept } = await shelf();
  await ask('/api/notebook', { look: {} });
  await ask('/api/notebook', { throw: { plane: 'A' } });
  assert.deepEqual(carried.map(([path, { book, question }]) => [path, book, question]),
    [['/api/notebook', null, { look: {} }], ['/api/notebook', '{"notebook":1}', { throw: { plane: 'A' } }]]);
  assert.equal(kept.get('plumbfold-notebook'), '{"notebook":1}');
});

test('designs kept here are listed by the science; other questions are not answered here', async () => {
  const { ask, carried } = await shelf();
  await ask('/api/save', { name: 'a.plane', text: 'plane A', version: null });
  await ask('/api/designs');
  assert.deepEqual(carried[0][1].files, [{ name: 'a.plane', text: 'plane A' }]);
  assert.equal(await ask('/api/analyse', {}), null);
});
