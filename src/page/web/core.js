'use strict';

/* ---- what the build put in ---- */

const stuff = JSON.parse(document.getElementById('stuff').textContent);
const TABLES = ['stock', 'tape', 'glue', 'cutter', 'machine', 'coolant', 'plate'];
const STORE = 'tackhold.';

function byId(id) {
  return document.getElementById(id);
}

/* An element; children are elements or text, never markup. */
function make(name, attributes, ...children) {
  const element = document.createElement(name);
  Object.entries(attributes || {}).forEach(([key, value]) => {
    if (key.startsWith('on')) {
      element.addEventListener(key.slice(2), value);
    } else if (value === true) {
      element.setAttribute(key, '');
    } else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(key, value);
    }
  });
  children.flat(Infinity).forEach((child) => {
    if (child !== null && child !== undefined) {
      element.append(child);
    }
  });
  return element;
}

function button(text, onclick, more) {
  return make('button', { type: 'button', onclick, ...more }, text);
}

/* ---- what the browser keeps: private windows may refuse, and there is room for little ---- */

function stored(name, fallback) {
  try {
    const text = localStorage.getItem(STORE + name);
    return text === null ? fallback : JSON.parse(text);
  } catch (fault) {
    return fallback;
  }
}

function store(name, value) {
  try {
    localStorage.setItem(STORE + name, JSON.stringify(value));
    return true;
  } catch (fault) {
    try {
      localStorage.removeItem(STORE + name); /* what is older is no longer true */
    } catch (again) {
      /* nothing is kept at all */
    }
    return false;
  }
}

/* ---- the core, in threads ---- */

async function unpack(text) {
  if (typeof WebAssembly === 'undefined' || typeof DecompressionStream === 'undefined' || typeof Worker === 'undefined') {
    throw new Error('it lacks WebAssembly, worker threads or streams that unpack gzip');
  }
  const bytes = Uint8Array.from(atob(text.trim()), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'));
  return WebAssembly.compile(await new Response(stream).arrayBuffer());
}

/* No answer: the question was dropped, or its thread is gone. */
const DROPPED = { code: -1, text: '' };

const LARGE = 320 * 1048576; /* bytes of a thread that is not kept */

class Thread {
  constructor(module, holds) {
    this.module = module;
    this.holds = holds; /* gives the tables and drawings to begin with */
    this.waiting = new Map();
    this.next = 0;
    this.asking = 0; /* questions under way */
    this.worker = null;
  }

  start() {
    const address = URL.createObjectURL(new Blob([byId('worker').textContent], { type: 'text/javascript' }));
    const worker = new Worker(address);
    URL.revokeObjectURL(address);
    this.worker = worker;
    worker.onmessage = (event) => this.took(event.data);
    worker.onerror = (event) => {
      event.preventDefault();
      if (this.worker === worker) {
        this.stop({ code: 3, text: JSON.stringify({ file: '', line: 0, message: 'the core stopped: ' + (event.message || 'its thread ended') }) });
      }
    };
    this.ready = this.send({ module: this.module, ...this.holds() });
    return this.ready;
  }

  took({ id, result, stopped, memory }) {
    const done = this.waiting.get(id);
    this.waiting.delete(id);
    /* its memory can no longer be trusted, or is large and never shrinks: the next question gets a fresh one */
    if (stopped || (memory > LARGE && this.waiting.size === 0)) {
      this.stop();
    }
    if (done) {
      done(result);
    }
  }

  send(what) {
    return new Promise((done) => {
      this.next += 1;
      this.waiting.set(this.next, done);
      this.worker.postMessage({ id: this.next, what });
    });
  }

  /* Ask; with `fresh` what is still being worked out is dropped, and its thread with it. */
  async ask(what, job, fresh) {
    if (fresh && this.waiting.size > 0) {
      this.stop();
    }
    if (!this.worker) {
      this.start();
    }
    const mine = this.worker;
    const begun = await this.ready;
    if (begun.code > 1) {
      return begun;
    }
    if (this.worker !== mine) {
      return DROPPED;
    }
    this.asking += 1;
    const result = await this.send({ ask: what, job: job || '', settings: '' });
    this.asking -= 1;
    return result;
  }

  stop(result) {
    if (this.worker) {
      this.worker.terminate();
      this.worker = null;
    }
    const left = [...this.waiting.values()];
    this.waiting.clear();
    left.forEach((done) => done(result || DROPPED));
  }
}
