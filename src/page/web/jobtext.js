/* The job as its file has it: lines, of which keys are read and changed in place, so that comments and order
 * stay. The core reads the text for itself; this only finds where a key stands. */
class JobText {
  /* Line ends stay as they are; new lines take those of the first one. */
  constructor(text) {
    this.lines = text.split('\n');
    this.end = this.lines.length > 1 && this.lines[0].endsWith('\r') ? '\r' : '';
  }

  text() {
    return this.lines.join('\n');
  }

  line(key, value) {
    return key + ' = ' + JobText.dressed(value) + this.end;
  }

  static header(line) {
    const found = /^\s*\[\s*([^\]]*?)\s*\]\s*$/.exec(line);
    return found ? found[1].toLowerCase() : null;
  }

  static entry(line) {
    const found = /^\s*([^=#;[\]]+?)\s*=\s*(.*?)\s*$/.exec(line);
    return found && !/^\s*[#;]/.test(line) ? { key: found[1].toLowerCase(), value: JobText.bare(found[2]) } : null;
  }

  static bare(value) {
    const quoted = /^"([^"]*)"|^'([^']*)'/.exec(value);
    return quoted ? (quoted[1] === undefined ? quoted[2] : quoted[1]) : value;
  }

  static dressed(value) {
    return /[#;]|^\s|\s$/.test(value) ? '"' + value.replace(/"/g, '') + '"' : value;
  }

  sections() {
    return this.lines.map(JobText.header).filter((name) => name !== null);
  }

  /* Lines of a section: first behind its header, end behind its last key. */
  span(section) {
    const at = this.lines.findIndex((line) => JobText.header(line) === section);
    if (at < 0) {
      return null;
    }
    let end = at + 1;
    for (let i = at + 1; i < this.lines.length && JobText.header(this.lines[i]) === null; i++) {
      if (JobText.entry(this.lines[i])) {
        end = i + 1;
      }
    }
    return { first: at + 1, end };
  }

  find(section, key) {
    const span = this.span(section);
    for (let i = span ? span.first : 0; span && i < span.end; i++) {
      const entry = JobText.entry(this.lines[i]);
      if (entry && entry.key === key) {
        return i;
      }
    }
    return -1;
  }

  /* "section.key" of a line, counted from 1 as the core does; null where no key stands. */
  place(line) {
    const entry = JobText.entry(this.lines[line - 1] || '');
    let at = line - 1;
    while (entry && at >= 0 && JobText.header(this.lines[at]) === null) {
      at--;
    }
    return entry && at >= 0 ? JobText.header(this.lines[at]) + '.' + entry.key : null;
  }

  get(section, key) {
    const at = this.find(section, key);
    return at < 0 ? null : JobText.entry(this.lines[at]).value;
  }

  keys(section) {
    const span = this.span(section);
    return span ? this.lines.slice(span.first, span.end).map(JobText.entry).filter((entry) => entry) : [];
  }

  /* An empty value takes the key out. */
  set(section, key, value) {
    const one = value === null ? '' : value.replace(/[\r\n]+/g, ' ').trim();
    const at = this.find(section, key);
    if (one === '') {
      if (at >= 0) {
        this.lines.splice(at, 1);
      }
    } else if (at >= 0) {
      this.lines[at] = this.line(key, one);
    } else {
      this.add(section);
      this.lines.splice(this.span(section).end, 0, this.line(key, one));
    }
  }

  /* An empty section: behind the last one whose name begins alike, else where the order of jobs has it. */
  add(section) {
    if (this.span(section)) {
      return;
    }
    const order = ['job', 'part', 'opening', 'hold', 'machine', 'cutter', 'cut', 'zero'];
    const rank = (name) => order.indexOf(name.split('.')[0]);
    let before = null;
    this.sections().forEach((name) => {
      if (before === null && rank(name) > rank(section)) {
        before = name;
      }
    });
    if (before === null) {
      while (this.lines.length > 0 && this.lines[this.lines.length - 1].trim() === '') {
        this.lines.pop();
      }
      this.lines.push(this.end, '[' + section + ']' + this.end, '');
    } else {
      let at = this.span(before).first - 1;
      while (at > 0 && /^\s*[#;]/.test(this.lines[at - 1])) {
        at--;
      }
      this.lines.splice(at, 0, '[' + section + ']' + this.end, this.end);
    }
  }

  remove(section) {
    const span = this.span(section);
    if (span) {
      this.lines.splice(span.first - 1, span.end - span.first + 1);
    }
  }

  rename(section, name) {
    const span = this.span(section);
    if (span) {
      this.lines[span.first - 1] = '[' + name + ']' + this.end;
    }
  }
}
