// main.js PROGRAM PAGE [PART...]: run the tests of the page, one part after another.
'use strict';
const { Bench } = require('./bench.js');

const PARTS = ['equality', 'answers', 'units', 'files', 'rows', 'safety', 'robust', 'looks', 'paper', 'keyboard'];

async function main() {
  const [program, file, ...wanted] = process.argv.slice(2);
  const bench = await Bench.start(program, file);
  let passed = 0;
  let failed = 0;
  for (const part of wanted.length > 0 ? wanted : PARTS) {
    for (const [name, test] of Object.entries(require('./' + part + '.js'))) {
      try {
        await bench.run(test);
        passed += 1;
      } catch (fault) {
        failed += 1;
        console.log('failed: ' + part + ': ' + name + ': ' + (fault.stack || fault));
      }
    }
  }
  await bench.stop();
  console.log(passed + ' passed, ' + failed + ' failed');
  process.exitCode = failed > 0 || passed === 0 ? 1 : 0;
}

main().catch((fault) => {
  console.log(fault.stack);
  console.log('0 passed, 1 failed');
  process.exitCode = 1;
});
