// The switch between inch and metric.
'use strict';
const assert = require('assert');
const fs = require('fs');
const { change, choose, answer, jobText, keyed, differences } = require('./bench.js');

async function there(page, to) {
  await change(page, () => page.check('[name=units][value=' + to + ']'));
}

const tests = {};

fs.readdirSync('examples').filter((name) => name.endsWith('.ini')).forEach((name) => {
  tests['there and back: ' + name] = async (bench) => {
    const page = await bench.open();
    await choose(page, name);
    const text = await jobText(page);
    const first = await answer(page);
    const from = /^units *= *(\w+)/m.exec(text)[1];
    const to = from === 'mm' ? 'inch' : 'mm';
    await there(page, to);
    assert.match(await jobText(page), new RegExp('^units = ' + to + '$', 'm'));
    const between = await answer(page);
    assert.strictEqual(between.verdict, first.verdict);
    // as many digits as leave passes and limits alone
    assert(Math.abs(between.hold_factor - first.hold_factor) <= 0.005 * first.hold_factor, between.hold_factor + ', ' + first.hold_factor);
    const long = (await jobText(page)).split('\n').filter((line) => !/^#/.test(line) && (line.match(/\d[\d.]*/g) || []).some((n) => n.replace(/\D/g, '').replace(/^0+/, '').length > 7));
    assert.deepStrictEqual(long, [], 'no number has more than seven digits: passes that just fill a depth need that many');
    await there(page, from);
    assert.strictEqual(await jobText(page), text);
    assert.deepStrictEqual(differences(await answer(page), first), []);
  };
});

tests['what is typed is converted'] = async (bench) => {
  const page = await bench.open();
  await change(page, () => page.fill(keyed('part.thickness'), '2.54'));
  await there(page, 'inch');
  assert.strictEqual(await page.inputValue(keyed('part.thickness')), '0.1');
  await change(page, () => page.fill(keyed('part.thickness'), '3/32'));
  await there(page, 'mm');
  assert.strictEqual(await page.inputValue(keyed('part.thickness')), '2.38125');
  await there(page, 'inch');
  assert.strictEqual(await page.inputValue(keyed('part.thickness')), '3/32');
};

// What an earlier session converted and kept comes back in the digits in which it was typed.
tests['back and forth without what was typed'] = async (bench) => {
  const page = await bench.open();
  for (const text of ['0.3', '160', '2.35', '0.05', '1.6', '12.345']) {
    await change(page, () => page.fill(keyed('part.length'), text));
    await there(page, 'inch');
    await page.evaluate(() => typed.clear());
    await there(page, 'mm');
    assert.strictEqual(await page.inputValue(keyed('part.length')), text);
    await page.evaluate(() => typed.clear());
  }
};

tests['bare numbers say what they are read in'] = async (bench) => {
  const page = await bench.open();
  const beside = (place) => page.locator(keyed(place) + ' + .unit').innerText();
  assert.strictEqual(await beside('part.length'), 'mm');
  await change(page, () => page.fill(keyed('part.length'), '160 mm'));
  assert.strictEqual(await beside('part.length'), '');
  await there(page, 'inch');
  assert.strictEqual(await beside('part.width'), 'in');
};

module.exports = tests;
