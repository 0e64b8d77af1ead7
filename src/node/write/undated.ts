// A zip without the time it was made at. In: the path of a finished zip; out: the same file, every entry dated with the first day
// that a zip can state, which stands for none. No date is written that nobody gave, and the same job gives the same bytes.
// Terms: directory = the list of entries at the end of the file (APPNOTE 4.3.12); local header = what stands before an entry's data.

import { type FileHandle, open } from 'node:fs/promises';

const END = { signature: 0x06054b50, size: 22, mostComment: 0xffff } as const;
const ENTRY = { signature: 0x02014b50, size: 46, time: 12, offset: 42 } as const;
const LOCAL_TIME = 10;
/** 1980-01-01, midnight: time 0, date 0x21 (APPNOTE 4.4.6). */
const NO_DATE = Uint8Array.of(0, 0, 0x21, 0);

/** Dates every entry of a zip under 4 GB alike, in place. A zip that it can't follow stays as it is. */
export async function undateZip(path: string): Promise<void> {
  const file = await open(path, 'r+');
  try {
    const { size } = await file.stat();
    const tail = await bytesAt(file, Math.max(0, size - END.size - END.mostComment), size);
    const end = lastIndexOf(tail, END.signature);
    if (end < 0) return;
    const [length, start] = [tail.readUInt32LE(end + 12), tail.readUInt32LE(end + 16)];
    if (start + length > size) return;
    const directory = await bytesAt(file, start, start + length);
    for (let at = 0; at + ENTRY.size <= length && directory.readUInt32LE(at) === ENTRY.signature; ) {
      await file.write(NO_DATE, 0, NO_DATE.length, directory.readUInt32LE(at + ENTRY.offset) + LOCAL_TIME);
      await file.write(NO_DATE, 0, NO_DATE.length, start + at + ENTRY.time);
      at += ENTRY.size + [28, 30, 32].reduce((sum, field) => sum + directory.readUInt16LE(at + field), 0);
    }
  } finally {
    await file.close();
  }
}

async function bytesAt(file: FileHandle, from: number, to: number): Promise<Buffer> {
  const bytes = Buffer.alloc(to - from);
  await file.read(bytes, 0, bytes.length, from);
  return bytes;
}

function lastIndexOf(bytes: Buffer, signature: number): number {
  const mark = Buffer.alloc(4);
  mark.writeUInt32LE(signature);
  return bytes.lastIndexOf(mark);
}
