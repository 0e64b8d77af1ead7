// Check sums of zip archives. In: bytes; out: CRC-32. Terms: before = the sum of what came before, for blocks.
// zlib.crc32 is neither in every Node 20 nor in browsers.

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = (c & 1) === 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** CRC-32 as zip has it (ISO 3309, polynomial 0xEDB88320 reversed). */
export function crc32(bytes: Uint8Array, before: number = 0): number {
  let c = ~before >>> 0;
  for (let i = 0; i < bytes.length; i++) {
    c = CRC_TABLE[(c ^ bytes[i]!) & 0xff]! ^ (c >>> 8);
  }
  return ~c >>> 0;
}
