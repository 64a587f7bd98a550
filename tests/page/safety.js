// Nothing leaves the device, and what files say stays text.
'use strict';
const assert = require('assert');
const fs = require('fs');
const { change, jobText, settled } = require('./bench.js');

const NASTY = '<img src=x onerror=alert(1)><b>bold</b>&amp;<script>alert(2)</script>';

// Elements that only foreign markup could have made.
const strangers = (page) => page.evaluate(() => document.querySelectorAll('img, b, object, embed, iframe, a[href^="javascript"], svg script, foreignObject').length +
  document.querySelectorAll('script').length - 4);

async function watchful(bench) {
  const page = await bench.open();
  page.on('dialog', (dialog) => {
    page.context().strange.push('dialog: ' + dialog.message());
    dialog.dismiss();
  });
  return page;
}

module.exports = {
  'markup in titles, names of cutters and values': async (bench) => {
    const page = await watchful(bench);
    const text = fs.readFileSync('examples/front-panel.ini', 'utf8').replace(/^title = .*$/m, 'title = ' + NASTY.replace(/;/g, ''));
    await change(page, () => page.setInputFiles('#open', bench.file('nasty.ini', text)));
    assert.strictEqual(await strangers(page), 0);
    assert((await page.title()).includes('<b>bold</b>'));
    await change(page, () => page.evaluate((nasty) => { job.set('part', 'stock', nasty); job.set('machine', 'id', nasty); rebuilt(); }, NASTY));
    assert.strictEqual(await strangers(page), 0);
    assert((await page.innerText('#fault')).includes('<img src=x'));
    assert((await jobText(page)).includes('<img'));
  },

  'markup in names of files and drawings': async (bench) => {
    const page = await watchful(bench);
    const svg = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50" onload="alert(3)">' +
      '<script>alert(4)</script><rect width="80" height="50"/></svg>';
    await change(page, () => page.setInputFiles('#open', { name: '<img src=x onerror=alert(5)>.svg', mimeType: 'image/svg+xml', buffer: Buffer.from(svg) }));
    assert.strictEqual(await strangers(page), 0);
    assert((await page.innerText('#files')).includes('<img src=x'));
    await change(page, () => page.evaluate(() => { job.set('part', 'outline', '<img src=x onerror=alert(5)>.svg'); rebuilt(); }));
    assert.strictEqual(await strangers(page), 0);
  },

  'markup in rows of one\'s own': async (bench) => {
    const page = await watchful(bench);
    const rows = fs.readFileSync('materials/plate.ini', 'utf8').replace(/^name = .*$/gm, 'name = ' + NASTY.replace(/;/g, '')).replace(/^source = .*$/gm, 'source = ' + NASTY.replace(/;/g, ''));
    await page.evaluate(() => { document.getElementById('rows').open = true; document.getElementById('own').open = true; });
    await page.selectOption('#table', 'plate');
    await page.fill('#own-text', rows);
    await change(page, () => page.click('#own-keep'));
    await page.locator('#row-list button').first().click();
    assert.strictEqual(await strangers(page), 0);
    assert((await page.innerText('#row-list')).includes('<b>bold</b>'));
  },

  'a picture cannot act': async (bench) => {
    const page = await watchful(bench);
    await page.evaluate(() => document.body.append(pictureOf('<svg xmlns="http://www.w3.org/2000/svg" onload="alert(6)"><script>alert(7)</script>' +
      '<a href="javascript:alert(8)"><rect width="9" height="9" onclick="alert(9)"/></a><image href="https://example.org/x.png"/></svg>')));
    await page.locator('.picture rect').last().click({ force: true }).catch(() => undefined);
    assert.strictEqual(await page.locator('.picture script').count(), 0);
  },

  'the policy forbids every request': async (bench) => {
    const page = await bench.open({ wait: true });
    const tried = await page.evaluate(async () => {
      const out = [];
      const broken = [];
      document.addEventListener('securitypolicyviolation', (event) => broken.push(event.effectiveDirective));
      await fetch('https://example.org/').then(() => out.push('fetch'), () => undefined);
      const picture = new Image();
      picture.src = 'https://example.org/x.png';
      await new Promise((done) => { picture.onload = () => { out.push('image'); done(); }; picture.onerror = done; });
      try {
        navigator.sendBeacon('https://example.org/', 'x');
      } catch (fault) {
        /* refused at once */
      }
      const frame = document.createElement('iframe');
      frame.src = 'https://example.org/';
      document.body.append(frame);
      const script = document.createElement('script');
      script.textContent = 'window.ran = true';
      document.body.append(script);
      await new Promise((done) => setTimeout(done, 300));
      return { out, broken: [...new Set(broken)].sort(), ran: window.ran === true };
    });
    assert.deepStrictEqual(tried.out, []);
    assert.strictEqual(tried.ran, false);
    ['connect-src', 'img-src', 'frame-src'].forEach((one) => assert(tried.broken.includes(one), one + ' of ' + tried.broken));
    assert(tried.broken.some((one) => one.startsWith('script-src')), String(tried.broken));
    page.context().strange = page.context().strange.filter((one) => !one.includes('example.org')); // refused before they leave, but told
  },

  'a worker may ask for nothing either': async (bench) => {
    const page = await bench.open();
    const said = await page.evaluate(() => new Promise((done) => {
      const address = URL.createObjectURL(new Blob(['fetch("https://example.org/").then(() => postMessage("sent"), () => postMessage("refused"))']));
      new Worker(address).onmessage = (event) => done(event.data);
    }));
    assert.strictEqual(said, 'refused');
    page.context().strange = page.context().strange.filter((one) => !one.includes('example.org'));
  },

  'no request while it works': async (bench) => {
    const page = await bench.open();
    await page.evaluate(() => document.querySelectorAll('details').forEach((fold) => { fold.open = true; }));
    await page.waitForFunction(() => document.querySelectorAll('.busy').length === 0);
    await settled(page);
  }, // the bench fails a test in which the page asks for anything
};
