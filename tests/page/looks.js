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

tests['what pairs say stands in one column, whatever is named once for several'] = async (bench) => {
  const page = await bench.open();
  await choose(page, 'clock-dial.ini');
  for (const [width, apart] of [[1280, true], [360, false]]) {
    await page.setViewportSize({ width, height: 800 });
    await page.waitForFunction(() => document.documentElement.dataset.settled === String(round) && document.querySelector('#findings dd + dd'));
    const [terms, words] = await page.evaluate(() => ['dt', 'dd'].map((name) => [...new Set([...document.querySelectorAll('#findings ' + name)].map((e) => Math.round(e.getBoundingClientRect().left)))]));
    assert.strictEqual(terms.length, 1, String(terms));
    assert.strictEqual(words.length, 1, String(words));
    assert.strictEqual(words[0] > terms[0] + 60, apart, words + ' ' + terms);
  }
};

// How far anything reaches beyond the page, and what does.
const beyond = (page) => page.evaluate(() => {
  const room = document.documentElement.clientWidth;
  const over = [...document.querySelectorAll('main *, #rows *, header *')].filter((e) => !e.closest('.unseen, iframe, svg, thead, .many') && e.getClientRects().length > 0 &&
    e.getBoundingClientRect().right > room + 1 && getComputedStyle(e).position !== 'absolute');
  return [document.documentElement.scrollWidth - room, ...over.slice(0, 3).map((e) => e.outerHTML.slice(0, 120))];
});

// As wide as the words in the face that is shown, beside the room for them.
const clipped = (page) => page.evaluate(() => {
  const pen = document.createElement('canvas').getContext('2d');
  return [...document.querySelectorAll('#job input[type=text]')].filter((e) => e.getClientRects().length > 0).flatMap((e) => {
    const style = getComputedStyle(e);
    pen.font = (e.value ? 'normal ' : 'italic ') + style.fontSize + ' ' + style.fontFamily;
    const room = e.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
    const wide = pen.measureText(e.value || e.placeholder).width;
    return wide > room + 0.5 && !e.value ? [e.dataset.key + ': ' + (e.value || e.placeholder) + ': ' + wide.toFixed(0) + ' in ' + room.toFixed(0)] : [];
  });
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
  await change(page, () => page.click('#new'));
  await change(page, () => page.selectOption(keyed('cut.1.operation'), 'outline'));
  await change(page, () => page.setInputFiles('#open', ['examples/bracket.svg', bench.file('bad.svg', '<svg')]));
  assert.deepStrictEqual(await beyond(page), [0], 'a job to fill in, with hints and drawings');
  assert.deepStrictEqual(await clipped(page), []);
};

tests['what stands for an empty field is to be read in full'] = async (bench) => {
  const page = await bench.open();
  for (const name of ['front-panel.ini', 'clock-dial.ini', 'bracket.ini']) {
    await page.evaluate((n) => openExample(n), name);
    await page.waitForFunction(() => shown !== null && document.documentElement.dataset.judged === String(round));
    await page.evaluate(() => document.querySelectorAll('#job details').forEach((fold) => { fold.open = true; }));
    for (const width of WIDTHS.concat(320, 1000)) {
      await page.setViewportSize({ width, height: 740 });
      assert.deepStrictEqual(await clipped(page), [], name + ' at ' + width);
    }
  }
};

tests['names that a select cuts off stand whole below it on a phone, and come up under a pointer'] = async (bench) => {
  const page = await bench.open({ width: 360, height: 740 });
  await change(page, () => page.selectOption(keyed('hold.tape'), 'carpet-tape'));
  const seen = () => page.evaluate(() => [...document.querySelectorAll('#job .picked > select')].filter((e) => e.clientWidth > 0).map((select) => {
    const whole = select.parentElement.querySelector('.whole');
    const pen = document.createElement('canvas').getContext('2d');
    pen.font = getComputedStyle(select).fontSize + ' ' + getComputedStyle(select).fontFamily;
    const name = select.selectedOptions[0].textContent;
    return { name, title: select.title, told: whole.checkVisibility() && whole.getClientRects().length > 0 ? whole.textContent : '', wide: pen.measureText(name).width > select.clientWidth - 16 };
  }));
  const narrow = await seen();
  assert(narrow.filter((one) => one.wide).length >= 2 && narrow.some((one) => one.name.startsWith('carpet tape')), JSON.stringify(narrow));
  narrow.filter((one) => one.wide).forEach((one) => assert.strictEqual(one.told, one.name));
  assert(narrow.some((one) => one.told === ''), 'what can be read is not told twice');
  await page.setViewportSize({ width: 1280, height: 800 });
  (await seen()).forEach((one) => assert(one.title === one.name && one.told === '', JSON.stringify(one)));
};

tests['type in pictures is at least 11 px high, at any width'] = async (bench) => {
  const page = await bench.open();
  await page.evaluate(() => { document.getElementById('limits').open = true; });
  for (const width of WIDTHS.concat(1000)) {
    await page.setViewportSize({ width, height: 800 });
    await page.waitForFunction(() => document.querySelectorAll('.busy').length === 0 && document.querySelector('#limits svg') && document.querySelector('#picture svg') &&
      document.documentElement.dataset.settled === String(round) &&
      (!narrowly.matches || [...document.querySelectorAll('.picture svg')].every((svg) => svg.viewBox.baseVal.width === 340)));
    const sizes = await page.evaluate(() => [...document.querySelectorAll('.picture svg')].map((svg) => {
      const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
      return Math.min(...[...svg.querySelectorAll('text')].map((t) => parseFloat(t.getAttribute('font-size')) * scale));
    }));
    assert(sizes.length >= 4, 'pictures are there');
    sizes.forEach((size, i) => assert(size >= 10.95, 'picture ' + i + ' at ' + width + ': ' + size.toFixed(1) + ' px'));
  }
};

tests['words in pictures for a phone stay inside and apart'] = async (bench) => {
  const page = await bench.open({ width: 360, height: 740 });
  for (const name of ['clock-dial.ini', 'bracket.ini', 'cover-plate.ini']) {
    await page.evaluate((n) => openExample(n), name);
    await page.waitForFunction(() => shown !== null && document.documentElement.dataset.judged === String(round));
    const out = await page.evaluate(() => [...document.querySelectorAll('#picture svg')].flatMap((svg) => {
      const box = svg.getBoundingClientRect();
      return [...svg.querySelectorAll('text')].filter((t) => t.getBoundingClientRect().left < box.left - 1 || t.getBoundingClientRect().right > box.right + 1)
        .map((t) => t.textContent);
    }));
    assert.deepStrictEqual(out, [], name);
  }
};

tests['the card stands there whole, prints by itself and is saved'] = async (bench) => {
  const page = await bench.open({ width: 360, height: 740 });
  await page.evaluate(() => { document.getElementById('card').open = true; });
  await page.waitForSelector('#card iframe');
  await page.waitForFunction(() => {
    const frame = document.querySelector('#card iframe');
    const inside = frame.contentDocument && frame.contentDocument.querySelector('h1') && frame.contentDocument.documentElement;
    return inside && inside.scrollHeight > 1000 && frame.clientHeight >= inside.scrollHeight - 1;
  });
  await page.evaluate(() => { window.printed = 0; document.querySelector('#card iframe').contentWindow.print = () => { window.printed += 1; }; });
  await page.click('text=Print the card');
  assert.strictEqual(await page.evaluate(() => window.printed), 1);
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('text=Save the card')]);
  assert.strictEqual(download.suggestedFilename(), 'front-panel.html');
  const html = fs.readFileSync(await download.path(), 'utf8');
  assert(html.includes('HOLDS') && html.includes('cut.2'));
  const paper = await page.context().newPage();
  await paper.setContent(html);
  await paper.emulateMedia({ media: 'print' });
  assert.strictEqual(await paper.locator('svg').first().isVisible(), true);
  const pages = ((await paper.pdf({ format: 'A4' })).toString('latin1').match(/\/Type\s*\/Page\b/g) || []).length;
  assert(pages >= 1 && pages <= 3, pages + ' pages');
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
  assert(Math.abs(box.y + box.height - 740) < 1 && box.width > 250, JSON.stringify(box));
  assert.match(await page.innerText('#bar'), /^HOLDS: hold factor/);
  await page.click('#bar');
  await page.waitForFunction(() => document.getElementById('verdict').getBoundingClientRect().top < 200);
  await page.click('#to-cuts');
  await page.waitForFunction(() => document.querySelector('[data-key="cut.1.axial less"]').getBoundingClientRect().top < 400);
};

tests['on paper before the card is ready: the answer and the job, no buttons'] = async (bench) => {
  const page = await bench.open();
  await page.evaluate(() => { prepareCard = () => {}; });
  await choose(page, 'clock-dial.ini');
  await page.evaluate(() => { layPaper(null); window.dispatchEvent(new Event('beforeprint')); });
  await page.emulateMedia({ media: 'print' });
  assert.strictEqual(await page.isVisible('#verdict .word'), true);
  assert.strictEqual(await page.isVisible('#findings'), true);
  assert.match(await page.innerText('#no-card'), /not the card yet.*still working it out/);
  // wide pictures take the width of the sheet, and none is squeezed to a strip
  const sheet = await page.evaluate(() => [...document.querySelectorAll('#below .picture svg')].map((svg) => {
    const { width, height } = svg.viewBox.baseVal;
    const box = svg.getBoundingClientRect();
    return Math.min(box.width / width, box.height / height) * width / svg.parentElement.getBoundingClientRect().width;
  }));
  assert(sheet.length === 3 && sheet.slice(1).every((share) => share > 0.99) && sheet[0] > 0.4, String(sheet));
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
