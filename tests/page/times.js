// What a change costs, on every example: no part of the run of all, as it says little on a machine that is busy with others.
//   node tests/page/main.js PROGRAM PAGE times
'use strict';
const assert = require('assert');
const fs = require('fs');
const os = require('os');
const { used } = require('./bench.js');

const CHANGES = 20;

// Press a button of the page by its own thread; ms until the first look and the verdict stand there. What to turn down comes later.
const PRESS = async (name) => {
  const look = document.documentElement;
  const begun = performance.now();
  const seen = (key) => new Promise((done) => {
    const watch = new MutationObserver(() => {
      if (look.dataset[key] === String(round)) {
        watch.disconnect();
        done(performance.now() - begun);
      }
    });
    watch.observe(look, { attributes: true });
  });
  const all = ['looked', 'judged'].map(seen);
  if (name === 'edge') { // a job of pushes alone has nothing to step
    setKey('hold', 'coverage', job.get('hold', 'coverage') === '0.9' ? '0.8' : '0.9');
  } else {
    document.querySelector('[data-key="' + name + '"]').click();
  }
  return Promise.all(all);
};

const middle = (times) => [...times].sort((a, b) => a - b)[Math.floor(times.length / 2)].toFixed(0);
const worst = (times) => Math.max(...times).toFixed(0);
const spread = (times) => 'median ' + middle(times) + ', worst ' + worst(times);

// One question after another to a thread of the core, the job a little different each time.
async function asked(page, thread, what, texts) {
  const out = [];
  for (const text of texts) {
    const before = used('DedicatedWorker');
    await page.evaluate(([t, w, j]) => ({ quick, slow })[t].ask(w, j, false).then(() => 0), [thread, what, text]);
    out.push(used('DedicatedWorker') - before);
  }
  return out;
}

const tests = {};

fs.readdirSync('examples').filter((name) => name.endsWith('.ini')).forEach((name) => {
  tests[name] = async (bench) => {
    const page = await bench.open();
    await page.evaluate((n) => openExample(n), name);
    await page.waitForFunction(() => document.documentElement.dataset.judged === String(round));
    const [button] = await page.evaluate(() => [...document.querySelectorAll('[data-key]:not(:disabled)')].map((e) => e.dataset.key)
      .filter((key) => / less$/.test(key) && /axial|speed|radial/.test(key)).concat('edge'));
    const times = [];
    const texts = [];
    for (let i = 0; i < CHANGES; i++) {
      times.push(await page.evaluate(PRESS, i % 2 === 0 ? button : button.replace(/less$/, 'more')));
      texts.push(await page.evaluate(() => job.text()));
    }
    assert.strictEqual(times.length, CHANGES);
    const of = (n) => spread(times.map((t) => t[n]));
    console.log(name + ' (' + button.replace(/ less$/, '') + ', load ' + os.loadavg()[0].toFixed(1) + '), ms: first look ' + of(0) + '; verdict ' + of(1));
    console.log('  of processor: first look ' + spread(await asked(page, 'quick', 'rigid', texts)) + '; verdict ' + spread(await asked(page, 'slow', 'verdict', texts)));
  };
});

module.exports = tests;
