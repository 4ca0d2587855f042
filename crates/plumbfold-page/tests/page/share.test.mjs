import assert from 'node:assert/strict';
import test from 'node:test';
import { browser, fresh } from './page.mjs';

const open = async () => { browser(); return fresh('share.js'); };

test('a text comes back from its link as it was, and the link is shorter', async () => {
  const { link, shared } = await open();
  const text = `plane Möwe ✈\n${'valley top edge onto bottom edge\n'.repeat(40)}`;
  const address = await link(text, 'http://127.0.0.1/');
  assert.ok(address.length < text.length / 4, `${address.length} of ${text.length}`);
  assert.match(address, /^http:\/\/127\.0\.0\.1\/#plane=[\w-]+$/);
  assert.equal(await shared(new URL(address).hash), text);
});

test('what is no link, is broken or unpacks to too much gives nothing', async () => {
  const { link, shared } = await open();
  for (const hash of ['', '#', '#hall', '#plane=', '#plane=%%%', '#plane=AAAA']) assert.equal(await shared(hash) || null, null, hash);
  const large = await link('a'.repeat(300 * 1024), '');
  assert.ok(large.length < 1000);
  assert.equal(await shared(large), null);
});
