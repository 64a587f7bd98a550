// By keyboard alone.
'use strict';
const assert = require('assert');
const { change, choose, jobText, verdictWord, keyed } = require('./bench.js');

const where = (page) => page.evaluate(() => {
  const at = document.activeElement;
  return at === document.body || at === null ? null : at.id || at.dataset.key || at.outerHTML.slice(0, 80);
});

module.exports = {
  'the tabulator reaches every control, and each shows that it has the focus': async (bench) => {
    const page = await bench.open();
    await page.evaluate(() => { document.querySelectorAll('details').forEach((fold) => { fold.open = true; }); document.body.focus(); });
    // what is unfolded is asked for one after another: nothing is busy, and stays so
    await page.waitForFunction(() => {
      const quiet = document.querySelectorAll('.busy').length === 0 && document.documentElement.dataset.settled === String(round);
      window.quietSince = quiet ? window.quietSince || performance.now() : 0;
      return quiet && performance.now() - window.quietSince > 2000;
    }, null, { polling: 100, timeout: 120000 });
    const wanted = await page.evaluate(() => {
      const all = [...document.querySelectorAll('button:not(:disabled), select, summary, input, textarea, a[href]')].filter((e) => e.checkVisibility() && e.getClientRects().length > 0 &&
        getComputedStyle(e).visibility === 'visible' && (e.type !== 'radio' || e.checked));
      all.forEach((e, i) => { e.number = i; });
      return all.length;
    });
    const reached = new Set(); // boxes that scroll are stops as well, without a number
    let plain = [];
    for (let i = 0; i < 2 * wanted && reached.size < wanted; i++) {
      await page.keyboard.press('Tab');
      const [number, shown, html] = await page.evaluate(() => {
        const at = document.activeElement;
        const outlined = [at, at.closest('label')].some((e) => e && parseFloat(getComputedStyle(e).outlineWidth) >= 2 && getComputedStyle(e).outlineStyle !== 'none');
        return [at.number, outlined, at.outerHTML.slice(0, 80)];
      });
      if (number !== undefined) {
        reached.add(number);
        plain = shown ? plain : plain.concat(html);
      }
    }
    assert.strictEqual(reached.size, wanted);
    assert.deepStrictEqual(plain, []);
  },

  'from the loaded page to a changed verdict by tabulator and keys alone': async (bench) => {
    const page = await bench.open();
    const to = async (place) => {
      for (let i = 0; i < 200 && (await where(page)) !== place; i++) {
        await page.keyboard.press('Tab');
      }
      assert.strictEqual(await where(page), place);
    };
    assert.strictEqual(await verdictWord(page), 'HOLDS');
    await to('hold.coverage');
    await page.keyboard.press('Control+A');
    await change(page, () => page.keyboard.type('0.05'));
    await page.waitForFunction(() => job.get('hold', 'coverage') === '0.05' && document.documentElement.dataset.settled === String(round));
    assert.notStrictEqual(await verdictWord(page), 'HOLDS');
    await to('cut.1.axial less');
    const before = await jobText(page);
    await change(page, () => page.keyboard.press('Enter'));
    assert.notStrictEqual(await jobText(page), before);
  },

  'the focus stays where it was when the form is drawn anew': async (bench) => {
    const page = await bench.open();
    await page.focus(keyed('cut.1.operation'));
    await change(page, () => page.selectOption(keyed('cut.1.operation'), 'drill'));
    assert.strictEqual(await where(page), 'cut.1.operation');
    await page.focus(keyed('cut.1 later'));
    await change(page, () => page.keyboard.press('Enter'));
    assert.strictEqual(await where(page), 'cut.2 earlier');
    await change(page, () => page.keyboard.press('Enter'));
    assert.strictEqual(await where(page), 'cut.1 later');
    await page.focus(keyed('cut.2 remove'));
    await change(page, () => page.keyboard.press('Enter'));
    assert.strictEqual(await where(page), 'add-cut');
    await change(page, () => page.keyboard.press('Enter'));
    assert.strictEqual(await where(page), 'cut.2.operation');
    await page.focus(keyed('part.length'));
    await page.keyboard.press('End');
    await change(page, () => page.evaluate(() => rebuilt()));
    assert.strictEqual(await where(page), 'part.length');
    assert.strictEqual(await page.evaluate(() => document.activeElement.selectionStart), 3);
  },

  'a name typed into a select picks it, at any usual pace': async (bench) => {
    const page = await bench.open();
    const typings = [['cut.1.operation', 'pocket', 'pocket'], ['cutter.hole.id', 'flat end mill 6 mm, 3', 'flat-6mm-3'], ['hold.glue', 'cyanoacrylate, m', 'ca-medium'],
      ['cut.1.cutter', 'letters', 'letters'], ['cut.1.operation', 'outline', 'outline']];
    for (const delay of [60, 100]) {
      for (const [place, typed, value] of typings) {
        await page.focus(keyed(place));
        await change(page, () => page.keyboard.type(typed, { delay }));
        assert.strictEqual(await page.inputValue(keyed(place)), value, typed + ' at ' + delay + ' ms a key');
        const [section, key] = [place.replace(/\.[^.]+$/, ''), place.replace(/^.*\./, '')];
        assert.strictEqual(await page.evaluate((p) => job.get(...p), [section, key]), value);
        assert.strictEqual(await where(page), place);
      }
      await change(page, () => page.evaluate(() => openExample('front-panel.ini')));
    }
  },

  'when the letters have paused the fields are those of what was typed, and the focus is where it was': async (bench) => {
    const page = await bench.open();
    await page.focus(keyed('cut.1.operation'));
    await page.keyboard.type('push', { delay: 60 });
    assert.strictEqual(await page.locator(keyed('cut.1.force_x')).count(), 0, 'not amid the letters');
    await page.waitForSelector(keyed('cut.1.force_x'));
    assert.strictEqual(await where(page), 'cut.1.operation');
    await page.keyboard.type('chamfer', { delay: 60 });
    await page.waitForSelector(keyed('cut.1.width'));
    assert.strictEqual(await page.locator(keyed('cut.1.force_x')).count(), 0);
  },

  'the tabulator right after letters goes on in the new fields': async (bench) => {
    const page = await bench.open();
    await page.focus(keyed('cut.1.operation'));
    await page.keyboard.type('push', { delay: 60 });
    await page.keyboard.press('Tab');
    const at = (place) => page.waitForFunction((p) => document.activeElement.dataset.key === p, place, { timeout: 20000 });
    await at('cut.1.force_x');
    await page.keyboard.press('Shift+Tab');
    await at('cut.1.operation');
    await page.keyboard.type('slot', { delay: 60 });
    await page.keyboard.press('Tab');
    await at('cut.1.cutter');
    await page.keyboard.press('Shift+Tab');
    await page.keyboard.type('hole', { delay: 60 });
    await page.keyboard.press('Shift+Tab');
    await at('cutter.letters.wear');
    assert.strictEqual(await page.locator(keyed('cut.1.size')).count(), 1);
  },

  'a choice by pointer after letters draws the fields at once, and a press is not lost': async (bench) => {
    const page = await bench.open();
    await page.focus(keyed('cut.1.operation'));
    await page.keyboard.type('po', { delay: 60 });
    await change(page, () => page.click(keyed('cut.2.speed less')));
    assert.notStrictEqual(await page.inputValue(keyed('cut.2.speed')), '');
    assert.strictEqual(await page.locator(keyed('cut.1.size')).count(), 1);
    const drawn = await page.evaluate(() => {
      const select = document.querySelector('[data-key="cut.1.operation"]');
      select.value = 'drill';
      select.dispatchEvent(new Event('change', { bubbles: true }));
      return document.querySelector('[data-key="cut.1.size"]') === null && document.querySelector('[data-key="cut.1.peck"]') !== null;
    });
    assert.strictEqual(drawn, true);
  },

  'steps by keyboard keep the focus on their button': async (bench) => {
    const page = await bench.open();
    await page.focus(keyed('cut.1.axial less'));
    const before = await jobText(page);
    await change(page, () => page.keyboard.press('Space'));
    assert.notStrictEqual(await jobText(page), before);
    assert.strictEqual(await where(page), 'cut.1.axial less');
  },

  'a turn-down by keyboard leads to the answer': async (bench) => {
    const page = await bench.open();
    await choose(page, 'clock-dial.ini');
    await page.locator('#downs button').first().focus();
    await change(page, () => page.keyboard.press('Enter'));
    assert.strictEqual(await where(page), 'answer');
    assert.strictEqual(await verdictWord(page), 'HOLDS');
  },

  'the verdict is said, a first look is not': async (bench) => {
    const page = await bench.open();
    assert.strictEqual(await page.getAttribute('#said', 'role'), 'status');
    await page.evaluate(() => {
      window.said = [];
      new MutationObserver(() => window.said.push(document.getElementById('said').textContent)).observe(document.getElementById('said'), { childList: true });
    });
    await change(page, () => page.click(keyed('cut.1.axial less')));
    const said = await page.evaluate(() => window.said);
    assert.strictEqual(said.length, 1);
    assert.match(said[0], /^HOLDS: hold factor/);
  },

  'a fault leads to its field, folded or not': async (bench) => {
    const page = await bench.open();
    await change(page, () => page.evaluate(() => { job.set('hold', 'plate_thickness', '0'); rebuilt(); }));
    await page.locator('#fault button').focus();
    await page.keyboard.press('Enter');
    assert.strictEqual(await where(page), 'hold.plate_thickness');
  },
};
