// The page and the program give the same answer, in every number to 1e-9 and in every word.
'use strict';
const assert = require('assert');
const fs = require('fs');
const { change, choose, answer, differences, count } = require('./bench.js');

const tests = {};

fs.readdirSync('examples').filter((name) => name.endsWith('.ini')).forEach((name) => {
  tests[name] = async (bench) => {
    const page = await bench.open();
    await choose(page, name);
    const mine = bench.check('examples/' + name);
    const own = await answer(page);
    assert.deepStrictEqual(differences(own, mine), []);
    assert(count(mine) > 40, 'an answer has numbers');
    console.log(name + ': ' + count(mine) + ' numbers equal');
  };
});

// The comparison itself must bite.
tests['a number that differs is seen'] = async () => {
  assert.strictEqual(differences({ a: [1, 2] }, { a: [1, 2 * (1 + 3e-9)] }).length, 1);
  assert.strictEqual(differences({ a: 'x' }, { a: 'y' }).length, 1);
  assert.strictEqual(differences({ a: 1 }, { a: 1, b: null }).length, 1);
  assert.strictEqual(differences({ a: 1 }, { a: null }).length, 1);
};

// Jobs of the tests of everyday practice, by the text field: slots, pockets, holes, coolants and plates of other kinds.
['daily-pocket-coolant.ini', 'daily-acrylic-holes.ini', 'tears-small-part.ini', 'daily-brass-outline.ini'].forEach((name) => {
  tests['everyday ' + name] = async (bench) => {
    const page = await bench.open();
    await change(page, () => page.evaluate((text) => openJob('job.ini', text), fs.readFileSync('tests/practice/' + name, 'utf8')));
    assert.deepStrictEqual(differences(await answer(page), bench.check('tests/practice/' + name)), []);
  };
});

module.exports = tests;
