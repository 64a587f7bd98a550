// bench.js: a browser with the page in it, and the program beside it.
'use strict';
const assert = require('assert');
const fs = require('fs');
const os = require('os');
const path = require('path');
const { spawnSync } = require('child_process');
const { chromium } = require('playwright-core');

const PATIENCE = 180000; // ms; the machine of the tests may be busy with others

function browserPath() {
  const found = ['chromium', 'chromium-browser'].map((name) => spawnSync('sh', ['-c', 'command -v ' + name], { encoding: 'utf8' }).stdout.trim())
    .find((where) => where !== '');
  assert(found, 'chromium is not installed');
  return found;
}

class Bench {
  static async start(program, file) {
    const bench = new Bench();
    bench.program = path.resolve(program);
    bench.address = 'file://' + path.resolve(file);
    bench.source = fs.readFileSync(file, 'utf8');
    bench.folder = fs.mkdtempSync(path.join(os.tmpdir(), 'page-'));
    bench.browser = await chromium.launch({ executablePath: browserPath(), args: ['--no-sandbox'] });
    bench.contexts = [];
    return bench;
  }

  async stop() {
    await this.browser.close();
    fs.rmSync(this.folder, { recursive: true });
  }

  async run(test) {
    try {
      await test(this);
      this.contexts.forEach((context) => assert.deepStrictEqual(context.strange, [], 'errors or requests of the page'));
    } finally {
      for (const context of this.contexts.splice(0)) {
        await context.close();
      }
    }
  }

  // A fresh browser with the page open and its first answer given. `asked` may have width, height, scheme, before
  // (a script that runs first), wait (false: do not wait for the answer).
  async open(asked) {
    const { width = 1280, height = 900, scheme = 'light', before, wait = true } = asked || {};
    const context = await this.browser.newContext({ viewport: { width, height }, colorScheme: scheme, acceptDownloads: true });
    this.contexts.push(context);
    context.setDefaultTimeout(PATIENCE);
    context.strange = [];
    const page = await context.newPage();
    page.on('pageerror', (fault) => context.strange.push(String(fault)));
    page.on('request', (request) => {
      if (!/^(blob|data|about):/.test(request.url()) && request.url() !== this.address) {
        context.strange.push('request: ' + request.url());
      }
    });
    if (before) {
      await page.addInitScript(before);
    }
    await page.goto(this.address);
    if (wait) {
      await settled(page);
    }
    return page;
  }

  file(name, text) {
    const where = path.join(this.folder, name);
    fs.writeFileSync(where, text);
    return where;
  }

  // JSON of the program for a job file.
  check(where, more) {
    const done = spawnSync(this.program, ['check', '--json', '--no-shop', ...(more || []), where], { encoding: 'utf8', maxBuffer: 1e8 });
    assert(done.status === 0 || done.status === 1, done.stderr);
    return JSON.parse(done.stdout);
  }
}

// The page has given its last word on the job as it stands.
async function settled(page) {
  await page.waitForFunction(() => document.documentElement.dataset.settled === String(round), null, { timeout: PATIENCE });
}

// Do something that changes the job, then wait for what the page makes of it.
async function change(page, act) {
  const before = await page.evaluate(() => round);
  await act();
  await page.waitForFunction((n) => round > n, before, { timeout: PATIENCE });
  await settled(page);
}

async function choose(page, name) {
  await change(page, () => page.selectOption('#example', name));
}

const answer = (page) => page.evaluate(() => (shown === null ? null : shown.check));
const jobText = (page) => page.evaluate(() => job.text());
const verdictWord = async (page) => (await page.locator('#verdict .word').count()) === 0 ? null : (await page.innerText('#verdict .word')).trim();

function keyed(place) {
  return '[data-key="' + place + '"]';
}

// Every difference between two answers: numbers beyond 1e-9 of themselves, texts at all.
function differences(a, b, where = '') {
  if (typeof a === 'number' && typeof b === 'number') {
    return Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b)) ? [] : [where + ': ' + a + ' and ' + b];
  }
  if (a !== null && b !== null && typeof a === 'object' && typeof b === 'object') {
    return [...new Set([...Object.keys(a), ...Object.keys(b)])].flatMap((key) => differences(a[key], b[key], where + '.' + key));
  }
  return a === b ? [] : [where + ': ' + a + ' and ' + b];
}

// Where the system tells: ms of processor that threads of the browser have used, which other work does not lengthen much.
function descendants(pid) {
  try {
    return fs.readdirSync('/proc/' + pid + '/task').flatMap((task) =>
      fs.readFileSync('/proc/' + pid + '/task/' + task + '/children', 'utf8').split(' ').filter((word) => word))
      .flatMap((child) => [child, ...descendants(child)]);
  } catch (fault) {
    return []; // it has ended, or this is another system
  }
}

function used(named) {
  let sum = 0;
  descendants(process.pid).forEach((pid) => {
    try {
      fs.readdirSync('/proc/' + pid + '/task').forEach((task) => {
        const place = '/proc/' + pid + '/task/' + task;
        if (fs.readFileSync(place + '/comm', 'utf8').startsWith(named)) {
          sum += Number(fs.readFileSync(place + '/schedstat', 'utf8').split(' ')[0]) / 1e6;
        }
      });
    } catch (fault) {
      /* a thread that ended meanwhile */
    }
  });
  return sum;
}

function count(value) {
  return value !== null && typeof value === 'object' ? Object.values(value).reduce((sum, one) => sum + count(one), 0) : typeof value === 'number' ? 1 : 0;
}

module.exports = { Bench, settled, change, choose, answer, jobText, verdictWord, keyed, differences, count, used };
