import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';
import { browser, fresh } from './page.mjs';

const units = (kind) => { browser({ units: kind }); return fresh('units.js'); };

test('millimetres unless inches were chosen before', async () => {
  const u = await units();
  assert.equal(u.isInch(), false);
  assert.deepEqual(u.length(25.4), ['25.4', 'mm']);
  assert.deepEqual(u.far(1.25), ['1.3', 'm']);
  assert.deepEqual(u.speed(4.5), ['4.5', 'm/s']);
  assert.deepEqual(u.area(12345), ['123', 'cm²']);
});

// An inch is 25.4 mm and a foot 0.3048 m exactly (international yard and pound agreement, 1959).
test('inches and feet are the international ones', async () => {
  const u = await units('inch');
  assert.deepEqual(u.length(25.4), ['1.00', 'in']);
  assert.deepEqual(u.far(0.3048), ['1.0', 'ft']);
  assert.deepEqual(u.speed(3.048), ['10.0', 'ft/s']);
  assert.deepEqual(u.area(645.16), ['1.0', 'in²']);
});

test('the choice is kept', async () => {
  const kept = browser();
  const u = await fresh('units.js');
  u.setInch(true);
  assert.equal(kept.get('units'), 'inch');
  assert.equal(u.isInch(), true);
  u.setInch(false);
  assert.equal(kept.get('units'), 'mm');
});

test('a minus is a minus sign, and nothing is never negative', async () => {
  const u = await units();
  assert.deepEqual(u.length(-3.25), ['−3.3', 'mm']);
  assert.deepEqual(u.length(-0.04), ['0.0', 'mm']);
  assert.deepEqual(u.plain(-0.4, 0), ['0', '']);
});

test('a control shows its value in its own unit', async () => {
  const u = await units();
  assert.deepEqual(u.ofUnit(22, 'mm'), ['22.0', 'mm']);
  assert.deepEqual(u.ofUnit(1.6, 'm'), ['1.60', 'm']);
  assert.deepEqual(u.ofUnit(8, 'deg'), ['8.0', '°']);
  assert.deepEqual(u.ofUnit(0.9, 'g'), ['0.90', 'g']);
  assert.deepEqual(u.ofUnit(3, '', true), ['3', '']);
  assert.equal(u.say(u.ofUnit(8, 'deg')), '8.0°');
  assert.equal(u.say(u.ofUnit(3, '', true)), '3');
  assert.equal(u.say(u.length(1)), '1.0 mm');
});

test('lengths in a picture change their unit, other numbers do not', async () => {
  const drawn = (text) => ({ querySelectorAll: () => [{ childElementCount: 0, textContent: text }] });
  const said = async (kind, text) => {
    const u = await units(kind);
    const picture = drawn(text);
    const [node] = picture.querySelectorAll();
    u.inPicture({ querySelectorAll: () => [node] });
    return node.textContent;
  };
  assert.equal(await said('mm', '25.4 mm'), '25.4 mm');
  assert.equal(await said('inch', '25.4 mm behind the nose'), '1.00 in behind the nose');
  assert.equal(await said('inch', '3.048 m at 3.048 m/s'), '10.0 ft at 10.0 ft/s');
  assert.equal(await said('inch', '80 g/m²'), '80 g/m²');
});

test('sentences of the server are said as the program says them', async () => {
  const list = readFileSync(new URL('../../../../testdata/inches.tsv', import.meta.url), 'utf8');
  const pairs = list.trim().split('\n').map((line) => line.split('\t'));
  assert.ok(pairs.length > 8);
  const metric = await units();
  for (const [said] of pairs) assert.equal(metric.inWords(said), said);
  const other = await units('inch');
  for (const [said, wanted] of pairs) assert.equal(other.inWords(said), wanted);
});
