/* ---- the job as a form: a sentence to fill in, then what is seldom changed ---- */

let job = null; /* JobText */
let jobName = 'job.ini';
let drawings = []; /* {name, text, events} */
let lastDefaults = {}; /* what the core filled in, by section.key */
const keys = {};  /* section -> list of keys */
const lists = {}; /* table -> rows */

function units() {
  return job.get('job', 'units') === 'inch' ? 'inch' : 'mm';
}

function groupOf(section) {
  return keys[section.split('.')[0]] || [];
}

function specOf(section, key) {
  return groupOf(section).find((spec) => spec.key === key);
}

function setKey(section, key, value) {
  job.set(section, key, value);
  changed();
}

/* The job's text takes no chip load without its unit; a field may, in the usual one of the job's units. */
function withItsUnit(spec, text) {
  const bare = spec.kind === 'chip load' && /^\s*[0-9]*\.?[0-9]+\s*$/.test(text);
  return bare ? text.trim() + ' ' + unitBeside(spec, text) : text;
}

function spoken(key) {
  return key.replace(/_/g, ' ');
}

/* ---- fields ---- */

function defaultOf(section, spec) {
  const known = lastDefaults[section + '.' + spec.key] || spec.default || '';
  if (known === '' && isNeeded(section, spec)) {
    return 'needed';
  }
  if (known === '' && section === 'hold' && spec.key === 'tape_below') {
    return job.get('hold', 'glue') === 'none' ? 'nothing, the tape sticks on both sides' : 'the same tape';
  }
  return known;
}

function isNeeded(section, spec) {
  return spec.required || spec.needed_by.includes(job.get(section, 'operation') || '');
}

/* Words of an option that leaves a key out. */
function leftOut(section, spec) {
  const initial = defaultOf(section, spec);
  const row = (lists[spec.kind] || []).find((one) => one.id === initial);
  if (initial === 'needed') {
    return 'choose';
  }
  return initial ? (row ? row.name : initial) + ' (unless said)' : spec.required ? 'choose' : 'not said';
}

function selectOf(section, spec, label, options) {
  const value = job.get(section, spec.key);
  const select = make('select', { 'aria-label': label, 'data-key': section + '.' + spec.key,
    onchange: (event) => {
      setKey(section, spec.key, event.target.value);
      showClipped();
    } });
  if (!spec.required || !value) {
    select.append(make('option', { value: '' }, leftOut(section, spec)));
  }
  options.forEach(([id, text]) => select.append(make('option', { value: id, selected: id === value }, text)));
  if (value && !options.some(([id]) => id === value)) {
    select.append(make('option', { value, selected: true }, value + ' (not known)'));
  }
  return select;
}

function rowOf(table, id) {
  return (lists[table] || []).find((row) => row.id === id);
}

/* What is chosen has its trust beside it, where a narrow field does not cut it off; the others after their names. */
function rowSelect(section, spec, label) {
  const trust = make('span', { class: 'trust' });
  const select = selectOf(section, spec, label, (lists[spec.kind] || []).map((row) => [row.id, row.name]));
  const tell = () => {
    const chosen = rowOf(spec.kind, select.value || defaultOf(section, spec));
    trust.textContent = chosen ? chosen.trust : '';
    [...select.options].filter((option) => option.value !== '').forEach((option) => {
      const row = rowOf(spec.kind, option.value);
      option.textContent = row ? row.name + (row.own ? ', own row' : '') + (option.selected ? '' : ', ' + row.trust) : option.textContent;
    });
  };
  tell();
  select.addEventListener('change', tell);
  select.addEventListener('told', tell);
  return make('span', { class: 'picked' }, select, trust, make('span', { class: 'whole', 'aria-hidden': 'true', hidden: true }));
}

/* A name that its field cuts off stands whole below it where it is narrow, and comes up under a pointer elsewhere. */
const pen = document.createElement('canvas').getContext('2d');
const ARROW = 20; /* px that a browser draws it in */

function showClipped() {
  document.querySelectorAll('#job .picked > select').forEach((select) => {
    const name = select.selectedOptions.length > 0 ? select.selectedOptions[0].textContent : '';
    const style = getComputedStyle(select);
    pen.font = style.fontSize + ' ' + style.fontFamily;
    const room = select.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - ARROW;
    const whole = select.parentElement.querySelector('.whole');
    select.title = name;
    whole.textContent = name;
    whole.hidden = select.clientWidth === 0 || pen.measureText(name).width <= room;
  });
}

function cutterSelect(section, spec, label) {
  const names = job.sections().filter((name) => name.startsWith('cutter.')).map((name) => name.slice(7));
  return make('span', { class: 'picked' }, selectOf(section, { ...spec, required: true }, label, names.map((name) => {
    const row = rowOf('cutter', job.get('cutter.' + name, 'id'));
    return [name, name + (row ? ': ' + row.name : '')];
  })), make('span', { class: 'whole', 'aria-hidden': 'true', hidden: true }));
}

/* What a bare number is read in; nothing once a unit stands with it. */
function unitBeside(spec, text) {
  const inch = units() === 'inch';
  const bare = { length: inch ? 'in' : 'mm', 'spindle speed': 'rpm', 'feed rate': inch ? 'in/min' : 'mm/min', angle: 'deg',
    'chip load': inch ? 'in/tooth' : 'mm/tooth' };
  return bare[spec.kind] && /^[-+0-9./ ,x]+$/.test(text) ? bare[spec.kind] : '';
}

/* What is typed counts when letters pause, or when something else needs the job as it stands. */
const TYPING = 120; /* ms */
let unheard = null;   /* takes what has been typed last; null: nothing is waited for */

function takeTyped() {
  if (unheard) {
    unheard();
  }
}

function textField(section, spec, label) {
  const value = job.get(section, spec.key) || '';
  const unit = make('span', { class: 'unit', 'aria-hidden': 'true' });
  const input = make('input', { type: 'text', 'aria-label': label, 'data-key': section + '.' + spec.key, value,
    autocapitalize: 'off', autocomplete: 'off', spellcheck: 'false',
    list: spec.key === 'outline' || spec.key === 'taped' ? 'drawing-names' : null });
  input.spec = spec;
  const around = make('span', { class: 'typed' }, input, unit);
  input.showUnit = () => {
    const empty = input.placeholder === 'needed' || (spec.kind === 'chip load' && input.placeholder === '');
    unit.textContent = unitBeside(spec, input.value || (empty ? '0' : ''));
    around.classList.toggle('has-unit', unit.textContent !== '');
    around.style.setProperty('--unit', unit.textContent.length);
    input.style.setProperty('--letters', Math.max(input.value.length, input.placeholder.length));
  };
  input.take = () => {
    clearTimeout(input.wait);
    unheard = null;
    setKey(section, spec.key, withItsUnit(spec, input.value));
  };
  /* once more where the core has told what it takes for an empty field */
  input.showDefault = () => {
    input.placeholder = defaultOf(section, spec);
    input.showUnit();
  };
  input.showDefault();
  input.addEventListener('input', () => {
    input.showUnit();
    clearTimeout(input.wait);
    input.wait = setTimeout(input.take, TYPING);
    if (unheard !== input.take) {
      takeTyped();
    }
    unheard = input.take;
  });
  return around;
}

function flagBoxes(section, spec, label) {
  const set = new Set((job.get(section, spec.key) || '').split(' ').filter((word) => word));
  return make('span', { role: 'group', 'aria-label': label, class: 'flags' }, spec.words.split(' ').map((word) => {
    const box = make('input', { type: 'checkbox', checked: set.has(word), 'data-key': section + '.' + spec.key + ' ' + word,
      onchange: () => {
        set.delete(word);
        if (box.checked) {
          set.add(word);
        }
        setKey(section, spec.key, spec.words.split(' ').filter((w) => set.has(w)).join(' '));
      } });
    return make('label', {}, box, ' ' + word);
  }));
}

function field(section, spec, label) {
  if (spec.key === 'cutter' && section.startsWith('cut.')) {
    return cutterSelect(section, spec, label);
  }
  if (spec.form === 'row') {
    return rowSelect(section, spec, label);
  }
  if (spec.form === 'word') {
    return selectOf(section, spec, label, spec.words.split(' ').map((word) => [word, word]));
  }
  return spec.form === 'flags' ? flagBoxes(section, spec, label) : textField(section, spec, label);
}

/* The next round figure below or above, in steps of 2 to 10 percent. What stands behind the number stays. */
function stepped(text, direction) {
  const found = /^\s*([0-9]+)\s*\/\s*([0-9]+)(.*)$/.exec(text) || /^\s*([0-9]*\.?[0-9]+)()(.*)$/.exec(text);
  const value = found ? Number(found[1]) / (found[2] === '' ? 1 : Number(found[2])) : 0;
  if (!(value > 0) || !Number.isFinite(value)) {
    return null;
  }
  const decade = 10 ** Math.floor(Math.log10(value) + 1e-12);
  const leading = value / decade;
  const coarse = decade * (leading < 2 - 1e-9 ? 0.1 : leading < 5 - 1e-9 ? 0.2 : 0.5);
  const fine = direction < 0 && Math.abs(leading - 1) < 1e-9 ? decade * 0.05 : coarse;
  const places = Math.max(0, 2 - Math.floor(Math.log10(decade) + 1e-12));
  const next = (direction < 0 ? Math.ceil(value / fine - 1e-6) - 1 : Math.floor(value / fine + 1e-6) + 1) * fine;
  return next > 0 ? String(Number(next.toFixed(places))) + found[3] : null;
}

/* A number as typed, fractions too. */
function numberOf(text) {
  const found = /^\s*(?:([0-9]+)-)?([0-9]*\.?[0-9]+)(?:\s*\/\s*([0-9]+))?/.exec(text);
  return found ? Number(found[1] || 0) + Number(found[2]) / Number(found[3] || 1) : NaN;
}

/* A figure of a row that the job does not override, in the core's unit; NaN: not known. */
function rowFigure(section, table, key) {
  const row = job.get(section, key) ? null : rowOf(table, job.get(section, 'id'));
  const value = row ? row.values.find((one) => one.key === key) : null;
  return value && typeof value.value === 'number' ? value.value : NaN;
}

/* The most that a step may reach, in the unit of the text: the spindle's speed, the cutter's diameter; NaN: not known. */
function mostOf(section, spec, text) {
  const unit = /[0-9.]\s*(mm|in|"|rpm)?\s*$/.exec(text);
  if (spec.key === 'speed' && unit) {
    return rowFigure('machine', 'machine', 'speed_max');
  }
  if (spec.key !== 'radial' || !unit) {
    return NaN;
  }
  const inch = unit[1] ? unit[1] !== 'mm' : units() === 'inch';
  return Number((rowFigure('cutter.' + job.get(section, 'cutter'), 'cutter', 'diameter') / (inch ? 25.4 : 1)).toPrecision(6));
}

/* No step leads past the most. */
function steppedTo(text, direction, most) {
  const next = stepped(text, direction);
  if (next === null || direction < 0 || !(numberOf(next) > most)) {
    return next;
  }
  return numberOf(text) < most * (1 - 1e-6) ? String(most) + next.replace(/^[-0-9./\s]*[0-9.]/, '') : null;
}

/* An empty field is stepped from what the core takes for it; where that is not known the buttons wait. */
function stepper(section, spec, label) {
  const typed = textField(section, spec, label);
  const input = typed.querySelector('input');
  const next = (direction) => {
    const text = input.value || input.placeholder;
    return steppedTo(text, direction, mostOf(section, spec, text));
  };
  const go = (direction) => () => {
    const text = next(direction);
    if (text !== null) {
      clearTimeout(input.wait);
      input.value = text;
      input.showUnit();
      setKey(section, spec.key, withItsUnit(spec, text));
    }
  };
  const place = section + '.' + spec.key;
  const less = button('\u2212', go(-1), { 'aria-label': 'less ' + label, 'data-key': place + ' less' });
  const more = button('+', go(1), { 'aria-label': 'more ' + label, 'data-key': place + ' more' });
  const whole = spec.key === 'radial' ? fullWidth(section, input) : null;
  const why = make('span', { class: 'help stuck' });
  const { showUnit } = input;
  input.showUnit = () => {
    showUnit();
    less.disabled = next(-1) === null;
    more.disabled = next(1) === null;
    const stuck = input.value === '' && less.disabled;
    if (whole) {
      whole.hidden = !stuck;
    }
    why.textContent = stuck && !whole ? whyStuck(section, spec) : '';
  };
  input.showUnit();
  return [make('span', { class: 'step' }, less, typed, more), whole, why];
}

/* The diameter of a cut's cutter as a length of the job; null: not known. */
function diameterOf(section) {
  const cutter = 'cutter.' + job.get(section, 'cutter');
  const figure = rowFigure(cutter, 'cutter', 'diameter') / (units() === 'inch' ? 25.4 : 1);
  return job.get(cutter, 'diameter') || (figure > 0 ? String(Number(figure.toPrecision(6))) : null);
}

/* What a slot or an outline is most often cut with, at a tap. */
function fullWidth(section, input) {
  const diameter = diameterOf(section);
  if (diameter === null || !['slot', 'outline'].includes(job.get(section, 'operation'))) {
    return null;
  }
  return button('full width, ' + [diameter, unitBeside(input.spec, diameter)].join(' ').trim(), () => {
    input.value = diameter;
    input.showUnit();
    input.focus();
    setKey(section, 'radial', diameter);
  }, { class: 'full', 'data-key': section + '.radial full', hidden: true });
}

/* Why there is nothing yet to step from. */
function whyStuck(section, spec) {
  const lacks = [['stock', 'part', 'stock'], ['machine', 'machine', 'id'], ['cutter', 'cutter.' + job.get(section, 'cutter'), 'id']]
    .filter(([, where, key]) => !job.get(where, key)).map(([word]) => word);
  return ['speed', 'chip_load'].includes(spec.key) && lacks.length > 0
    ? 'chosen from ' + lacks.join(' and ') + ', still to be said' : 'type a first figure to step from';
}

/* ---- the sentence ---- */

/* Marks between the blanks stand for themselves, so that a narrow screen can do without. */
function phrase(...pieces) {
  return make('p', { class: 'sentence' }, pieces.flat(Infinity).map((piece) => {
    const found = typeof piece === 'string' ? /^([,.;]) ?(.*)$/.exec(piece) : null;
    return found ? [make('span', { class: 'mark' }, found[1] + ' '), found[2]] : piece;
  }));
}

function blank(section, key, label) {
  return field(section, specOf(section, key), label);
}

function partSentence() {
  return phrase('The part is ', blank('part', 'length', 'length of the part, along x'), ' by ',
    blank('part', 'width', 'width of the part, along y'), ' and ', blank('part', 'thickness', 'thickness of the stock'),
    ' thick, of ', blank('part', 'stock', 'stock'), '.');
}

function holdSentence() {
  return phrase('On the part sticks ', blank('hold', 'tape', 'tape on the part'), ', then ', blank('hold', 'glue', 'glue'),
    ', then ', blank('hold', 'tape_below', 'tape on the plate'), ' on the plate, ', blank('hold', 'plate', 'sacrificial plate'),
    '. The faces are ', blank('hold', 'preparation', 'how the faces were prepared'), ', pressed by ',
    blank('hold', 'pressed', 'how it was pressed'), ', tape under ', blank('hold', 'coverage', 'share of the part with tape under it'),
    ' of the part. It is cut ', blank('hold', 'wait', 'time from gluing to cutting'), ' after gluing, with ',
    blank('hold', 'cooling', 'cooling'), '.');
}

function machineSentence() {
  return phrase('The machine is ', blank('machine', 'id', 'machine'), '. The bond must be ',
    blank('job', 'asked_factor', 'asked hold factor'), ' times as strong as the cut needs.');
}

/* Of several each is called by its name. */
function cutterSentence(section, position, all) {
  const name = all.length > 1 ? ' ' + section.slice(7) : '';
  return phrase(name ? 'Cutter' + name + ' is ' : 'The cutter is ', blank(section, 'id', 'cutter' + name), ', its wear ',
    blank(section, 'wear', 'wear of the cutter' + name), ' (1 new, 1.3 used, 1.6 worn).');
}

const IN_SENTENCE = {
  job: ['title', 'units', 'asked_factor'],
  part: ['length', 'width', 'thickness', 'stock'],
  hold: ['tape', 'glue', 'tape_below', 'plate', 'preparation', 'pressed', 'coverage', 'wait', 'cooling'],
  machine: ['id'],
};
const CUT_FIRST = ['operation', 'cutter', 'radial', 'axial', 'chip_load', 'speed'];
const STEPPED = { radial: 'radial (stepover)', axial: 'axial (depth)', chip_load: 'chip load', speed: 'speed' };

function takes(spec, operation) {
  return (spec.needed_by.length === 0 && spec.taken_by.length === 0) ||
    spec.needed_by.includes(operation) || spec.taken_by.includes(operation);
}

/* What a job still lacks, as [section, key]. */
function missing() {
  const lacks = (section, specs) => specs.filter((spec) => !job.get(section, spec.key))
    .map((spec) => [section, spec.key]);
  const plain = ['job', 'part', 'hold', 'machine'].flatMap((section) => lacks(section, groupOf(section).filter((s) => s.required)));
  const listed = job.sections().filter((section) => /^(opening|cutter)\./.test(section))
    .flatMap((section) => lacks(section, groupOf(section).filter((s) => s.required)));
  return plain.concat(listed, numbered('cut').flatMap((section) => {
    const operation = job.get(section, 'operation') || '';
    return lacks(section, groupOf(section).filter((s) => s.required || s.needed_by.includes(operation) ||
      (s.key === 'cutter' && operation !== 'push')));
  }));
}

/* ---- blocks ---- */

function labelled(section, spec) {
  if (spec.form === 'flags') {
    return make('div', {}, spoken(spec.key), flagBoxes(section, spec, spoken(spec.key)), make('span', { class: 'help' }, spec.help));
  }
  return make('label', {}, spoken(spec.key), field(section, spec, null), make('span', { class: 'help' }, helpOf(spec)));
}

/* The page has no files beside the job. */
function helpOf(spec) {
  return spec.help.replace(/ beside the job file/, ' opened here');
}

function grid(section, specs) {
  return make('div', { class: 'grid' }, specs.map((spec) => labelled(section, spec)));
}

function folded(name, title, ...inside) {
  return make('details', { 'data-more': name }, make('summary', { 'data-key': 'fold ' + name }, title), inside);
}

function cutButtons(section, position, count, named) {
  return make('p', {},
    button('Earlier', () => swapCuts(position, position - 1), { disabled: position === 0, 'data-key': section + ' earlier', 'aria-label': named + ' earlier' }), ' ',
    button('Later', () => swapCuts(position, position + 1), { disabled: position === count - 1, 'data-key': section + ' later', 'aria-label': named + ' later' }), ' ',
    button('Remove ' + named.toLowerCase(), () => removeSection(section, 'add cut'), { disabled: count === 1, 'data-key': section + ' remove' }));
}

function cutSection(section, position, count) {
  const operation = job.get(section, 'operation') || '';
  const group = groupOf(section);
  const steps = Object.keys(STEPPED).map((key) => specOf(section, key)).filter((spec) => spec && takes(spec, operation));
  const needed = group.filter((spec) => !CUT_FIRST.includes(spec.key) && spec.needed_by.includes(operation));
  const rest = group.filter((spec) => !CUT_FIRST.includes(spec.key) && !needed.includes(spec) && takes(spec, operation));
  const named = 'Cut ' + section.slice(4); /* as the answer calls it: its number need not be its place */
  const first = [blank(section, 'operation', 'operation of ' + named)];
  const cutters = job.sections().filter((name) => name.startsWith('cutter.'));
  if (operation !== 'push' && (cutters.length > 1 || 'cutter.' + job.get(section, 'cutter') !== cutters[0])) {
    first.push(', done with cutter ', blank(section, 'cutter', 'cutter of ' + named));
  }
  return make('section', { class: 'cut', 'aria-label': named }, make('h3', {}, named), phrase(first),
    make('div', { class: 'steps' }, steps.map((spec) => make('div', {}, make('span', { class: 'what' }, STEPPED[spec.key]),
      stepper(section, spec, spoken(spec.key) + ' of ' + named)))),
    needed.length > 0 ? grid(section, needed) : null,
    rest.length > 0 ? folded('more ' + section, 'More about ' + named.toLowerCase(), grid(section, rest)) : null,
    cutButtons(section, position, count, named));
}

function cutterBlock(section) {
  const name = section.slice(7);
  const used = numbered('cut').some((cut) => job.get(cut, 'cutter') === name);
  return folded(section, 'More about cutter ' + name + ': diameter, flutes, stickout',
    make('p', { class: 'small' }, 'Left empty, these are as the row of the table says:'),
    grid(section, groupOf(section).filter((spec) => !['id', 'wear'].includes(spec.key))),
    make('p', {}, button(used ? 'A cut uses cutter ' + name : 'Remove cutter ' + name, () => removeSection(section, 'add cutter'),
      { disabled: used, 'data-key': section + ' remove' })));
}

function openingBlock(section) {
  return folded(section, 'Opening ' + section.slice(8), grid(section, groupOf(section)),
    make('p', {}, button('Remove opening ' + section.slice(8), () => removeSection(section, 'add opening'), { 'data-key': section + ' remove' })));
}

function plainBlock(section, title) {
  const shown = IN_SENTENCE[section] || [];
  return folded(section, title, grid(section, groupOf(section).filter((spec) => !shown.includes(spec.key))));
}

/* ---- changes of more than a value ---- */

function numbered(kind) {
  return job.sections().filter((name) => name.startsWith(kind + '.'))
    .sort((a, b) => Number(a.slice(kind.length + 1)) - Number(b.slice(kind.length + 1)));
}

function swapCuts(a, b) {
  const cuts = numbered('cut');
  job.rename(cuts[a], 'cut.0');
  job.rename(cuts[b], cuts[a]);
  job.rename('cut.0', cuts[b]);
  const last = b === 0 || b === cuts.length - 1;
  rebuilt(cuts[b] + (last ? (b === 0 ? ' later' : ' earlier') : b < a ? ' earlier' : ' later'));
}

function removeSection(section, focus) {
  remember('removal');
  job.remove(section);
  rebuilt(focus);
}

function nextNumber(kind) {
  return kind + '.' + (numbered(kind).reduce((most, name) => Math.max(most, Number(name.slice(kind.length + 1))), 0) + 1);
}

function addCut() {
  const section = nextNumber('cut');
  const cutter = job.sections().find((name) => name.startsWith('cutter.'));
  job.add(section);
  if (cutter) {
    job.set(section, 'cutter', cutter.slice(7));
  }
  rebuilt(section + '.operation');
}

function addCutter() {
  let n = 1;
  while (job.span('cutter.c' + n)) {
    n++;
  }
  job.add('cutter.c' + n);
  rebuilt('cutter.c' + n + '.id');
}

function addOpening() {
  const section = nextNumber('opening');
  job.add(section);
  rebuilt(section + '.at');
}

/* ---- drawing the form ---- */

function focusOn(place) {
  const found = document.querySelector('[data-key="' + CSS.escape(place) + '"]');
  if (!found) {
    return false;
  }
  for (let fold = found.closest('details'); fold; fold = fold.parentElement.closest('details')) {
    fold.open = fold.open || !found.matches('summary');
  }
  found.focus();
  return document.activeElement === found;
}

/* Draw the form anew, keeping what was unfolded and where the keyboard was, or go to `focus`. */
function drawJob(focus) {
  const open = new Set([...document.querySelectorAll('#job details[open][data-more]')].map((d) => d.dataset.more));
  const active = document.activeElement;
  const at = focus || (active && byId('job').contains(active) ? active.dataset.key : null);
  const mark = active && active.matches('input[type=text]') ? [active.selectionStart, active.selectionEnd] : null;
  const cuts = numbered('cut');
  byId('job-name').replaceChildren(make('label', {}, 'Title ', blank('job', 'title', null)));
  const cutters = job.sections().filter((section) => section.startsWith('cutter.'));
  byId('sentence').replaceChildren(partSentence(), holdSentence(), machineSentence(), ...cutters.map(cutterSentence));
  byId('cuts').replaceChildren(...cuts.map((section, i) => cutSection(section, i, cuts.length)));
  byId('more').replaceChildren(
    plainBlock('part', 'More about the part: shape, sheet, copies, bow'),
    ...numbered('opening').map(openingBlock),
    plainBlock('hold', 'More about the hold: strips, stops, plate, times'),
    ...cutters.map(cutterBlock),
    plainBlock('machine', 'More about the machine'),
    plainBlock('job', 'More about the job'));
  document.querySelectorAll('#job details[data-more]').forEach((d) => { d.open = open.has(d.dataset.more); });
  document.querySelectorAll('[name=units]').forEach((radio) => { radio.checked = radio.value === units(); });
  byId('drawing-names').replaceChildren(...drawings.map((file) => make('option', { value: file.name })));
  if (at && focusOn(at) && mark && !focus) {
    document.activeElement.setSelectionRange(...mark);
  }
  showClipped();
}

/* ---- typing into a select ---- */

/* Letters pick by all of them so far, as long as the select stays the same element: where they change which
 * fields there are, the form is drawn anew only when they have paused or the select is left. */
const LETTERS = 1200; /* ms; browsers forget after a second */

/* What the tabulator reaches after a place of the form, or before it; null: nothing in the form. */
function fieldBeside(place, back) {
  const all = [...document.querySelectorAll('#job [data-key]')].filter((e) => e.dataset.key === place || (!e.disabled && e.checkVisibility()));
  return all[all.findIndex((e) => e.dataset.key === place) + (back ? -1 : 1)] || null;
}

class Redrawing {
  constructor(form) {
    this.typing = false; /* a letter was the last that happened to a select */
    this.due = false;
    this.timer = null;
    form.addEventListener('keydown', (event) => this.pressed(event));
    form.addEventListener('change', (event) => this.picked(event.target.dataset.key || ''));
    document.addEventListener('pointerdown', () => {
      this.typing = false;
      clearTimeout(this.timer); /* what is under the pointer stays there until it is let go */
    }, true);
    ['pointerup', 'pointercancel'].forEach((name) => document.addEventListener(name, () => setTimeout(() => this.draw(), 0), true));
  }

  pressed(event) {
    this.typing = event.target.matches('select') && event.key.length === 1 && !event.ctrlKey && !event.metaKey;
    if (this.typing && this.due) {
      this.wait();
    } else if (this.due && event.key === 'Tab') {
      const place = event.target.dataset.key;
      setTimeout(() => this.leave(place, event.shiftKey), 0);
    }
  }

  /* The focus has gone on to what stood there before. */
  leave(place, back) {
    this.draw();
    const beside = fieldBeside(place, back);
    if (beside) {
      beside.focus();
    }
  }

  /* An operation changes which keys there are, a cutter what they start from, glue whether tape is below. */
  picked(place) {
    if (/^cut\.\d+\.(operation|cutter)$|^cutter\..*\.id$|^hold\.glue$/.test(place)) {
      this.due = true;
      if (this.typing) {
        this.wait();
      } else {
        this.draw();
      }
    }
  }

  wait() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.draw(), LETTERS);
  }

  draw() {
    clearTimeout(this.timer);
    if (this.due) {
      this.due = false;
      drawJob();
    }
  }
}
