// Prints how large the library is in a web page. In: nothing; out: a table on stdout. Terms: see lib/sizes.mjs.

import { CASES, measure } from './lib/sizes.mjs';

for (const one of CASES) {
  const { bytes } = await measure(one);
  console.log(`${(bytes / 1000).toFixed(1).padStart(7)} kB  (at most ${one.mostKb})  ${one.title}`);
}
