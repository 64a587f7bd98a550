// Places of moves by an independent interpreter of the language, to hold ours against.
//
// Makes an invented program (program_points.nc) and writes what the npm package gcode-toolpath reads
// from it (program_points.txt): one move a line, L for straight or A for an arc, start, end and for an
// arc the centre, all in mm, an arc's in the order of its plane (x y z, z x y or y z x).
// tests/unit/test_program_points.c compares. Run, in an empty directory:
//   npm install gcode-toolpath@3.0.0
//   NODE_PATH=node_modules node .../tests/reference/program_points.js .../tests/reference
'use strict';
const fs = require('fs');
const path = require('path');
const Toolpath = require('gcode-toolpath');

let state = 12345;
function roll() { // the same on every machine
  state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
  return (state >>> 8) / 0x800000;
}
function between(low, high) { return low + (high - low) * roll(); }

const lines = ['%', 'N10 (invented) G21 G90 G17 F200', 'g0x1y2z3'];
const at = [1, 2, 3]; // mm
let inch = false, relative = false, plane = 17;
const planes = {17: [0, 1, 2], 18: [2, 0, 1], 19: [1, 2, 0]};

// Words of places, absolute or from where the tool is, rounded to what is printed.
function words(to, axes) {
  const scale = inch ? 25.4 : 1;
  return axes.map((a) => {
    const value = ((to[a] - (relative ? at[a] : 0)) / scale).toFixed(6);
    at[a] = Number(value) * scale + (relative ? at[a] : 0);
    return 'XYZ'[a] + value;
  });
}

function straight() {
  const axes = [0, 1, 2].filter(() => roll() < 0.6);
  const to = [between(-50, 50), between(-50, 50), between(-5, 5)];
  const word = ['G0', 'G1', 'g00', 'G01 '][Math.floor(roll() * 4)];
  if (axes.length) lines.push(word + words(to, axes).join(roll() < 0.5 ? ' ' : ''));
}

function arc() {
  const [a, b, c] = planes[plane], scale = inch ? 25.4 : 1;
  const radius = between(2, 30), start = between(0, 6.28), turn = between(0.3, 5.9);
  const left = roll() < 0.5, from = at.slice(), to = at.slice();
  const centre = [from[a] - radius * Math.cos(start), from[b] - radius * Math.sin(start)];
  const end = start + (left ? turn : -turn);
  to[a] = centre[0] + radius * Math.cos(end);
  to[b] = centre[1] + radius * Math.sin(end);
  to[c] += between(-2, 2);
  const axes = roll() < 0.5 ? [a, b] : [a, b, c];
  const text = (left ? 'G3 ' : 'G2 ') + words(to, axes).join(' ');
  const offset = [(centre[0] - from[a]) / scale, (centre[1] - from[b]) / scale];
  lines.push(text + (roll() < 0.3
    ? ' R' + ((turn > Math.PI ? -radius : radius) / scale).toFixed(6)
    : ' ' + 'IJK'[a] + offset[0].toFixed(6) + ' ' + 'IJK'[b] + offset[1].toFixed(6)));
}

for (let i = 0; i < 400; i++) {
  const what = roll();
  if (what < 0.04) { inch = !inch; lines.push(inch ? 'G20' : 'G21'); }
  else if (what < 0.1) { relative = !relative; lines.push(relative ? 'G91 ; from here' : 'G90'); }
  else if (what < 0.16) { plane = 17 + Math.floor(roll() * 3); lines.push('G' + plane); }
  else if (what < 0.6) straight();
  else arc();
}
lines.push('M2', '%');
const text = lines.join('\n') + '\n';

const out = [];
const show = (v) => [v.x, v.y, v.z].map((n) => n.toFixed(9)).join(' ');
const toolpath = new Toolpath({
  addLine: (modal, v1, v2) => out.push(['L', show(v1), show(v2)].join(' ')),
  addArcCurve: (modal, v1, v2, v0) => out.push(['A', modal.plane, show(v1), show(v2), v0.x.toFixed(9), v0.y.toFixed(9)].join(' ')),
});
toolpath.loadFromStringSync(text);
const folder = process.argv[2] || '.';
fs.writeFileSync(path.join(folder, 'program_points.nc'), text);
fs.writeFileSync(path.join(folder, 'program_points.txt'), out.join('\n') + '\n');
