// Printing the page gives the card that the program writes.
'use strict';
const assert = require('assert');
const fs = require('fs');
const path = require('path');
const { spawnSync } = require('child_process');
const { change, choose, keyed } = require('./bench.js');

const ready = (page) => page.waitForFunction(() => document.documentElement.dataset.carded === String(round), null, { timeout: 180000 });

const pages = (pdf) => (pdf.toString('latin1').match(/\/Type\s*\/Page\b/g) || []).length;

// The card's words as they lie ready, one line a piece of text.
const laidOut = (page) => page.evaluate(() => {
  const host = document.getElementById('paper');
  host.style.display = 'block';
  const text = host.shadowRoot.querySelector('body').innerText;
  host.style.display = '';
  return text;
});

// The program's card, its words, and how many sheets it prints on.
async function byProgram(bench, page, name) {
  const where = path.join(bench.folder, name + '.html');
  const done = spawnSync(bench.program, ['card', '--no-shop', path.join('examples', name), '-o', where], { encoding: 'utf8' });
  assert(done.status === 0, done.stderr);
  const other = await page.context().newPage();
  await other.setContent(fs.readFileSync(where, 'utf8'));
  const text = await other.innerText('body');
  const sheets = pages(await other.pdf({ format: 'A4' }));
  await other.close();
  return { text, sheets };
}

// Words that speak of the command line stand on the program's card alone.
const plain = (text) => text.replace(/--set /g, '').replace(/: tackhold check --all/g, ', on screen').replace(/tackhold limits/g, 'its limits').replace(/\s+/g, ' ').trim();

const tests = {};

['front-panel.ini', 'clock-dial.ini', 'bracket.ini', 'knife-scale-push.ini'].forEach((name) => {
  tests['the card of ' + name + ' as the program writes it, and nothing else'] = async (bench) => {
    const page = await bench.open({ width: name === 'bracket.ini' ? 360 : 1280 });
    await page.evaluate((n) => openExample(n), name);
    await ready(page);
    const wanted = await byProgram(bench, page, name);
    assert(wanted.text.length > 1500);
    assert.strictEqual(plain(await laidOut(page)), plain(wanted.text));
    assert.strictEqual(await page.isVisible('#paper'), false, 'it is for paper alone');
    const pdf = await page.pdf({ format: 'A4' });
    assert.strictEqual(pages(pdf), wanted.sheets);
    await page.emulateMedia({ media: 'print' });
    const seen = await page.evaluate(() => [...document.body.children].filter((e) => e.getClientRects().length > 0).map((e) => e.id));
    assert.deepStrictEqual(seen, ['paper']);
    const pictures = await page.evaluate(() => [...document.getElementById('paper').shadowRoot.querySelectorAll('svg')].filter((e) => e.getBoundingClientRect().width > 20).length);
    assert(pictures >= 2, String(pictures));
  };
});

tests['a card is not printed for a job that has changed since'] = async (bench) => {
  const page = await bench.open();
  await ready(page);
  await page.fill(keyed('part.thickness'), 'thick');
  await page.waitForFunction(() => !document.getElementById('fault').hidden);
  await page.emulateMedia({ media: 'print' });
  assert.strictEqual(await page.isVisible('#paper'), false);
  assert.strictEqual(await page.isVisible('#verdict'), true);
  await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
  assert.match(await page.innerText('#no-card'), /not the card: there is none before the job can be judged/);
  await page.emulateMedia({ media: null });
  await page.fill(keyed('part.thickness'), '2.5');
  await ready(page);
  assert((await laidOut(page)).includes('2.5 mm'));
};

tests['the keys for printing wait for the card'] = async (bench) => {
  const page = await bench.open();
  await page.evaluate(() => { window.printed = []; window.print = () => window.printed.push(document.body.classList.contains('carded')); });
  await choose(page, 'cover-plate.ini');
  await page.keyboard.press('Control+p');
  await page.waitForFunction(() => window.printed.length > 0);
  assert.deepStrictEqual(await page.evaluate(() => window.printed), [true]);
  assert.strictEqual(await page.isVisible('#printing'), false);
};

tests['a title is text on the card too'] = async (bench) => {
  const page = await bench.open();
  await change(page, () => page.fill(keyed('job.title'), '<img src=x onerror=alert(1)><b>bold</b>'));
  await ready(page);
  assert((await laidOut(page)).includes('<img src=x onerror=alert(1)><b>bold</b>'));
  assert.strictEqual(await page.evaluate(() => document.getElementById('paper').shadowRoot.querySelectorAll('img, script, h1 b').length), 0);
};

tests['another width of the window asks anew, paper does not'] = async (bench) => {
  const page = await bench.open({ width: 1000 });
  const before = await page.evaluate(() => round);
  await page.emulateMedia({ media: 'print' });
  await page.pdf({ format: 'A4' });
  await page.emulateMedia({ media: null });
  await page.waitForTimeout(300);
  assert.strictEqual(await page.evaluate(() => round), before);
  await change(page, () => page.setViewportSize({ width: 1400, height: 800 }));
};

module.exports = tests;
