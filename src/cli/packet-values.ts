// Files of the packet. In: options of the command line; out: their content, checked. Terms: see model/packet.ts; inline = a job
// file may hold the content itself.

import { basename } from 'node:path';
import type { Packet } from '../model/index.js';
import { textFile } from '../node/read/index.js';
import { parsePacketText } from '../packet/index.js';
import { isInline } from './job-keys.js';
import type { Sinks } from './table/index.js';
import type { Takers } from './table/take.js';

export const PACKET: Takers<'assess', 'packet'> = {
  packet: (packetFile) => ({ packetFile }),
};

/** What report and plan take of the files. */
export async function packetOf({ packetFile }: Partial<Sinks['packet']>): Promise<{ readonly packet?: Packet }> {
  if (packetFile === undefined) return {};
  const [content, name] = isInline(packetFile)
    ? [packetFile, 'packet in the job file']
    : [await textFile(packetFile, 'packet'), basename(packetFile)];
  return { packet: parsePacketText(content, name) };
}
