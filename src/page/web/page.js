/* ---- asking: a first look at once, the verdict after it, the rest when it is unfolded ---- */

let quick = null; /* thread for what takes milliseconds */
let slow = null;  /* for the verdict; stopped when the job changes under it, else it knows what it has worked out */
let seek = null;  /* for what to turn down; stopped when the job changes */
let side = null;  /* for what is unfolded */
let round = 0;    /* of changes; answers to older ones are dropped */
let looking = false;
let shown = null; /* the answer that stands there */
let before = null; /* the job before something was applied, removed or opened: {by, name, text}; `after`: what came of it */
const own = { texts: stored('own', TABLES.map(() => '')) };
const PAUSE = 100; /* ms without a change before the verdict is begun */

let drawingsKept = true;

function keepJob() {
  byId('unkept').hidden = store('job', { name: jobName, text: job.text() }) && drawingsKept;
}

function keepDrawings() {
  drawingsKept = store('drawings', drawings.map(({ name, text }) => ({ name, text })));
}

/* False when the job cannot be taken. */
function took(answer) {
  if (answer.code <= 1) {
    return true;
  }
  const fault = JSON.parse(answer.text);
  const lacks = /needs the key|is missing|holds no keys/.test(fault.message) ? missing() : [];
  if (lacks.length > 0) {
    showMissing(lacks);
    tellLikely(round);
  } else {
    showFault(fault);
  }
  shown = null;
  settled(round);
  return false;
}

/* A job of one cut in a block of metal, with stock, machine and cutter of the job as it stands; null where one
 * of them is not said. Its defaults are those the cut itself will have. */
function likeJob(section) {
  const cutter = 'cutter.' + job.get(section, 'cutter');
  const stock = job.get('part', 'stock');
  if (!stock || !job.get('machine', 'id') || !job.get(cutter, 'id')) {
    return null;
  }
  const kept = (of, wanted) => ['[' + of + ']', ...job.keys(of).filter((e) => !wanted || wanted.includes(e.key)).map((e) => e.key + ' = ' + JobText.dressed(e.value))];
  const shape = { drill: ['operation = drill', 'at = 50 mm,50 mm'], engrave: ['operation = engrave', 'depth = 0.05 mm', 'length = 10 mm'],
    chamfer: ['operation = chamfer', 'width = 0.05 mm'] }[job.get(section, 'operation')] || ['operation = slot', 'axial = 0.05 mm'];
  return ['[job]', 'title = like', 'units = ' + units(), '[part]', 'stock = ' + stock, 'length = 100 mm', 'width = 100 mm', 'thickness = 20 mm',
    '[hold]', 'tape = ' + lists.tape[0].id, 'glue = ' + lists.glue[0].id, 'cooling = ' + lists.coolant[0].id, 'coverage = 1',
    ...kept('machine'), ...kept(cutter), ...kept(section, ['cutter', 'speed', 'chip_load', 'feed']), ...shape, ''].join('\n');
}

/* What speed and chip load will be, for a job that still lacks other things. */
async function tellLikely(mine) {
  for (const section of numbered('cut').filter((cut) => likeJob(cut) !== null)) {
    const answer = await quick.ask('rigid', likeJob(section), false);
    if (mine !== round) {
      return;
    }
    if (answer.code >= 0 && answer.code <= 1) {
      takeDefaults(JSON.parse(answer.text).check.defaults.filter((line) => /^cut\.\d+\.(speed|chip_load) = /.test(line)));
      showDefaults();
    }
  }
  document.documentElement.dataset.likely = String(mine);
}

function settled(mine) {
  document.documentElement.dataset.settled = String(mine);
}

/* Paper gets the card, which takes time that printing does not give: made when all else is done. */
const IDLE = 700; /* ms without a change before */
let card = null;  /* {text, answer, ready} of the job as it stands */

/* Asked of the thread that knows what to turn down, and once: for paper and for the screen. */
async function cardOfJob(text) {
  if (card === null || card.text !== text) {
    const mine = { text, answer: seek.ask('card', text, false), ready: false };
    card = mine;
    const { code, text: made } = await mine.answer;
    if (card === mine && code === 0) {
      mine.ready = true;
      layPaper(JSON.parse(made).html);
      document.documentElement.dataset.carded = String(round);
    } else if (card === mine) {
      card = null;
    }
    return mine.answer;
  }
  return card.answer;
}

async function prepareCard(mine) {
  await new Promise((done) => setTimeout(done, IDLE));
  if (mine === round) {
    await cardOfJob(job.text());
  }
}

/* Paper without the card says so. */
function noCardWords() {
  const none = shown === null && document.documentElement.dataset.settled === String(round);
  return none ? 'This is not the card: there is none before the job can be judged.'
    : 'This is not the card yet: the page is still working it out. Wait a few seconds and print again.';
}

/* Where the keys for printing come before the card is ready, it is waited for. */
async function printWhenReady(event) {
  if (event.ctrlKey || event.metaKey) {
    takeTyped();
  }
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey || event.key.toLowerCase() !== 'p' || (card !== null && card.ready) || shown === null) {
    return;
  }
  event.preventDefault();
  byId('printing').hidden = false;
  byId('printing').textContent = 'Making the card to print';
  await cardOfJob(job.text());
  byId('printing').hidden = true;
  window.print();
}

/* However fast the changes come, one look is under way at a time, and the last change is looked at. */
async function update() {
  round += 1;
  /* what is worked out for an older job takes time from the first look */
  seek.stop();
  card = null;
  layPaper(null);
  if (slow.asking > 0) {
    slow.stop();
    slow.start();
  }
  if (looking) {
    return;
  }
  looking = true;
  let mine = 0;
  let first = DROPPED;
  while (mine !== round) {
    mine = round;
    first = await quick.ask('rigid', job.text(), false);
  }
  looking = false;
  document.documentElement.dataset.looked = String(mine);
  if (first.code < 0 || !took(first)) {
    return;
  }
  unmark();
  showFirstLook(JSON.parse(first.text));
  await new Promise((done) => setTimeout(done, PAUSE));
  if (mine === round) {
    await decide(mine);
  }
}

let narrow = narrowly.matches; /* what the pictures are drawn for */

function thin() {
  return narrow ? ' thin' : '';
}

/* Paper has a width of its own, which asks for nothing. */
function drawForWidth() {
  if (narrowly.matches !== narrow && !matchMedia('print').matches) {
    narrow = narrowly.matches;
    Object.values(asides).forEach((aside) => { aside.asked = null; });
    update();
  }
}

async function decide(mine) {
  const text = job.text();
  const verdict = await slow.ask('verdict' + thin(), text, true);
  if (mine !== round || verdict.code < 0 || !took(verdict)) {
    return;
  }
  const holds = verdict.code === 0;
  showAnswer(JSON.parse(verdict.text), !holds);
  document.documentElement.dataset.judged = String(mine);
  const sought = holds ? null : seek.ask('check' + thin(), text, true); /* before the card, which is asked of the same thread */
  askOpen();
  if (sought) {
    const whole = await sought;
    if (mine !== round || whole.code < 0 || !took(whole)) {
      return;
    }
    showAnswer(JSON.parse(whole.text), false);
  }
  settled(mine);
  prepareCard(mine);
}

function changed() {
  byId('source').value = job.text();
  keepJob();
  showOwnUsed();
  update();
}

function rebuilt(focus) {
  if (before !== null && before.after === undefined) {
    before.after = job.text();
  }
  drawJob(focus);
  showBack();
  showFiles();
  showOwnUsed();
  changed();
}

function remember(by) {
  before = { by, name: jobName, text: job.text() };
}

function putBack() {
  const focus = before.by === 'change' ? 'answer' : 'job-title';
  jobName = before.name;
  job = new JobText(before.text);
  before = null;
  rebuilt();
  byId(focus).focus();
}

/* What was removed or opened is taken back beside where it was done. */
function showBack() {
  const show = (id, by, words) => {
    const here = before !== null && before.by === by;
    byId(id).hidden = !here;
    byId(id).replaceChildren(...(here ? [button(words(), putBack)] : []));
  };
  show('back-to-job', 'opening', () => 'Back to the job before: ' + (new JobText(before.text).get('job', 'title') || before.name));
  show('back-to-cuts', 'removal', () => 'Put back what was removed');
}

/* ---- what is asked when it is unfolded, and again when the job has changed ---- */

const asides = {
  limits: { ask: 'limits', busy: 'Working out how far each cut may be opened', show: (a) => [...titled('', a.picture), ...docOf(a.report)] },
  tapes: { ask: 'tape', busy: 'Trying every tape and glue', show: tapesOf },
  card: { ask: 'card', busy: 'Making the card', show: cardOf },
};

function takeTape(choice) {
  remember('change');
  job.set('hold', 'tape', choice.tape);
  job.set('hold', 'tape_below', '');
  job.set('hold', 'glue', choice.glue);
  rebuilt();
  showChanged();
}

/* A line each, with the button beside it; what cannot be used is folded away. The report's table has the same
 * rows in the same order, its figures in the units of the job. */
function tapesOf(answer) {
  const table = answer.report.sections.flatMap((section) => section.blocks).find((block) => block.columns);
  const at = (title) => table.columns.findIndex((column) => (column.title || '').startsWith(title));
  const lines = answer.tape.choices.map((choice, i) => ({ choice, cells: table.rows[i], own: choice.tape === job.get('hold', 'tape') &&
    choice.glue === job.get('hold', 'glue') && !job.get('hold', 'tape_below') }));
  const names = (choice) => choice.tape + (choice.glue === 'none' ? '' : ' with ' + choice.glue);
  const words = ({ choice, cells, own }) => make('span', {}, make('strong', {}, names(choice)), own ? ' (as now)' : '',
    make('span', { class: 'help' }, (choice.usable ? 'hold factor ' + cells[at('hold')] + ', tape at ' : 'tape at ') + cells[at('tape up to')] + ': ' + cells[at('answer')]));
  const line = (one) => make('li', {}, words(one), one.choice.usable && !one.own
    ? button('Take it', () => takeTape(one.choice), { 'aria-label': 'Take it: ' + names(one.choice) }) : null);
  const usable = lines.filter((one) => one.choice.usable);
  const others = lines.filter((one) => !one.choice.usable);
  const first = usable.slice(0, 6);
  const further = usable.slice(6);
  return [first.length > 0 ? make('ol', { class: 'choices' }, first.map(line)) : make('p', {}, 'None will do for this cut.'),
    further.length > 0 ? make('details', {}, make('summary', {}, further.length + ' more that hold less'), make('ol', { class: 'choices', start: '7' }, further.map(line))) : null,
    others.length > 0 ? make('details', {}, make('summary', {}, others.length + ' that will not do'), make('ul', { class: 'choices' }, others.map(line))) : null].filter((one) => one);
}

/* Sandboxed without scripts; modals are what printing is to a browser. As high as what it holds. */
function cardOf(answer) {
  const frame = make('iframe', { title: 'the card', sandbox: 'allow-same-origin allow-modals', srcdoc: answer.html });
  const fit = () => {
    const inside = frame.contentDocument && frame.contentDocument.documentElement;
    if (inside && inside.scrollHeight > 0) {
      frame.style.height = 'auto';
      frame.style.height = inside.scrollHeight + 4 + 'px';
    }
  };
  frame.addEventListener('load', fit);
  new ResizeObserver(() => requestAnimationFrame(fit)).observe(byId('card'));
  return [make('p', {}, button('Print the card', () => frame.contentWindow.print()), ' ',
    button('Save the card', () => saveAs(jobName.replace(/\.ini$/, '') + '.html', answer.html, 'text/html'))), frame];
}

let sideText = null; /* of the job that the questions under way are about */

async function askAside(id) {
  const aside = asides[id];
  const text = job.text();
  const place = byId(id).querySelector('div');
  if (aside.asked === text) {
    return;
  }
  aside.asked = text;
  place.replaceChildren(busy(aside.busy));
  const fresh = sideText !== text;
  sideText = text;
  const answer = id === 'card' ? await cardOfJob(text) : await side.ask(aside.ask + thin(), text, fresh);
  if (answer.code < 0) {
    aside.asked = aside.asked === text ? null : aside.asked;
  } else if (aside.asked === text) {
    place.replaceChildren(...(answer.code > 1 ? [make('p', { class: 'fault' }, pageWords(JSON.parse(answer.text).message))]
      : aside.show(JSON.parse(answer.text))));
  }
}

function askOpen() {
  Object.keys(asides).filter((id) => byId(id).open).forEach(askAside);
}

/* ---- drawings ---- */

/* What the browser's parser found in a drawing, as the core takes it. */
function eventsOf(text) {
  const doc = new DOMParser().parseFromString(text, 'image/svg+xml');
  const out = [];
  if (doc.getElementsByTagName('parsererror').length > 0) {
    return 'X\u001f0\u001e';
  }
  if (doc.doctype) {
    out.push('D\u001f' + (/<!DOCTYPE[^>[]*\[/.test(text) ? '1' : '0'));
  }
  const named = (node) => (node.namespaceURI ? node.namespaceURI + '|' : '') + node.localName;
  const begin = (element) => {
    const pairs = [...element.attributes].filter((a) => a.namespaceURI !== 'http://www.w3.org/2000/xmlns/')
      .flatMap((a) => [named(a), a.value]);
    out.push(['S', '0', named(element), ...pairs].join('\u001f'));
  };
  /* without recursion: a drawing may be nested as deep as it likes */
  for (let node = doc.documentElement; node;) {
    if (node.nodeType === Node.ELEMENT_NODE) {
      begin(node);
    } else if (node.nodeType === Node.TEXT_NODE || node.nodeType === Node.CDATA_SECTION_NODE) {
      out.push('T\u001f' + node.data);
    }
    let next = node.firstChild;
    while (!next && node) {
      if (node.nodeType === Node.ELEMENT_NODE) {
        out.push('E\u001f' + named(node));
      }
      next = node === doc.documentElement ? null : node.nextSibling;
      node = node === doc.documentElement ? null : node.parentNode;
    }
    node = next;
  }
  return out.map((record) => record + '\u001e').join('');
}

function keepDrawing(name, text) {
  const events = /^\uFEFF?\s*</.test(text) ? eventsOf(text) : '';
  drawings = drawings.filter((file) => file.name !== name).concat([{ name, text, events }]);
  keepDrawings();
}

/* Jobs are UTF-8, as the core has them, without the byte order mark that some editors put in front; null
 * where they are not. */
function textOf(bytes, encoding) {
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch (fault) {
    return null;
  }
}

/* A drawing may say what it is written in. */
function drawingText(bytes) {
  const head = String.fromCharCode(...bytes.slice(0, 200));
  const said = /^<\?xml[^>]*encoding\s*=\s*["']([\w-]+)["']/.exec(head);
  const mark = head.startsWith('\u00ff\u00fe') ? 'utf-16le' : head.startsWith('\u00fe\u00ff') ? 'utf-16be' : null;
  return textOf(bytes, mark || (said ? said[1] : 'utf-8')) || textOf(bytes, 'windows-1252') || '';
}

const LARGEST = 4 * 1024 * 1024; /* bytes of a file, as the core has it */

/* A file that cannot be opened changes nothing. */
function showRefused(message) {
  byId('refused').hidden = message === '';
  byId('refused').textContent = message;
}

async function takeFiles(files) {
  const large = [...files].find((file) => file.size > LARGEST);
  if (large) {
    showRefused(large.name + ' is larger than 4 MiB; nothing was opened.');
    return;
  }
  const read = await Promise.all([...files].map(async (file) => ({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) })));
  const drawn = read.filter((file) => /\.(svg|dxf)$/i.test(file.name));
  const texts = read.filter((file) => !drawn.includes(file)).map((file) => ({ name: file.name, text: textOf(file.bytes, 'utf-8') }));
  const tables = texts.filter((file) => tableOfFile(file) >= 0);
  const [opened] = texts.filter((file) => !tables.includes(file));
  if (opened && opened.text === null) {
    showRefused(opened.name + ' is not UTF-8 text; nothing was opened.');
    return;
  }
  if (opened && !/^[ \t\uFEFF]*\[[^\]\n]+\]/m.test(opened.text)) {
    showRefused(opened.name + ' is no job: no line of it is a [section]. Nothing was opened, the job is as it was.');
    return;
  }
  showRefused('');
  const wrong = (await takeTables(tables)).concat(await takeDrawings(drawn));
  showRefused(wrong.join('\n'));
  if (opened) {
    openJob(opened.name, opened.text);
  } else if (drawn.length + tables.length > 0) {
    rebuilt();
  }
}

/* What is wrong with drawings: only those that the core can draw are kept. */
async function takeDrawings(files) {
  const before = drawings;
  const wrong = [];
  files.forEach((file) => keepDrawing(file.name, drawingText(file.bytes)));
  if (files.length > 0) {
    restart();
  }
  for (const { name } of files) {
    const answer = await quick.ask('drawing ' + name, '', false);
    if (answer.code > 1) {
      const fault = JSON.parse(answer.text);
      wrong.push(name + (fault.line > 0 ? ', line ' + fault.line : '') + ': ' + pageWords(fault.message) + '. It was not taken.');
      drawings = drawings.filter((file) => file.name !== name).concat(before.filter((file) => file.name === name));
    }
  }
  if (wrong.length > 0) {
    restart();
  }
  keepDrawings();
  return wrong;
}

function removeDrawing(name) {
  drawings = drawings.filter((file) => file.name !== name);
  keepDrawings();
  restart();
  rebuilt();
  byId('open').focus();
}

/* A length of the job in mm; NaN: it is none. */
function lengthOf(text) {
  const found = /^\s*[-0-9./]+\s*(mm|cm|in|")?\s*$/.exec(text || '');
  const unit = found && (found[1] || (units() === 'inch' ? 'in' : 'mm'));
  return found ? numberOf(text) * { mm: 1, cm: 10, in: 25.4, '"': 25.4 }[unit] : NaN;
}

/* A part is as large as its outline: where the job says otherwise, the outline that is chosen counts. */
async function useDrawing(name, section, key) {
  const answer = await quick.ask('drawing ' + name, '', false);
  remember('change');
  job.set(section, key, name);
  if (key === 'outline' && answer.code === 0) {
    const box = JSON.parse(answer.text);
    ['length', 'width'].filter((side) => !(Math.abs(lengthOf(job.get('part', side)) - box[side]) < 0.1)).forEach((side) =>
      job.set('part', side, String(Number((box[side] / (units() === 'inch' ? 25.4 : 1)).toPrecision(6)))));
  }
  rebuilt();
  showChanged();
}

function openJob(name, text) {
  if (job !== null && job.text() !== text) {
    remember('opening');
  }
  jobName = name;
  job = new JobText(text);
  lastDefaults = {};
  rebuilt();
}

function showFiles() {
  const act = (words, name, does) => button(words, does, { 'aria-label': words + ': ' + name });
  byId('files').hidden = drawings.length === 0;
  byId('files').replaceChildren('Drawings at hand', make('ul', {}, drawings.map(({ name }) => make('li', {}, make('span', {}, name),
    act('Use as outline', name, () => useDrawing(name, 'part', 'outline')),
    act('Use as where tape is', name, () => useDrawing(name, 'hold', 'taped')),
    act('Remove', name, () => removeDrawing(name))))));
}

function save() {
  takeTyped();
  saveAs(jobName, job.text(), 'text/plain');
}

function saveAs(name, text, type) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = make('a', { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}

function newJob() {
  openJob('job.ini', '[job]\ntitle = new job\nunits = ' + units() + '\n\n[part]\n\n[hold]\n\n[machine]\n\n[cutter.c1]\n\n[cut.1]\ncutter = c1\n');
  focusOn('part.length');
}

/* ---- units ---- */

const typed = new Map(); /* what was typed before a switch, by place and value: switched back, it comes again */
let switching = Promise.resolve();

/* Every value in the other units, so that as many digits come back: [section, key, as it was, as it becomes]. */
async function convertedTo(from, digits) {
  const out = [];
  for (const section of job.sections()) {
    for (const { key, value } of job.keys(section)) {
      const known = typed.get(section + '.' + key + '\n' + value);
      const answer = known ? null : await quick.ask('convert ' + [digits, section.split('.')[0], key, from, value].join(' '), '', false);
      out.push([section, key, value, known || (answer.code === 0 ? answer.text : value)]);
    }
  }
  return out;
}

/* Figures of a first look that digits left out would change: one pass more, a limit just overstepped. */
async function figuresOf(text) {
  const answer = await quick.ask('rigid', text, false);
  const numbers = [];
  const gather = (value) => (typeof value === 'number' ? numbers.push(value) : value && typeof value === 'object' && Object.values(value).forEach(gather));
  if (answer.code <= 1) {
    const { check } = JSON.parse(answer.text);
    gather([check.hold_factor, check.stages]);
  }
  return numbers;
}

function alike(some, others) {
  return some.length === others.length && some.every((value, i) => Math.abs(value - others[i]) <= 0.003 * Math.max(Math.abs(value), 0.01));
}

function inUnits(values, to) {
  const made = new JobText(job.text());
  values.filter(([section, key, old, value]) => value !== old && made.get(section, key) === old)
    .forEach(([section, key, , value]) => made.set(section, key, value));
  made.set('job', 'units', to);
  return made;
}

async function switchUnits(to) {
  const from = units();
  if (from === to) {
    return;
  }
  const wanted = await figuresOf(job.text());
  let values = [];
  let made = null;
  for (const digits of [5, 6, 7, 10]) {
    values = await convertedTo(from, digits);
    made = inUnits(values, to);
    if (alike(wanted, await figuresOf(made.text()))) {
      break;
    }
  }
  values.filter(([, , old, value]) => value !== old).forEach(([section, key, old, value]) => typed.set(section + '.' + key + '\n' + value, old));
  job = made;
  lastDefaults = {};
  rebuilt();
}

/* ---- tables ---- */

async function loadLists() {
  for (const table of TABLES) {
    const answer = await quick.ask('list ' + table, '', false);
    lists[table] = answer.code === 0 ? JSON.parse(answer.text).rows : [];
  }
}

function showRows() {
  const table = byId('table').value;
  byId('row-list').replaceChildren(make('ul', { class: 'rows' }, lists[table].map((row) => make('li', {},
    button(row.id, () => showRow(table, row)),
    make('span', {}, row.name + (row.own ? ', own row' : '') + ', ', make('strong', {}, row.trust),
      row.source ? make('span', { class: 'help' }, row.source) : null)))));
  byId('row-shown').replaceChildren();
  byId('own-text').value = own.texts[TABLES.indexOf(table)];
  byId('own-said').textContent = '';
}

/* In the units of the job, as the core prints it. */
async function showRow(table, row) {
  const answer = await quick.ask(['row', table, row.id, units()].join(' '), '', false);
  const pairs = answer.code === 0 ? JSON.parse(answer.text).sections.flatMap((section) => section.blocks) : [];
  byId('row-shown').replaceChildren(make('h3', {}, row.id),
    pairsOf(pairs.map((pair) => ({ label: spoken(pair.label || ''), text: pair.text })), 'figures'),
    make('p', {}, button('Start a row of your own from this one', () => startOwn(table, row))));
  byId('row-shown').focus();
}

async function startOwn(table, row) {
  const answer = await quick.ask(['text', table, row.id, units()].join(' '), '', false);
  const text = ['[my-' + row.id + ']', 'name = ' + row.name, answer.code === 0 ? answer.text + 'source = own figures' : 'source = own figures', 'trust = estimate', ''].join('\n');
  byId('own').open = true;
  byId('own-text').value = (byId('own-text').value.trim() + '\n\n' + text).trim() + '\n';
  byId('own-text').focus();
}

/* Rows that were kept by an earlier version may no longer be taken. */
function showOwnFaults(faults) {
  byId('own-faults').hidden = faults.length === 0;
  byId('own-faults').textContent = faults.map((fault) => 'Your own rows of the table ' + TABLES[fault.table] + ' are not taken: line ' +
    fault.line + ': ' + pageWords(fault.message)).join(' ');
}

/* The rows of a table's text become the user's own, or the fault in them is told and all stays as it was. */
async function takeOwn(at, text) {
  const was = own.texts[at];
  own.texts[at] = text.trim() === '' ? '' : text;
  restart();
  const begun = await quick.start();
  const fault = begun.faults ? begun.faults.find((f) => f.own === 1 && f.table === at) : { line: 0, message: 'the core could not be started' };
  if (fault) {
    own.texts[at] = was;
    restart();
    return { fault };
  }
  const kept = store('own', own.texts);
  showOwnFaults(begun.faults.filter((one) => one.own === 1));
  await loadLists();
  if (byId('table').value === TABLES[at]) {
    showRows();
  }
  return { said: kept ? 'Kept in this browser.' : 'Taken, but this browser keeps nothing: they are gone when the page is closed.' };
}

async function keepOwn() {
  const { fault, said } = await takeOwn(TABLES.indexOf(byId('table').value), byId('own-text').value);
  if (fault) {
    byId('own-said').textContent = 'Not kept. ' + (fault.line > 0 ? 'Line ' + fault.line + ': ' : '') + pageWords(fault.message);
    update(); /* its threads were ended */
    return;
  }
  byId('own-said').textContent = said;
  rebuilt();
}

/* Which table a file holds rows of, by its name as the command line has it; -1: it is a job. A browser may have
 * put a number behind the name. */
function tableOfFile({ name, text }) {
  const found = /^([a-z]+)(?:[ _-]?\(?\d+\)?)?\.ini$/i.exec(name);
  const sections = text === null ? [] : new JobText(text).sections();
  const isJob = sections.some((section) => ['job', 'part', 'hold', 'machine'].includes(section));
  return found && sections.length > 0 && !isJob ? TABLES.indexOf(found[1].toLowerCase()) : -1;
}

/* Rows of files join one's own; of one name, those opened stay. What is wrong is told. */
async function takeTables(files) {
  const wrong = [];
  const taken = [];
  for (const file of files) {
    const at = tableOfFile(file);
    const before = new JobText(own.texts[at]);
    const rows = new JobText(file.text).sections();
    rows.forEach((row) => before.remove(row));
    const head = before.text().trim() === '' ? '' : before.text().trim() + '\n\n';
    const { fault } = await takeOwn(at, head + file.text);
    if (fault) {
      const line = fault.line - head.split('\n').length + 1;
      wrong.push(file.name + (fault.line > 0 ? ', line ' + line : '') + ': ' + pageWords(fault.message) + '. Its rows were not taken.');
    } else {
      taken.push('Your own ' + TABLES[at] + ' rows now have ' + rows.join(', ') + '.');
    }
  }
  byId('taken').textContent = taken.join(' ');
  return wrong;
}

/* Tables of which the job uses a row of one's own, said or by default, with the rows. */
function ownUsed() {
  const used = new Map();
  job.sections().forEach((section) => groupOf(section).filter((spec) => spec.form === 'row' && TABLES.includes(spec.kind)).forEach((spec) => {
    const row = rowOf(spec.kind, job.get(section, spec.key) || defaultOf(section, spec));
    if (row && row.own) {
      used.set(spec.kind, (used.get(spec.kind) || new Set()).add(row.id));
    }
  }));
  return used;
}

/* A job names its rows, it does not hold them. */
function showOwnUsed() {
  const used = [...ownUsed()];
  const names = used.flatMap(([table, rows]) => [...rows].map((id) => table + ' ' + id)).join(', ');
  const said = names + '\n' + used.length;
  byId('own-used').hidden = used.length === 0;
  if (byId('own-used').dataset.said === said) {
    return; /* a button that has the focus keeps it */
  }
  byId('own-used').dataset.said = said;
  byId('own-used').replaceChildren(...(used.length === 0 ? [] : [
    make('p', {}, 'This job uses rows of your own (' + names + '). A saved job names them and does not hold them. Elsewhere, open their file on the page, ' +
      'or put it into a folder and tell the command line: ', make('code', {}, 'tackhold check --tables FOLDER ' + jobName)),
    make('p', {}, used.map(([table]) => [button('Save own rows: ' + table + '.ini', () => saveAs(table + '.ini', own.texts[TABLES.indexOf(table)], 'text/plain')), ' ']))]));
}

function restart() {
  [quick, slow, seek, side].forEach((thread) => thread.stop());
  Object.values(asides).forEach((aside) => { aside.asked = null; });
}

/* ---- beginning ---- */

function openExample(name) {
  const found = stuff.examples.find((example) => example.name === name);
  if (found) {
    found.drawings.forEach((file) => keepDrawing(file.name, file.text));
    restart();
    openJob(found.name, found.text);
  }
}

/* At the second press: what is gone is gone. */
function forget() {
  const sure = byId('forget').dataset.sure === 'yes';
  byId('forget').dataset.sure = sure ? '' : 'yes';
  if (!sure) {
    byId('forget').textContent = 'Press again: job, drawings and own rows are then gone';
    return;
  }
  ['job', 'drawings', 'own'].forEach((name) => {
    try {
      localStorage.removeItem(STORE + name);
    } catch (fault) {
      /* then there is nothing */
    }
  });
  location.reload();
}

function listenToJob() {
  byId('add-cut').addEventListener('click', addCut);
  byId('add-cutter').addEventListener('click', addCutter);
  byId('add-opening').addEventListener('click', addOpening);
  byId('source').addEventListener('input', (event) => {
    job = new JobText(event.target.value);
    drawJob();
    keepJob();
    update();
  });
  new Redrawing(byId('job'));
  new ResizeObserver(() => requestAnimationFrame(showClipped)).observe(byId('job'));
}

function listen() {
  byId('example').append(...stuff.examples.map((example) => make('option', { value: example.name }, example.title)));
  byId('example').addEventListener('change', (event) => openExample(event.target.value));
  byId('open').addEventListener('change', async (event) => {
    await takeFiles(event.target.files);
    event.target.value = ''; /* the same file again is a change again */
  });
  byId('new').addEventListener('click', newJob);
  byId('save').addEventListener('click', save);
  byId('own-keep').addEventListener('click', keepOwn);
  byId('forget').addEventListener('click', forget);
  byId('forget').addEventListener('blur', () => {
    byId('forget').dataset.sure = '';
    byId('forget').textContent = 'Forget what is kept here';
  });
  document.addEventListener('keydown', printWhenReady);
  byId('table').append(...TABLES.map((table) => make('option', { value: table }, table)));
  byId('table').addEventListener('change', showRows);
  document.querySelectorAll('[name=units]').forEach((radio) => radio.addEventListener('change', () => {
    switching = switching.then(() => switchUnits(radio.value));
  }));
  Object.keys(asides).forEach((id) => byId(id).addEventListener('toggle', askOpen));
  listenToJob();
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    takeFiles(event.dataTransfer.files);
  });
  narrowly.addEventListener('change', () => requestAnimationFrame(drawForWidth));
  window.addEventListener('beforeprint', () => {
    takeTyped();
    byId('on-paper').textContent = job.text();
    byId('no-card').textContent = noCardWords();
  });
}

function firstJob() {
  const kept = stored('job', null);
  stored('drawings', []).forEach((file) => keepDrawing(file.name, file.text));
  if (kept) {
    return kept;
  }
  stuff.examples[0].drawings.forEach((file) => keepDrawing(file.name, file.text));
  return stuff.examples[0];
}

async function begin() {
  const module = await unpack(byId('core').textContent);
  const holds = () => ({ tables: stuff.tables.map((table) => table.text), own: own.texts, files: drawings });
  quick = new Thread(module, holds);
  slow = new Thread(module, holds);
  seek = new Thread(module, holds);
  side = new Thread(module, holds);
  const first = firstJob();
  slow.start();
  const asked = await quick.ask('keys job', '', false);
  if (asked.code !== 0) {
    throw new Error(JSON.parse(asked.text).message);
  }
  JSON.parse(asked.text).keys.forEach((spec) => { (keys[spec.section] = keys[spec.section] || []).push(spec); });
  const { faults } = await quick.ready;
  await loadLists();
  listen();
  showOwnFaults(faults.filter((fault) => fault.own === 1));
  showRows();
  openJob(first.name, first.text);
}

begin().catch((fault) => {
  showPending('This browser cannot run the page: ' + fault.message + '. A browser that is kept up to date can.');
  showBar('No answer: this browser cannot run the page');
});
