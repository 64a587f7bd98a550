/* ---- documents of the core as elements ---- */

/* Roles are said once more: narrow screens lay a table out as one list a row, which unsays them. */
function tableOf(block) {
  if (narrow && block.rows.length <= 2 && block.columns.length > 4) {
    return tableOnSide(block);
  }
  const named = block.columns.map((column) => (column.title || '') + (column.unit ? ' (' + column.unit + ')' : ''));
  const head = make('tr', { role: 'row' }, named.map((name, i) =>
    make('th', { scope: 'col', role: 'columnheader', class: block.columns[i].right ? 'right' : null }, name)));
  const rows = block.rows.map((row) => make('tr', { role: 'row' }, row.map((cell, i) =>
    make('td', { role: 'cell', 'data-column': named[i], class: block.columns[i].right ? 'right' : null }, cell || ''))));
  /* what is long scrolls sideways in a box of its own; what is short becomes a list a row */
  const many = block.rows.length > 3 && block.columns.length > 4;
  const slim = block.columns.length <= 3;
  return make('div', many ? { class: 'table many', tabindex: '0', role: 'group', 'aria-label': 'table: ' + named[0] + ' and more' } : { class: slim ? 'table slim' : 'table few' }, make('table', { role: 'table' },
    make('thead', { role: 'rowgroup' }, head), make('tbody', { role: 'rowgroup' }, rows)));
}

/* Two rows with much in them, side by side where it is narrow. */
function tableOnSide(block) {
  const line = (column, i) => make('tr', {}, make('th', { scope: 'row' }, (column.title || '') + (column.unit ? ' (' + column.unit + ')' : '')),
    block.rows.map((row) => make(i === 0 ? 'th' : 'td', i === 0 ? { scope: 'col' } : {}, row[i] || '')));
  const lines = block.columns.map(line);
  return make('div', { class: 'table slim' }, make('table', {}, make('thead', {}, lines[0]), make('tbody', {}, lines.slice(1))));
}

/* What is of one name in a row is named once. */
function pairsOf(blocks, kind) {
  return make('dl', { class: kind || null }, blocks.map((block, i) =>
    [i > 0 && blocks[i - 1].label === block.label ? null : make('dt', {}, block.label), make('dd', {}, block.text)]));
}

/* Pairs, or points of a list where they have no name. */
function pairsOrPoints(blocks) {
  return blocks[0].label === '-' ? make('ul', { class: 'points' }, blocks.map((block) => make('li', {}, block.text))) : pairsOf(blocks);
}

function docOf(doc) {
  const out = [];
  doc.sections.forEach((section) => {
    if (section.title) {
      out.push(make('h3', {}, section.title));
    }
    let pairs = [];
    const flush = () => {
      if (pairs.length > 0) {
        out.push(pairsOrPoints(pairs));
      }
      pairs = [];
    };
    section.blocks.forEach((block) => {
      if (block.label === 'set') {
        flush();
        out.push(setButton(block.text));
      } else if (block.label !== undefined) {
        if (pairs.length > 0 && (pairs[0].label === '-') !== (block.label === '-')) {
          flush();
        }
        pairs.push(block);
      } else {
        flush();
        out.push(block.columns ? tableOf(block) : make('p', {}, block.text));
      }
    });
    flush();
  });
  return out;
}

/* A picture of the core as elements: parsed as an image, and what could act or lead away is left behind. */
function harmless(root) {
  root.querySelectorAll('script, foreignObject, image, img, iframe, object, embed, link, base, meta, form').forEach((element) => element.remove());
  [root, ...root.querySelectorAll('*')].forEach((element) => [...element.attributes]
    .filter((attribute) => /^on|href$|^src/i.test(attribute.name)).forEach((attribute) => element.removeAttribute(attribute.name)));
  return document.importNode(root, true);
}

function pictureOf(svg) {
  return make('div', { class: 'picture' }, harmless(new DOMParser().parseFromString(svg, 'image/svg+xml').documentElement));
}

/* The card lies ready for paper, in a tree of its own so that its style and the page's do not meet. */
function layPaper(html) {
  const host = byId('paper');
  const tree = host.shadowRoot || host.attachShadow({ mode: 'open' });
  const card = html === null ? null : new DOMParser().parseFromString(html, 'text/html');
  tree.replaceChildren(...(card ? [...card.querySelectorAll('style')].map(harmless).concat(harmless(card.body)) : []));
  document.body.classList.toggle('carded', card !== null);
}

/* Narrow columns get pictures that are drawn for a phone. */
const narrowly = matchMedia('(max-width: 39.99rem), (min-width: 60rem) and (max-width: 79.99rem)');

function titled(title, svg) {
  return svg ? [title ? make('h3', {}, title) : null, pictureOf(svg)].filter((one) => one) : [];
}

/* ---- what takes long: what is being done and for how long; only what is said aloud ---- */

function busy(words) {
  const begun = Date.now();
  const seconds = make('span', { 'aria-hidden': 'true' });
  const line = make('p', { class: 'busy' }, make('span', { role: 'status' }, words), seconds);
  const tick = () => {
    seconds.textContent = ' \u2026 ' + Math.round((Date.now() - begun) / 1000) + ' s';
    if (!line.isConnected) {
      clearInterval(ticking);
    }
  };
  const ticking = setInterval(tick, 1000);
  return line;
}

/* ---- the verdict ---- */

const MARKS = {
  holds: 'M4 13 L10 20 L22 6',
  unproven: 'M9 9 a4 4 0 1 1 5 5 v3 M14 21 v1',
  'lets go': 'M5 5 L21 21 M21 5 L5 21',
};

function mark(word) {
  const space = 'http://www.w3.org/2000/svg';
  const svg = document.createElementNS(space, 'svg');
  const path = document.createElementNS(space, 'path');
  Object.entries({ viewBox: '0 0 26 26', 'aria-hidden': 'true' }).forEach(([name, value]) => svg.setAttribute(name, value));
  Object.entries({ d: MARKS[word], fill: 'none', stroke: 'currentColor', 'stroke-width': '3.2', 'stroke-linecap': 'round' })
    .forEach(([name, value]) => path.setAttribute(name, value));
  svg.append(path);
  return svg;
}

function say(text) {
  if (byId('said').textContent !== text) {
    byId('said').textContent = text;
  }
}

function showBar(text) {
  byId('bar').textContent = text;
}

/* What stands below the verdict belongs to it: while there is none it is not to be read. */
function showBelow(shown) {
  ['below', ...Object.keys(asides)].forEach((id) => byId(id).classList.toggle('waits', !shown));
}

/* Without a verdict: plain lines in a box that does not look like one. */
function showPending(...lines) {
  byId('verdict').className = 'pending';
  byId('verdict').replaceChildren(...lines.map((line) => make('p', {}, line)));
  document.title = 'tackhold';
}

/* Of the answer in short: why it is as it is, which belongs to the verdict. */
const isWhy = (block) => block.label === 'weakest' || block.label === 'full width';

function showVerdict(check, brief) {
  const word = check.verdict.toUpperCase();
  const why = brief.sections[0].blocks.filter(isWhy);
  const line = brief.sections[0].blocks[0].text.replace(/^[A-Z ]+ {2}/, '');
  const loose = check.verdict === 'holds' ? check.cautions.filter((text) => /^\S+: the (frame|slug) (lets go|may come loose|comes loose)/.test(text)) : [];
  byId('verdict').className = 'is-' + check.verdict.replace(' ', '-');
  byId('verdict').replaceChildren(make('p', { class: 'word' }, mark(check.verdict), word), make('p', {}, line),
    ...why.map((block) => make('p', { class: 'why' }, make('span', {}, block.label + ': '), block.text)),
    ...loose.map((text) => make('p', { class: 'why' }, make('span', {}, 'caution: '), text)));
  showBar(word + ': ' + line.replace(/ \(.*$/, ''));
  say([word + ': ' + line, ...why.map((block) => block.label + ': ' + block.text)].join('; ') + loose.map((text) => '; caution: ' + text).join(''));
  document.title = word + ': ' + check.job;
}

function showFirstLook({ check, said }) {
  const factor = said.hold_factor;
  showPending('Working out how the part bends. This is no verdict yet.',
    check.hold_factor >= check.asked_factor
      ? 'As a stiff block it would reach a hold factor of ' + factor + ' (asked ' + said.asked_factor + '); bending can only lower that.'
      : 'Even as a stiff block it reaches a hold factor of only ' + factor + ' (asked ' + said.asked_factor + ').');
  showBelow(false);
  showBar('Working it out');
}

/* ---- what is wrong, what is missing ---- */

/* Messages speak to people at a command line. */
function pageWords(message) {
  return message.replace(/(\? A|; a)ll are listed by: tackhold list ([a-z]+)/,
    (_, before, table) => `${before[0]} ${before[0] === '?' ? 'The' : 'the'} table "${table}" at the foot of the page has them all`)
    .replace(/; the keys are listed by: tackhold show \S+/, '')
    .replace(/`tackhold limits JOB' finds/g, 'the limits have').replace(/--set /g, '');
}

function unmark() {
  byId('fault').hidden = true;
  document.querySelectorAll('[aria-invalid]').forEach((input) => {
    input.removeAttribute('aria-invalid');
    input.removeAttribute('aria-describedby');
  });
}

/* The place that a fault speaks of: by its words, else by its line; null where it is about no key. */
function faultyPlace(fault) {
  const named = /^\[([^\]]+)\] (?:needs the key )?([a-z_0-9]+)/.exec(fault.message);
  const place = named ? named[1] + '.' + named[2] : fault.file === 'job' && fault.line > 0 ? job.place(fault.line) : null;
  return place && document.querySelector('[data-key="' + CSS.escape(place) + '"]') ? place : null;
}

/* What stands in the job's text, for what no field has. */
function goToLine(line) {
  const at = job.lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0);
  byId('text').open = true;
  byId('source').focus();
  byId('source').setSelectionRange(at, at + (job.lines[line - 1] || '').length);
}

/* Where a fault is, to tap: the field by its label, a line of the text, or a file by its name. */
function faultWhere(fault, place) {
  if (place) {
    const [, section, key] = /^(.*)\.([^.]+)$/.exec(place);
    const input = document.querySelector('[data-key="' + CSS.escape(place) + '"]');
    return button(fieldWords(section, key, input), () => focusOn(place), { class: 'wide' });
  }
  if (fault.file === 'job' && fault.line > 0) {
    return button('Line ' + fault.line + ' of the job as text', () => goToLine(fault.line), { class: 'wide' });
  }
  return fault.file && fault.file !== 'job' ? make('strong', {}, fault.file + (fault.line > 0 ? ', line ' + fault.line : '')) : null;
}

/* "[part] thickness = 2 parsecs: why" without what the label says already. */
function faultWords(fault, place) {
  const words = pageWords(fault.message);
  const head = place ? '[' + place.replace(/\.([^.]+)$/, '] $1 = ') : '';
  return head !== '' && words.startsWith(head) ? words.slice(head.length) : words;
}

function showFault(fault) {
  unmark();
  const place = faultyPlace(fault);
  const input = place ? document.querySelector('[data-key="' + CSS.escape(place) + '"]') : null;
  const box = byId('fault');
  box.replaceChildren(...[faultWhere(fault, place), make('p', {}, faultWords(fault, place))].filter((one) => one));
  if (input) {
    input.setAttribute('aria-invalid', 'true');
    input.setAttribute('aria-describedby', 'fault');
  }
  box.hidden = false;
  showBar('No answer: see what is wrong');
  showPending('No answer: the job cannot be taken as it stands.');
  say('No answer');
  clearBelow();
}

/* What a field is called; of a row that a cutter is, the cutter. */
function fieldWords(section, key, input) {
  const own = input && input.getAttribute('aria-label');
  const whose = section.includes('.') && !/Cut |cutter/.test(own || '') ? section.replace('.', ' ') + ': ' : '';
  return whose + (own || (key === 'id' ? 'which one' : spoken(key)));
}

/* A job that is not filled in yet is no fault. */
function showMissing(lacks) {
  unmark();
  showPending('No answer yet. Still to fill in:');
  byId('verdict').append(make('ul', { class: 'downs' }, lacks.map(([section, key]) => {
    const place = section + '.' + key;
    const input = document.querySelector('[data-key="' + CSS.escape(place) + '"]');
    if (input) {
      input.setAttribute('aria-invalid', 'true');
    }
    return make('li', {}, button(fieldWords(section, key, input), () => focusOn(place), { class: 'wide' }));
  })));
  showBar(lacks.length === 1 ? 'One more to fill in' : lacks.length + ' more to fill in');
  say('Still to fill in: ' + lacks.length);
  clearBelow();
}

function clearBelow() {
  ['picture', 'downs', 'findings', 'lists'].forEach((id) => byId(id).replaceChildren());
  byId('whole').querySelector('div').replaceChildren();
  ['whole', ...Object.keys(asides)].forEach((id) => { byId(id).hidden = true; });
  showBelow(true);
}

/* ---- turn-downs ---- */

function placeOf(setting) {
  const equals = setting.indexOf('=');
  const dot = setting.lastIndexOf('.', equals);
  return { section: setting.slice(0, dot), key: setting.slice(dot + 1, equals), value: setting.slice(equals + 1).replace(/^"(.*)"$/, '$1') };
}

/* A value as told: with its unit, a blank before it. */
function valueTold(section, key, text) {
  const spec = specOf(section, key);
  const apart = text.replace(/^([-+]?[0-9.]+)(?=[a-zA-Z%"])/, '$1 ');
  return [apart, spec ? unitBeside(spec, text) : ''].filter((word) => word).join(' ');
}

/* "cut 1 axial 0.2 mm instead of 0.3 mm"; what there is only one of needs no name */
function settingWords(setting) {
  const { section, key, value } = placeOf(setting);
  const now = job.get(section, key) || lastDefaults[section + '.' + key];
  return (section.includes('.') ? section.replace('.', ' ') + ' ' : '') + spoken(key) + ' ' + valueTold(section, key, value) +
    (now ? ' instead of ' + valueTold(section, key, now) : '');
}

/* Whether one who reads it sees a change: 1/8 in and 0.125 in are the same. */
function isChange(setting) {
  const { section, key, value } = placeOf(setting);
  const now = job.get(section, key) || lastDefaults[section + '.' + key];
  const parts = (text) => [numberOf(text), text.replace(/^[-+0-9./\s]+/, '')];
  const [told, toldNow] = [valueTold(section, key, value), valueTold(section, key, now || '')];
  const [[size, unit], [sizeNow, unitNow]] = [told, toldNow].map(parts);
  return told !== toldNow && !(unit === unitNow && Math.abs(size - sizeNow) < 1e-9 * Math.abs(size));
}

function settingsWords(settings) {
  const seen = settings.filter(isChange);
  return (seen.length > 0 ? seen : settings).map(settingWords);
}

function applySettings(settings) {
  remember('change');
  /* what is stated and stays keeps its form; what is not stated may follow from what changes */
  settings.filter((setting) => isChange(setting) || job.get(placeOf(setting).section, placeOf(setting).key) === null)
    .map(placeOf).forEach(({ section, key, value }) => job.set(section, key, value));
  rebuilt();
  showChanged();
}

/* What a change from further down has done is to be seen. */
function showChanged() {
  byId('answer').focus({ preventScroll: true });
  byId('answer').scrollIntoView();
}

function setButton(text) {
  const settings = text.split(' ').filter((setting) => setting.includes('='));
  if (!settings.some(isChange)) {
    return make('p', {}, 'That is how it stands now.');
  }
  return make('p', {}, button('Set ' + settingsWords(settings).join(', '), () => applySettings(settings), { class: 'wide' }));
}

function timeWords(ratio) {
  return ratio > 1.005 ? ', takes ' + Number(ratio.toPrecision(2)) + ' times as long'
    : ratio < 0.995 ? ', takes ' + Number(ratio.toPrecision(2)) + ' of the time' : ', takes as long';
}

function showDowns({ check, said }, searching) {
  const out = [];
  if (searching) {
    out.push(busy('Looking for what to turn down'));
  } else if (check.turn_downs.length > 0) {
    const pair = check.turn_downs.length === 1 && check.turn_downs[0].change.includes(' + ');
    out.push(make('h3', {}, pair ? 'No single change is enough; these do together' : 'Turn down one of these; tap to apply'),
      make('ul', { class: 'downs' }, check.turn_downs.map((down, i) => make('li', {},
        button(settingsWords(down.set).join(' and ') + ': hold factor ' + said.turn_downs[i] + timeWords(down.time_ratio) +
          (said.sways[i] ? ', but the part sways ' + said.sways[i] : ''),
          () => applySettings(down.set), { class: 'wide', 'data-set': down.set.join(' ') })))));
  } else if (check.verdict !== 'holds') {
    out.push(make('p', {}, 'No single change that was tried is enough, nor any two.'));
  }
  if (!searching && check.advice) {
    out.push(...check.advice.map((line) => make('p', {}, pageWords(line))));
  }
  if (before !== null && before.by === 'change' && before.after === job.text()) { /* later edits would be lost with it */
    out.push(make('p', {}, button('Put it back as it was', putBack)));
  }
  byId('downs').replaceChildren(...out);
}

/* ---- all of an answer ---- */

function takeDefaults(lines) {
  lines.forEach((line) => {
    const found = /^(\S+) = (.+)$/.exec(line);
    if (found) {
      lastDefaults[found[1]] = found[2];
    }
  });
}

function showDefaults() {
  document.querySelectorAll('#job input[type=text][data-key]').forEach((input) => {
    input.showDefault();
  });
  document.querySelectorAll('#job select[data-key] option[value=""]').forEach((option) => {
    const [, section, key] = /^(.*)\.([^.]+)$/.exec(option.parentElement.dataset.key);
    option.textContent = leftOut(section, specOf(section, key));
    option.parentElement.dispatchEvent(new Event('told'));
  });
  showClipped();
}

/* What the answer stands on, in short; all of it stands under Everything. */
function listsOf(check) {
  const weak = check.sources.filter((source) => source.trust !== 'published' && source.trust !== 'measured');
  const pairs = [
    { label: 'assumed', text: check.defaults.length + ' values that the job does not say; Everything lists them' },
    { label: 'trust', text: weak.length === 0 ? 'every row is measured or published' : weak.map((s) => s.row + ': ' + s.trust).join(', ') },
    { label: 'not checked', text: check.not_checked.join('; ') },
  ];
  return pairsOf(pairs);
}

function showAnswer(answer, searching) {
  unmark();
  shown = answer;
  showVerdict(answer.check, answer.brief);
  const [first, ...others] = answer.brief.sections;
  byId('findings').replaceChildren(...docOf({ sections: [{ title: first.title, blocks: first.blocks.slice(1).filter((block) => !isWhy(block)) }, ...others] }));
  byId('picture').replaceChildren(...titled('', answer.part), ...titled(narrowly.matches ? 'The stack from the side' : '', answer.stack),
    ...titled('How warm it gets', answer.heat));
  byId('lists').replaceChildren(listsOf(answer.check));
  byId('whole').querySelector('div').replaceChildren(...docOf(answer.full));
  ['whole', ...Object.keys(asides)].forEach((id) => { byId(id).hidden = false; });
  lastDefaults = {};
  takeDefaults(answer.check.defaults);
  showDefaults();
  showDowns(answer, searching);
  showBelow(true);
}
