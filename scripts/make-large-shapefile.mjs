// A large shapefile for measuring: in: a folder and a size in MB; out: works.shp, .shx, .dbf in it, written as a stream.
// Terms: record = one polygon of 33 corners and a row of 6 fields. The same call always gives the same bytes.
// node scripts/make-large-shapefile.mjs /tmp/large 200
import { closeSync, mkdirSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';

const folder = process.argv[2] ?? '/tmp/large';
const megabytes = Number(process.argv[3] ?? 200);
const POINTS = 33;
const CONTENT = 48 + 16 * POINTS;
const FIELDS = ['ID', 'KIND', 'DEPTH_M', 'NOTE', 'SEEN', 'APN'];
const WIDTH = 20;
const count = Math.floor((megabytes * 1e6) / (CONTENT + 8));

mkdirSync(folder, { recursive: true });
const open = (/** @type {string} */ ending) => openSync(join(folder, `works.${ending}`), 'w');
const [shp, shx, dbf] = [open('shp'), open('shx'), open('dbf')];

/** @param {number} bytes */
function header(bytes) {
  const out = Buffer.alloc(100);
  out.writeInt32BE(9994, 0);
  out.writeInt32BE(bytes / 2, 24);
  out.writeInt32LE(1000, 28);
  out.writeInt32LE(5, 32);
  return out;
}

writeSync(shp, header(100 + count * (CONTENT + 8)));
writeSync(shx, header(100 + count * 8));
const head = Buffer.alloc(32 + 32 * FIELDS.length + 1);
head[0] = 3;
head.writeUInt32LE(count, 4);
head.writeUInt16LE(head.length, 8);
head.writeUInt16LE(1 + WIDTH * FIELDS.length, 10);
FIELDS.forEach((name, i) => {
  head.write(name, 32 + 32 * i, 'latin1');
  head.write(name === 'DEPTH_M' || name === 'APN' ? 'N' : 'C', 32 + 32 * i + 11, 'latin1');
  head[32 + 32 * i + 16] = WIDTH;
});
head[head.length - 1] = 0x0d;
writeSync(dbf, head);

for (let i = 0; i < count; i++) {
  const record = Buffer.alloc(CONTENT + 8);
  record.writeInt32BE(i + 1, 0);
  record.writeInt32BE(CONTENT / 2, 4);
  record.writeInt32LE(5, 8);
  record.writeInt32LE(1, 44);
  record.writeInt32LE(POINTS, 48);
  for (let k = 0; k < POINTS; k++) {
    const angle = (-2 * Math.PI * (k % (POINTS - 1))) / (POINTS - 1);
    record.writeDoubleLE(7_600_000 + (i % 1000) * 40 + 10 * Math.cos(angle), 56 + 16 * k);
    record.writeDoubleLE(600_000 + Math.floor(i / 1000) * 40 + 10 * Math.sin(angle), 64 + 16 * k);
  }
  writeSync(shp, record);
  const entry = Buffer.alloc(8);
  entry.writeInt32BE((100 + i * (CONTENT + 8)) / 2, 0);
  entry.writeInt32BE(CONTENT / 2, 4);
  writeSync(shx, entry);
  const row = [`W${i}`, 'paving', '0.30', 'invented data', '2026-03-01', `${100_000_000_000_000_000n + BigInt(i)}`];
  writeSync(dbf, ` ${row.map((text) => text.padEnd(WIDTH)).join('')}`);
}
for (const fd of [shp, shx, dbf]) closeSync(fd);
process.stdout.write(`${count} records in ${folder}\n`);
