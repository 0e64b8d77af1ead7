// A damaged zip -> what is left of its members. In: the archive's bytes, without relying on its directory; out: members
// that unpack as far as they go, each with a finding when it is damaged.
// Terms: local header = 30 bytes and a name in front of each member (signature PK 3 4); APPNOTE.TXT 4.3.7.

import { createInflateRaw } from 'node:zlib';
import { type Finding, finding } from '../../model/index.js';
import type { Member } from '../../read/index.js';
import { crc32 } from '../../read/index.js';
import type { Budget } from './zip-inflate.js';

interface Found {
  readonly name: string;
  readonly method: number;
  readonly crc: number | undefined; // undefined: it stands behind the data
  readonly size: number | undefined;
  readonly packed: Uint8Array;
}

const STORED = 0;
const DEFLATED = 8;

/** Members by their local headers, in the order in which they stand. `findings` takes one for each that is damaged. */
export function salvagedMembers(bytes: Uint8Array, budget: Budget, findings: Finding[]): Member[] {
  const found = localHeaders(bytes);
  budget.takeEntries(found.length);
  return found.map((f) => ({
    path: f.name,
    open: async () => {
      const { out, whole } = f.method === STORED ? { out: f.packed, whole: true } : await unpacked(f, budget);
      if (f.method === STORED) budget.takeMore(f.name, out.length);
      const cut = !whole || (f.size !== undefined && out.length !== f.size);
      if (cut || (f.crc !== undefined && crc32(out) !== f.crc)) {
        const read = f.size === undefined ? `${out.length}` : `${out.length} of ${f.size}`;
        const problem = cut
          ? `is cut off or damaged: ${read} bytes were read`
          : 'is damaged (wrong check sum): some of its values may be wrong';
        findings.push(
          finding(
            'part-damaged',
            { layer: budget.archive, path: f.name },
            `${f.name} in ${budget.archive} ${problem}`,
            'get a fresh copy of the zip from its source',
          ),
        );
      }
      return out;
    },
  }));
}

function localHeaders(bytes: Uint8Array): Found[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const found: Found[] = [];
  let at = nextHeader(bytes, view, 0);
  while (at !== -1) {
    const flags = view.getUint16(at + 6, true);
    const dataAt = at + 30 + view.getUint16(at + 26, true) + view.getUint16(at + 28, true);
    const name = new TextDecoder('utf-8').decode(bytes.subarray(at + 30, at + 30 + view.getUint16(at + 26, true)));
    const behind = (flags & 8) !== 0; // sizes and check sum stand behind the data
    const packedSize = view.getUint32(at + 18, true);
    const next = nextHeader(bytes, view, behind ? dataAt : Math.max(dataAt, at + 4));
    const end = behind ? (next === -1 ? bytes.length : next) : Math.min(bytes.length, dataAt + packedSize);
    const method = view.getUint16(at + 8, true);
    if ((flags & 1) === 0 && (method === STORED || method === DEFLATED)) {
      found.push({
        name,
        method,
        crc: behind ? undefined : view.getUint32(at + 14, true),
        size: behind ? undefined : view.getUint32(at + 22, true),
        packed: bytes.subarray(dataAt, end),
      });
    }
    // Stored archives within this one have their own headers: continue after the data where its size is plausible.
    at = !behind && dataAt + packedSize <= bytes.length ? nextHeader(bytes, view, dataAt + packedSize) : next;
  }
  return found;
}

/** The next place that can be a local header: signature, a method that is known and a name within the file. */
function nextHeader(bytes: Uint8Array, view: DataView, from: number): number {
  for (let at = bytes.indexOf(0x50, from); at !== -1 && at + 30 <= bytes.length; at = bytes.indexOf(0x50, at + 1)) {
    if (view.getUint32(at, true) !== 0x04034b50) continue;
    const nameLength = view.getUint16(at + 26, true);
    if (view.getUint16(at + 4, true) < 100 && nameLength > 0 && at + 30 + nameLength <= bytes.length) return at;
  }
  return -1;
}

/** Inflates as far as the data goes; `whole` when it came to its end. */
async function unpacked(found: Found, budget: Budget): Promise<{ out: Uint8Array; whole: boolean }> {
  // Small pieces: what has been unpacked of the piece in which the damage lies is lost.
  const inflater = createInflateRaw({ chunkSize: 1024 });
  const pieces: Uint8Array[] = [];
  let length = 0;
  let whole = false;
  await new Promise<void>((resolve, reject) => {
    inflater.on('data', (piece: Uint8Array) => {
      length += piece.length;
      try {
        budget.takeMore(found.name, piece.length);
        if (length > 1 << 20 && length > found.packed.length * budget.caps.ratio) {
          budget.takeBytes(found.name, length, found.packed.length);
        }
      } catch (error) {
        inflater.destroy();
        reject(error);
      }
      pieces.push(piece);
    });
    inflater.on('error', () => resolve());
    inflater.on('end', () => {
      whole = true;
      resolve();
    });
    inflater.end(found.packed);
  });
  const out = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    out.set(piece, at);
    at += piece.length;
  }
  return { out, whole };
}
