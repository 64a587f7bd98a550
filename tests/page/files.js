// Jobs and drawings: opened, dropped, named, saved.
'use strict';
const assert = require('assert');
const fs = require('fs');
const { change, settled, answer, jobText, verdictWord, keyed, differences } = require('./bench.js');

async function saved(page) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#save')]);
  return { name: download.suggestedFilename(), bytes: fs.readFileSync(await download.path()) };
}

const DXF = ['0', 'SECTION', '2', 'HEADER', '9', '$INSUNITS', '70', '4', '0', 'ENDSEC', '0', 'SECTION', '2', 'ENTITIES',
  '0', 'LWPOLYLINE', '8', '0', '90', '4', '70', '1', '10', '0', '20', '0', '10', '80', '20', '0', '10', '80', '20', '50', '10', '0', '20', '50',
  '0', 'CIRCLE', '8', '0', '10', '40', '20', '25', '40', '5', '0', 'ENDSEC', '0', 'EOF', ''].join('\n');

const DXF_JOB = ['[job]', 'title = a drawn spacer', 'units = mm', '[part]', 'stock = al-6061-t6', 'length = 80', 'width = 50', 'thickness = 3',
  'outline = drawn.dxf', '[hold]', 'tape = polyester-acrylic', 'glue = ca-thin', 'cooling = dry', 'coverage = 0.9', '[machine]', 'id = bench-mill',
  '[cutter.c]', 'id = flat-3mm-2', '[cut.1]', 'operation = slot', 'cutter = c', 'axial = 0.3', ''].join('\n');

module.exports = {
  'a job with its drawing, saved as it was': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.setInputFiles('#open', ['examples/bracket.ini', 'examples/bracket.svg']));
    assert.deepStrictEqual(differences(await answer(page), bench.check('examples/bracket.ini')), []);
    const file = await saved(page);
    assert.strictEqual(file.name, 'bracket.ini');
    assert(file.bytes.equals(fs.readFileSync('examples/bracket.ini')));
    assert((await page.innerText('#files')).includes('bracket.svg'));
  },

  'line ends of another kind stay, and a change keeps to them': async (bench) => {
    const page = await bench.open();
    const text = fs.readFileSync('examples/front-panel.ini', 'utf8').replace(/\n/g, '\r\n');
    await change(page, () => page.setInputFiles('#open', bench.file('ends.ini', text)));
    assert.strictEqual((await saved(page)).bytes.toString(), text);
    await change(page, () => page.fill(keyed('part.thickness'), '2.5'));
    const now = (await saved(page)).bytes.toString();
    assert(now.includes('\r\nthickness = 2.5\r\n') && !/[^\r]\n/.test(now), now);
  },

  'a drawing in DXF': async (bench) => {
    const page = await bench.open();
    const where = bench.file('drawn.ini', DXF_JOB);
    await change(page, () => page.setInputFiles('#open', [where, bench.file('drawn.dxf', DXF)]));
    assert.deepStrictEqual(differences(await answer(page), bench.check(where)), []);
  },

  'a drawing that is missing is asked for': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.setInputFiles('#open', bench.file('drawn.ini', DXF_JOB)));
    assert.match(await page.innerText('#fault'), /drawn\.dxf: open that file too/);
    await change(page, () => page.setInputFiles('#open', bench.file('drawn.dxf', DXF)));
    assert.notStrictEqual(await verdictWord(page), null);
  },

  'a drawing that is no drawing gives a message': async (bench) => {
    const page = await bench.open();
    const job = DXF_JOB.replace('drawn.dxf', 'bad.svg');
    for (const bad of ['<svg xmlns="http://www.w3.org/2000/svg"><rect', 'not a drawing', '<svg xmlns="http://www.w3.org/2000/svg"/>',
      '<!DOCTYPE svg [<!ENTITY a "b">]><svg xmlns="http://www.w3.org/2000/svg"><rect width="80" height="50"/></svg>',
      '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50"><text>x</text><rect width="80" height="50"/></svg>']) {
      await change(page, () => page.setInputFiles('#open', [bench.file('drawn.ini', job), bench.file('bad.svg', bad)]));
      assert.strictEqual(await verdictWord(page), null, bad);
      const fault = await page.innerText('#fault');
      assert(fault.length > 20 && !/line \d/i.test(fault), bad + ': ' + fault);
    }
  },

  'drawings in other encodings': async (bench) => {
    const page = await bench.open();
    const where = bench.file('drawn.ini', DXF_JOB.replace('drawn.dxf', 'wide.svg'));
    const svg = '<?xml version="1.0" encoding="UTF-16"?><svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50"><rect width="80" height="50"/></svg>';
    await change(page, () => page.setInputFiles('#open', [where, bench.file('wide.svg', Buffer.from('\ufeff' + svg, 'utf16le'))]));
    assert.deepStrictEqual(differences(await answer(page), bench.check(where)), []);
    const latin = svg.replace('UTF-16', 'ISO-8859-1').replace('<rect', '<title>\u00e4</title><rect');
    await change(page, () => page.setInputFiles('#open', [where, bench.file('wide.svg', Buffer.from(latin, 'latin1'))]));
    assert.deepStrictEqual(differences(await answer(page), bench.check(where)), []);
  },

  'what the program refuses to read the page refuses': async (bench) => {
    const page = await bench.open();
    const names = fs.readdirSync('tests/bad').filter((name) => name.endsWith('.ini') && !/outline|taped|dash/.test(name));
    assert(names.length > 80);
    for (const name of names) {
      await page.evaluate(async ([called, coded]) => {
        await takeFiles([new File([Uint8Array.from(atob(coded), (c) => c.charCodeAt(0))], called)]);
      }, [name, fs.readFileSync('tests/bad/' + name).toString('base64')]);
      if (await page.isVisible('#refused')) {
        assert.match(await page.innerText('#refused'), /UTF-8|is no job/, name);
        continue;
      }
      await settled(page);
      assert.strictEqual(await verdictWord(page), null, name);
      assert(await page.isVisible('#fault') || (await page.innerText('#verdict')).includes('fill in'), name);
    }
  },

  'a file that is no job leaves the job as it is': async (bench) => {
    const page = await bench.open();
    const before = await page.inputValue('#source');
    await page.setInputFiles('#open', { name: 'pulls.csv', mimeType: 'text/csv', buffer: Buffer.from('kind,area,force\nshear,600 mm2,90 N\n') });
    await page.waitForSelector('#refused:not([hidden])');
    assert.match(await page.innerText('#refused'), /pulls\.csv is no job/);
    assert.strictEqual(await page.inputValue('#source'), before);
  },

  'a job of another alphabet than UTF-8 is refused, and what was open stays': async (bench) => {
    const page = await bench.open();
    await page.setInputFiles('#open', { name: 'x.ini', mimeType: 'text/plain', buffer: Buffer.from('[job]\ntitle = \xe4\n', 'latin1') });
    await page.waitForSelector('#refused:not([hidden])');
    assert.match(await page.innerText('#refused'), /x\.ini is not UTF-8/);
    assert.strictEqual(await verdictWord(page), 'HOLDS');
  },

  'a drawing is judged when it is opened, and what is none is not kept': async (bench) => {
    const page = await bench.open();
    const before = await jobText(page);
    const good = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50"><rect width="80" height="50"/></svg>';
    await change(page, () => page.setInputFiles('#open', [bench.file('a.svg', good), bench.file('b.svg', good.replace('/></svg>', '')), bench.file('c.dxf', DXF.replace('70\n1\n10', '70\n0\n10'))]));
    const said = await page.innerText('#refused');
    assert(/b\.svg.*: .{10,}not taken/.test(said) && /c\.dxf.*: .{10,}not taken/.test(said) && !said.includes('a.svg'), said);
    assert.deepStrictEqual(await page.locator('#files li > span').allInnerTexts(), ['a.svg']);
    assert.deepStrictEqual(await page.evaluate(() => JSON.parse(localStorage.getItem('tackhold.drawings')).map((file) => file.name)), ['a.svg']);
    assert.strictEqual(await jobText(page), before);
    assert.strictEqual(await verdictWord(page), 'HOLDS');
    await change(page, () => page.setInputFiles('#open', bench.file('a.svg', 'no drawing')));
    assert.strictEqual(await page.evaluate(() => drawings[0].text), good, 'what was there of that name stays');
    await change(page, () => page.setInputFiles('#open', bench.file('a.svg', good)));
    assert.strictEqual(await page.isVisible('#refused'), false);
  },

  'an opened drawing is made the outline, or where tape is, and taken away, at a tap': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.click('#new'));
    const press = (words) => change(page, () => page.click('#files button >> text=' + words));
    await change(page, () => page.setInputFiles('#open', bench.file('drawn.dxf', DXF)));
    await press('Use as outline');
    const text = await jobText(page);
    assert(/^outline = drawn\.dxf$/m.test(text) && /^length = 80$/m.test(text) && /^width = 50$/m.test(text), text);
    await change(page, () => page.evaluate(() => { job.set('part', 'length', '3 in'); job.set('part', 'width', '5 cm'); job.set('part', 'outline', ''); rebuilt(); }));
    await press('Use as outline');
    const again = await jobText(page);
    assert(/^length = 80$/m.test(again) && /^width = 5 cm$/m.test(again), again);
    const where = bench.file('drawn.ini', DXF_JOB.replace(/^outline.*\n/m, ''));
    await change(page, () => page.setInputFiles('#open', where));
    const plain = (await answer(page)).hold_factor;
    await press('Use as where tape is');
    await page.waitForFunction(() => shown !== null);
    assert.match(await jobText(page), /^\[hold\][^[]*^taped = drawn\.dxf$/m);
    const { hold_factor: taped } = bench.check(bench.file('drawn.ini', await jobText(page)));
    assert(Math.abs((await answer(page)).hold_factor / taped - 1) < 1e-9 && Math.abs(taped / plain - 1) > 1e-4, taped + ' ' + plain);
    await press('Remove');
    assert.strictEqual(await page.isVisible('#files'), false);
    assert.match(await page.innerText('#fault'), /drawn\.dxf: open that file too/);
  },

  'the page does not speak of files beside the job': async (bench) => {
    const page = await bench.open();
    const said = await page.textContent('#job');
    assert(said.includes('an SVG or DXF opened here') && !said.includes('beside the job'), said);
  },

  'files dropped onto the page are opened': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.evaluate((text) => {
      const carried = new DataTransfer();
      carried.items.add(new File([text], 'dropped.ini', { type: 'text/plain' }));
      document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: carried }));
    }, fs.readFileSync('examples/washers.ini', 'utf8')));
    assert.strictEqual(await jobText(page), fs.readFileSync('examples/washers.ini', 'utf8'));
  },

  'job and drawing are there again after a reload': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.setInputFiles('#open', ['examples/bracket.ini', 'examples/bracket.svg']));
    const before = await answer(page);
    await page.reload();
    await page.waitForFunction(() => document.documentElement.dataset.settled === String(round) && shown !== null);
    assert.deepStrictEqual(differences(await answer(page), before), []);
    page.on('dialog', (dialog) => dialog.accept());
    await page.click('#forget');
    assert.match(await page.innerText('#forget'), /^Press again/);
    assert.notStrictEqual(await page.evaluate(() => localStorage.length), 0, 'once is not enough');
    await page.click('#forget');
    await page.waitForFunction(() => typeof job !== 'undefined' && job !== null && typeof job.get === 'function' && job.get('job', 'title').includes('Front panel'));
  },
};
