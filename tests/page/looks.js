// Accessibility, widths, paper, and whether the markup is sound.
'use strict';
const assert = require('assert');
const fs = require('fs');
const { spawnSync } = require('child_process');
const { choose, change, keyed } = require('./bench.js');

const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const WIDTHS = [360, 768, 1280];

async function unfold(page) {
  await page.evaluate(() => document.querySelectorAll('details').forEach((fold) => { fold.open = true; }));
  await page.waitForFunction(() => document.querySelectorAll('.busy').length === 0);
}

async function serious(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
  assert(found.passes.length > 10, 'the rules were run');
  return found.violations.filter((one) => one.impact === 'serious' || one.impact === 'critical')
    .map((one) => one.id + ': ' + one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160) + ' ' + node.failureSummary).join(' | '));
}

const tests = {};

tests['no serious finding, folded and unfolded, at any width, light and dark'] = async (bench) => {
  const page = await bench.open();
  for (const unfolded of [false, true]) {
    if (unfolded) {
      await unfold(page);
      await page.locator('#row-list button').first().click();
    }
    for (const width of WIDTHS) {
      for (const colorScheme of ['light', 'dark']) {
        await page.setViewportSize({ width, height: 800 });
        await page.emulateMedia({ colorScheme });
        assert.deepStrictEqual(await serious(page), [], width + ' ' + colorScheme);
      }
    }
  }
};

tests['the finder of findings bites'] = async (bench) => {
  const page = await bench.open();
  await page.evaluate(() => document.querySelector('main').append(make('button', {}), make('p', { style: 'color: #bbb' }, 'pale')));
  const found = await serious(page);
  assert(found.some((one) => one.startsWith('button-name')) && (await page.evaluate(() => matchMedia('(prefers-color-scheme: dark)').matches) ||
    found.some((one) => one.startsWith('color-contrast'))), String(found));
};

tests['no serious finding with a fault, with turn-downs, in a new job'] = async (bench) => {
  const page = await bench.open({ width: 360 });
  await change(page, () => page.fill(keyed('part.thickness'), 'thick'));
  assert.deepStrictEqual(await serious(page), []);
  await choose(page, 'clock-dial.ini');
  assert.deepStrictEqual(await serious(page), []);
  await change(page, () => page.click('#new'));
  assert.deepStrictEqual(await serious(page), []);
};

// How far anything reaches beyond the page, and what does.
const beyond = (page) => page.evaluate(() => {
  const room = document.documentElement.clientWidth;
  const over = [...document.querySelectorAll('main *, #rows *, header *')].filter((e) => !e.closest('.unseen, iframe, svg, thead') && e.getClientRects().length > 0 &&
    e.getBoundingClientRect().right > room + 1 && getComputedStyle(e).position !== 'absolute');
  return [document.documentElement.scrollWidth - room, ...over.slice(0, 3).map((e) => e.outerHTML.slice(0, 120))];
});

tests['no sideways scrolling at any width'] = async (bench) => {
  const page = await bench.open();
  await unfold(page);
  for (const width of WIDTHS.concat(320, 1000)) {
    await page.setViewportSize({ width, height: 740 });
    assert.deepStrictEqual(await beyond(page), [0], String(width));
  }
  await choose(page, 'washers.ini');
  await page.setViewportSize({ width: 360, height: 740 });
  assert.deepStrictEqual(await beyond(page), [0]);
};

tests['what is tapped is at least 44 px'] = async (bench) => {
  const page = await bench.open({ width: 360, height: 740 });
  await unfold(page);
  const small = await page.evaluate(() => {
    const targets = [...document.querySelectorAll('button, select, summary, input, a, textarea')].map((e) =>
      (/^(radio|checkbox|file)$/.test(e.type) ? e.closest('label') : e));
    return targets.filter((e) => e.getClientRects().length > 0 && !e.matches('.skip'))
      .filter((e) => e.getBoundingClientRect().height < 43.9 || e.getBoundingClientRect().width < 43.9)
      .map((e) => e.outerHTML.slice(0, 100));
  });
  assert.deepStrictEqual(small, []);
};

tests['the bar with the verdict stands at the foot of a phone'] = async (bench) => {
  const page = await bench.open({ width: 360, height: 740 });
  const box = await page.locator('#bar').boundingBox();
  assert(Math.abs(box.y + box.height - 740) < 1 && box.width === 360, JSON.stringify(box));
  assert.match(await page.innerText('#bar'), /^HOLDS: hold factor/);
  await page.click('#bar');
  await page.waitForFunction(() => document.getElementById('verdict').getBoundingClientRect().top < 200);
};

tests['on paper: the answer and the job, no buttons'] = async (bench) => {
  const page = await bench.open();
  await choose(page, 'clock-dial.ini');
  await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
  await page.emulateMedia({ media: 'print' });
  assert.strictEqual(await page.isVisible('#verdict .word'), true);
  assert.strictEqual(await page.isVisible('#findings'), true);
  assert((await page.innerText('#on-paper')).includes('[cut.1]'));
  const shown = await page.evaluate(() => [...document.querySelectorAll('button, input, select, textarea, #bar')].filter((e) => e.getClientRects().length > 0).length);
  assert.strictEqual(shown, 0);
  const pdf = await page.pdf({ format: 'A4' });
  const pages = (pdf.toString('latin1').match(/\/Type\s*\/Page\b/g) || []).length;
  assert(pages >= 1 && pages <= 3, pages + ' pages');
};

function tidy(html) {
  const done = spawnSync('tidy', ['-q', '-e', '--show-info', 'no', '--drop-empty-elements', 'no', '--warn-proprietary-attributes', 'yes'], { input: html, encoding: 'utf8' });
  assert(done.status !== null, 'tidy could not be run');
  return done.stderr.split('\n').filter((line) => line !== '');
}

// What the validator does not know although the standard has it.
const KNOWN = /attribute "(autocapitalize|autocomplete|sandbox)"|<svg> is not recognized/;

tests['the markup is sound, as it is made and as it lives'] = async (bench) => {
  assert.deepStrictEqual(tidy(bench.source).filter((line) => !KNOWN.test(line)), []);
  assert(tidy('<!DOCTYPE html><html lang="en"><title>x</title><p><div></p><b>').length > 0, 'the validator bites');
  const page = await bench.open();
  await unfold(page);
  const living = '<!DOCTYPE html>' + await page.evaluate(() => {
    document.querySelectorAll('svg').forEach((svg) => svg.remove());
    return document.documentElement.outerHTML;
  });
  assert.deepStrictEqual(tidy(living).filter((line) => !KNOWN.test(line)), []);
};

tests['every id is there once and labels lead somewhere'] = async (bench) => {
  const page = await bench.open();
  await unfold(page);
  const wrong = await page.evaluate(() => {
    const ids = [...document.querySelectorAll('[id]')].map((e) => e.id);
    const twice = ids.filter((id, i) => ids.indexOf(id) !== i);
    const lost = [...document.querySelectorAll('[for], [aria-labelledby], [aria-describedby], [list]')].flatMap((e) =>
      ['for', 'aria-labelledby', 'aria-describedby', 'list'].map((name) => (e.getAttribute(name) || '').split(' ')).flat().filter((id) => id && !document.getElementById(id)));
    const keys = [...document.querySelectorAll('[data-key]')].map((e) => e.dataset.key);
    return [...twice, ...lost, ...keys.filter((key, i) => keys.indexOf(key) !== i)];
  });
  assert.deepStrictEqual(wrong, []);
};

module.exports = tests;
