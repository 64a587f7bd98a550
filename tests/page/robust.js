// What browsers and hands do to a page.
'use strict';
const assert = require('assert');
const { change, answer, jobText, verdictWord, keyed, settled, differences } = require('./bench.js');

module.exports = {
  'very fast steps: the last one counts': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.evaluate(() => {
      for (let i = 0; i < 60; i++) {
        document.querySelector('[data-key="cut.1.axial ' + (i % 3 === 2 ? 'less' : 'more') + '"]').click();
      }
    }));
    const where = bench.file('fast.ini', await jobText(page));
    assert.deepStrictEqual(differences(await answer(page), bench.check(where)), []);
  },

  'very fast typing': async (bench) => {
    const page = await bench.open();
    await change(page, async () => {
      await page.focus(keyed('part.thickness'));
      await page.keyboard.press('Control+A');
      await page.keyboard.type('1.2345', { delay: 5 });
    });
    await page.waitForFunction(() => job.get('part', 'thickness') === '1.2345');
    await settled(page);
    assert.deepStrictEqual(differences(await answer(page), bench.check(bench.file('typed.ini', await jobText(page)))), []);
  },

  'a thread ended while it starts': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.evaluate(() => {
      for (let i = 0; i < 8; i++) {
        restart();
        changed();
      }
    }));
    assert.strictEqual(await verdictWord(page), 'HOLDS');
  },

  'a core that stops says so, and the next change finds a fresh one': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.evaluate(async () => {
      const text = document.getElementById('worker').textContent;
      document.getElementById('worker').textContent = text.replace('function ask(what) {', 'function ask(what) { if (what.ask === "verdict") core.th_page_answer(0x7ffffff0);');
      slow.stop();
      changed();
    }));
    assert.match(await page.innerText('#fault'), /core stopped/);
    assert.strictEqual(await verdictWord(page), null);
    await change(page, () => page.evaluate(() => {
      const text = document.getElementById('worker').textContent;
      document.getElementById('worker').textContent = text.replace(/ if \(what\.ask === "verdict"\) [^;]*;/, '');
      changed();
    }));
    assert.strictEqual(await verdictWord(page), 'HOLDS');
  },

  'out of memory is an answer': async (bench) => {
    const page = await bench.open();
    const said = await page.evaluate(async () => {
      const text = document.getElementById('worker').textContent;
      document.getElementById('worker').textContent = text.replace('page = core.th_page_new();', 'page = 0;');
      slow.stop();
      const begun = await slow.ask('verdict', job.text(), true);
      document.getElementById('worker').textContent = text;
      const again = await slow.ask('verdict', job.text(), true);
      return [begun, again.code];
    });
    assert.strictEqual(said[0].code, 3);
    assert.match(said[0].text, /out of memory/);
    assert.strictEqual(said[1], 0);
  },

  'a browser that stores nothing': async (bench) => {
    const page = await bench.open({ before: () => Object.defineProperty(window, 'localStorage', { get() { throw new Error('refused'); } }) });
    assert.strictEqual(await verdictWord(page), 'HOLDS');
    assert.strictEqual(await page.isVisible('#unkept'), true);
  },

  'a drawing that there is no room to keep': async (bench) => {
    const page = await bench.open();
    assert.strictEqual(await page.isVisible('#unkept'), false);
    const filler = '<desc>' + 'x'.repeat(4 * 1024 * 1024 - 300) + '</desc>';
    const svg = '<svg xmlns="http://www.w3.org/2000/svg" width="160mm" height="90mm" viewBox="0 0 160 90">' + filler + '<rect width="160" height="90"/></svg>';
    for (let i = 0; i < 3; i++) {
      await change(page, () => page.setInputFiles('#open', bench.file('large' + i + '.svg', svg)));
    }
    await change(page, () => page.evaluate(() => { job.set('part', 'outline', 'large0.svg'); rebuilt(); }));
    assert.notStrictEqual(await verdictWord(page), null, await page.innerText('#answer'));
    assert.strictEqual(await page.isVisible('#unkept'), true);
    await page.setInputFiles('#open', bench.file('over.svg', svg + 'x'.repeat(400)));
    await page.waitForSelector('#refused:not([hidden])');
    assert.match(await page.innerText('#refused'), /4 MiB/);
    assert.notStrictEqual(await verdictWord(page), null);
  },

  'an old browser is told': async (bench) => {
    const page = await bench.open({ before: () => { delete window.DecompressionStream; }, wait: false });
    await page.waitForFunction(() => document.getElementById('verdict').textContent.includes('cannot run'));
    assert.strictEqual(await verdictWord(page), null);
  },

  'memory of a thread': async (bench) => {
    const page = await bench.open();
    const text = await page.evaluate(() => document.getElementById('worker').textContent);
    assert(text.includes('memory.buffer'));
    const bytes = await page.evaluate(async () => {
      const said = document.getElementById('worker').textContent;
      document.getElementById('worker').textContent = said.replace('return { code, text: answer() };', 'return { code, text: String(core.memory.buffer.byteLength) };');
      slow.stop();
      const sizes = [];
      for (const example of stuff.examples) {
        example.drawings.forEach((file) => keepDrawing(file.name, file.text));
        slow.stop();
        sizes.push(Number((await slow.ask('verdict', example.text, true)).text));
      }
      document.getElementById('worker').textContent = said;
      slow.stop();
      return sizes;
    });
    console.log('memory of a thread after a verdict: ' + bytes.map((n) => (n / 1048576).toFixed(0)).join(', ') + ' MiB');
    bytes.forEach((n) => assert(n > 65536 && n < 256 * 1048576, String(n)));
  },
};
