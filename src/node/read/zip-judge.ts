// A zip that another library will unpack -> judged by our caps first. In: its bytes; out: nothing, or an InputError.
// Terms: as in zip-inflate.ts. Sizes are those that the directory states.

import { Buffer } from 'node:buffer';
import { fromBufferPromise } from 'yauzl';
import { InputError } from '../../model/index.js';
import { Budget, type ZipCaps } from './zip-inflate.js';

/** @throws InputError `zip-caps`, `zip-broken`, `zip-encrypted` */
export async function judgeZip(bytes: Uint8Array, name: string, caps: ZipCaps): Promise<void> {
  const budget = new Budget(name, caps);
  try {
    const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const zip = await fromBufferPromise(buffer, { lazyEntries: true, validateEntrySizes: true });
    for await (const entry of zip.eachEntry()) {
      budget.takeEntries(1);
      budget.takeBytes(entry.fileName, entry.uncompressedSize, entry.compressedSize);
      if (entry.isEncrypted()) {
        throw budget.refusal('zip-encrypted', entry.fileName, 'is protected by a password', 'save it without one');
      }
    }
  } catch (error) {
    if (error instanceof InputError) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new InputError('zip-broken', `${name} can't be unpacked: ${why}`, {
      layer: name,
      cure: 'download or copy it again: it may have been cut off',
    });
  }
}
