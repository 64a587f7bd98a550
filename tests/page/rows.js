// Rows of one's own: added, used, kept, refused.
'use strict';
const assert = require('assert');
const fs = require('fs');
const path = require('path');
const { change, answer, jobText, keyed, differences } = require('./bench.js');

async function keep(page, table, text) {
  await page.evaluate(() => { document.getElementById('rows').open = true; document.getElementById('own').open = true; });
  await page.selectOption('#table', table);
  await page.fill('#own-text', text);
  await page.click('#own-keep');
  await page.waitForFunction(() => document.getElementById('own-said').textContent !== '');
  return page.innerText('#own-said');
}

async function saved(page, words) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('text=' + words)]);
  return { name: download.suggestedFilename(), text: fs.readFileSync(await download.path(), 'utf8') };
}

const PLATE = ['[own-plate]', 'name = phenolic board of the shop', 'adhesion = 0.5', 'conductivity = 0.3 W/mK', 'density = 1400 kg/m3',
  'heat_capacity = 1500 J/kgK', 'source = invented for a test', 'trust = estimate', ''].join('\n');

async function begun(page) {
  await page.focus('#table');
  await page.click('text=Start a row of your own from this one');
  await page.waitForFunction(() => document.activeElement.id === 'own-text');
  return page.inputValue('#own-text');
}

module.exports = {
  'added, used in a job, kept over a reload': async (bench) => {
    const page = await bench.open();
    const before = (await answer(page)).hold_factor;
    assert.match(await keep(page, 'plate', PLATE), /^Kept/);
    await change(page, () => page.selectOption(keyed('hold.plate'), 'own-plate'));
    const now = await answer(page);
    assert(now.hold_factor < before);
    const folder = path.join(bench.folder, 'tables');
    fs.mkdirSync(folder);
    fs.writeFileSync(path.join(folder, 'plate.ini'), PLATE);
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
      const text = await begun(page);
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
    assert.match(await begun(page), /^thickness = 0\.01 in$[\s\S]*^temperature_max = 158 F$/m);
  },

  'every row of the page can be begun from in inches, and is the same row': async (bench) => {
    const page = await bench.open();
    const worst = await page.evaluate(async (tables) => {
      const head = 'name = a\nsource = a\ntrust = estimate\n';
      const figures = {};
      for (const table of tables) {
        figures[table] = lists[table].map((row) => [row.id, row.values]);
        const texts = await Promise.all(lists[table].filter((row) => row.id !== 'none').map(async (row) =>
          '[my-' + row.id + ']\n' + head + (await quick.ask(['text', table, row.id, 'inch'].join(' '), '', false)).text));
        const { fault } = await takeOwn(TABLES.indexOf(table), texts.join('\n'));
        if (fault) {
          throw new Error(table + ': ' + fault.message);
        }
      }
      const apart = (a, b) => (typeof a === 'number' ? Math.abs(a - b) / Math.max(Math.abs(a), 1e-12) : a === b ? 0 : 1);
      return tables.flatMap((table) => figures[table].filter(([id]) => id !== 'none').flatMap(([id, values]) =>
        values.map((value, i) => [apart(value.value, rowOf(table, 'my-' + id).values[i].value), table + ' ' + id + ' ' + value.key]))).sort((a, b) => b[0] - a[0])[0];
    }, ['stock', 'tape', 'glue', 'cutter', 'machine', 'coolant', 'plate']);
    assert(worst[0] < 1e-4, String(worst));
    await change(page, () => page.evaluate(() => rebuilt())); // the threads were ended
  },

  'a job with rows of one\'s own says that it does not hold them, and gives them': async (bench) => {
    const page = await bench.open();
    await keep(page, 'plate', PLATE);
    assert.strictEqual(await page.isVisible('#own-used'), false, 'kept is not used');
    await change(page, () => page.selectOption(keyed('hold.plate'), 'own-plate'));
    assert.match(await page.innerText('#own-used'), /rows of your own \(plate own-plate\)\. A saved job names them and does not hold them[\s\S]*tackhold check --tables FOLDER front-panel\.ini/);
    const { name, text } = await saved(page, 'Save own rows: plate.ini');
    assert.strictEqual(name, 'plate.ini');
    const folder = path.join(bench.folder, 'given');
    fs.mkdirSync(folder);
    fs.writeFileSync(path.join(folder, name), text);
    const where = bench.file('given.ini', await jobText(page));
    const first = await answer(page);
    assert.deepStrictEqual(differences(first, bench.check(where, ['--tables', folder])), []);
    // and on another device
    const other = await bench.open();
    await change(other, () => other.setInputFiles('#open', [where, path.join(folder, name)]));
    assert.deepStrictEqual(differences(await answer(other), first), []);
    assert.match(await other.innerText('#taken'), /own plate rows now have own-plate/);
    await change(page, () => page.selectOption(keyed('hold.plate'), ''));
    assert.strictEqual(await page.isVisible('#own-used'), false);
    await keep(page, 'plate', PLATE.replace('own-plate', 'skimmed-aluminium'));
    assert.match(await page.innerText('#own-used'), /plate skimmed-aluminium/, 'what is taken unless said, too');
  },

  'of several tables each has its own file': async (bench) => {
    const page = await bench.open();
    const own = { plate: 'own-plate', machine: 'my-bench-mill' };
    await keep(page, 'plate', PLATE);
    await page.selectOption('#table', 'machine');
    await page.click('#row-list button >> text="bench-mill"');
    await keep(page, 'machine', await begun(page));
    await change(page, () => page.evaluate((o) => { job.set('hold', 'plate', o.plate); job.set('machine', 'id', o.machine); rebuilt(); }, own));
    for (const [table, id] of Object.entries(own)) {
      const { name, text } = await saved(page, 'Save own rows: ' + table + '.ini');
      assert(name === table + '.ini' && text.includes('[' + id + ']'), name + text);
    }
  },

  'a table dropped onto the page joins the rows that are there, a wrong one changes nothing': async (bench) => {
    const page = await bench.open();
    await keep(page, 'plate', PLATE + '\n' + PLATE.replace('own-plate', 'second-plate'));
    const drop = (name, text) => page.evaluate(([n, t]) => {
      const carried = new DataTransfer();
      carried.items.add(new File([t], n, { type: 'text/plain' }));
      document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: carried }));
    }, [name, text]);
    await change(page, () => drop('plate (1).ini', PLATE.replace('adhesion = 0.5', 'adhesion = 0.25')));
    const rows = () => page.evaluate(() => lists.plate.filter((row) => row.own).map((row) => row.id + ' ' + row.values.find((v) => v.key === 'adhesion').value).sort());
    assert.deepStrictEqual(await rows(), ['own-plate 0.25', 'second-plate 0.5']);
    await change(page, () => drop('plate.ini', PLATE.replace('adhesion = 0.5', 'adhesion = much')));
    assert.match(await page.innerText('#refused'), /^plate\.ini, line 3: .*much.*not taken/);
    assert.deepStrictEqual(await rows(), ['own-plate 0.25', 'second-plate 0.5']);
    assert.strictEqual(await page.evaluate(() => jobName), 'front-panel.ini', 'a table is no job');
  },
};
