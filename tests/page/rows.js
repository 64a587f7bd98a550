// Rows of one's own: added, used, kept, refused.
'use strict';
const assert = require('assert');
const { change, answer, jobText, keyed, differences } = require('./bench.js');

async function keep(page, table, text) {
  await page.evaluate(() => { document.getElementById('rows').open = true; document.getElementById('own').open = true; });
  await page.selectOption('#table', table);
  await page.fill('#own-text', text);
  await page.click('#own-keep');
  await page.waitForFunction(() => document.getElementById('own-said').textContent !== '');
  return page.innerText('#own-said');
}

const PLATE = ['[own-plate]', 'name = phenolic board of the shop', 'adhesion = 0.5', 'conductivity = 0.3 W/mK', 'density = 1400 kg/m3',
  'heat_capacity = 1500 J/kgK', 'source = invented for a test', 'trust = estimate', ''].join('\n');

module.exports = {
  'added, used in a job, kept over a reload': async (bench) => {
    const page = await bench.open();
    const before = (await answer(page)).hold_factor;
    assert.match(await keep(page, 'plate', PLATE), /^Kept/);
    await change(page, () => page.selectOption(keyed('hold.plate'), 'own-plate'));
    const now = await answer(page);
    assert(now.hold_factor < before);
    const folder = bench.folder + '/tables';
    require('fs').mkdirSync(folder);
    require('fs').writeFileSync(folder + '/plate.ini', PLATE);
    const where = bench.file('own.ini', await jobText(page));
    assert.deepStrictEqual(differences(now, bench.check(where, ['--tables', folder])), []);
    await page.reload();
    await page.waitForFunction(() => document.documentElement.dataset.settled === String(round) && shown !== null);
    assert.deepStrictEqual(differences(await answer(page), now), []);
    assert((await page.locator(keyed('hold.plate') + ' option[value=own-plate]').innerText()).includes('own row'));
  },

  'a wrong row is refused with its line, and what was kept stays': async (bench) => {
    const page = await bench.open();
    await keep(page, 'plate', PLATE);
    const said = await keep(page, 'plate', PLATE.replace('adhesion = 0.5', 'adhesion = much'));
    assert.match(said, /^Not kept\. Line 3: .*much/);
    assert.deepStrictEqual(await page.evaluate(() => JSON.parse(localStorage.getItem('tackhold.own'))[6]), PLATE);
    await change(page, () => page.selectOption(keyed('hold.plate'), 'own-plate'));
    assert.notStrictEqual(await answer(page), null);
  },

  'rows kept earlier that are no longer taken are told': async (bench) => {
    const page = await bench.open({ before: () => localStorage.setItem('tackhold.own', JSON.stringify(['', '[x]\nname = x\n', '', '', '', '', ''])) });
    assert.match(await page.innerText('#own-faults'), /table tape are not taken: line \d/);
    assert.notStrictEqual(await answer(page), null);
  },

  'a row of the page can be looked at and begun from': async (bench) => {
    const page = await bench.open();
    for (const table of ['stock', 'tape', 'glue', 'cutter', 'machine', 'coolant', 'plate']) {
      await page.evaluate(() => { document.getElementById('rows').open = true; });
      await page.selectOption('#table', table);
      await page.locator('#row-list button').first().click();
      await page.click('text=Start a row of your own from this one');
      const text = await page.inputValue('#own-text');
      assert.match(text, /^\[my-/);
      assert.match(await keep(page, table, text), /^Kept/, table + ': a row that came with the page reads back');
    }
  },

  'a row is shown in the units of the job': async (bench) => {
    const page = await bench.open();
    await page.evaluate(() => { document.getElementById('rows').open = true; });
    await page.selectOption('#table', 'tape');
    const shownRow = async () => {
      await page.click('#row-list button >> text="coated-crepe"');
      await page.waitForFunction(() => document.activeElement.id === 'row-shown');
      return page.innerText('#row-shown');
    };
    assert.match(await shownRow(), /thickness\s+0\.254 mm[\s\S]*temperature max\s+70 C/);
    await change(page, () => page.check('[name=units][value=inch]'));
    await page.focus('#table');
    assert.match(await shownRow(), /thickness\s+0\.01 in[\s\S]*temperature max\s+158 F/);
    await page.click('text=Start a row of your own from this one');
    assert.match(await page.inputValue('#own-text'), /thickness = 0\.254 mm/, 'as the file has it');
  },
};
