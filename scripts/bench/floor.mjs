// The floor of any program that takes its input as objects: read the files, JSON.parse them.
import { readFileSync } from 'node:fs';

let features = 0;
for (const file of process.argv.slice(2)) features += JSON.parse(readFileSync(file, 'utf8')).features.length;
console.log(features);
