/* One thread that holds a copy of the core. Gets {module, tables, own, files} once, then questions. */
'use strict';

let core = null;
let page = 0;
const encoder = new TextEncoder();
const decoder = new TextDecoder();

function give(text) {
  const bytes = encoder.encode(text);
  const at = core.th_page_take(bytes.length + 1);
  if (at === 0) {
    throw new Error('out of memory');
  }
  const memory = new Uint8Array(core.memory.buffer);
  memory.set(bytes, at);
  memory[at + bytes.length] = 0;
  return { at, size: bytes.length };
}

function withTexts(texts, use) {
  const given = texts.map(give);
  try {
    return use(given);
  } finally {
    given.forEach((text) => core.th_page_give_back(text.at));
  }
}

function answer() {
  const at = core.th_page_answer(page);
  return decoder.decode(new Uint8Array(core.memory.buffer, at, core.th_page_answer_size(page)));
}

/* The core prints nothing; what the C library asks for is refused (8: bad file). */
function refusals(module) {
  const refused = {};
  WebAssembly.Module.imports(module).forEach((wanted) => {
    refused[wanted.module] = refused[wanted.module] || {};
    refused[wanted.module][wanted.name] = () => 8;
  });
  return refused;
}

async function begin(what) {
  const made = await WebAssembly.instantiate(what.module, refusals(what.module));
  core = made.exports;
  core._initialize();
  page = core.th_page_new();
  if (page === 0) {
    throw new Error('out of memory');
  }
  const faults = [];
  const load = (texts, own) => texts.forEach((text, table) => {
    if (text && withTexts([text], ([t]) => core.th_page_table(page, table, t.at, t.size, own)) !== 0) {
      faults.push({ table, own, ...JSON.parse(answer()) });
    }
  });
  load(what.tables, 0);
  load(what.own, 1);
  what.files.forEach((file) => withTexts([file.name, file.text, file.events], ([n, t, e]) =>
    core.th_page_file(page, n.at, t.at, t.size, e.at)));
  return { faults };
}

function ask(what) {
  return withTexts([what.ask, what.job, what.settings], ([a, j, s]) => {
    const code = core.th_page_ask(page, a.at, j.at, j.size, s.at);
    return { code, text: answer() };
  });
}

/* A trap leaves the memory as it was amid the work: this thread answers no more. */
self.onmessage = async (event) => {
  const { id, what } = event.data;
  try {
    const result = what.module ? await begin(what) : ask(what);
    self.postMessage({ id, result, memory: core.memory.buffer.byteLength });
  } catch (fault) {
    self.postMessage({ id, stopped: true, result: { code: 3, text: JSON.stringify({
      file: '', line: 0, message: 'the core stopped: ' + fault.message }) } });
  }
};
