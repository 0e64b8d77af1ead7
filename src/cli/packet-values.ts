// Files of the packet. In: options of the command line; out: their content, checked. Terms: see model/packet.ts and
// model/protection.ts; inline = a job file may hold the content itself.

import { basename } from 'node:path';
import { type FenceOptions, lengthInMetres, type Packet, type Protection } from '../model/index.js';
import { textFile } from '../node/read/index.js';
import { parsePacketText, parseProtectionText } from '../packet/index.js';
import { isInline } from './job-keys.js';
import type { Sinks } from './table/index.js';
import type { Takers } from './table/take.js';

export const PACKET: Takers<'assess', 'packet'> = {
  packet: (packetFile) => ({ packetFile }),
  protection: (protectionFile) => ({ protectionFile }),
};

/** What report and plan take of the files. */
export interface PacketContent {
  readonly packet?: Packet;
  readonly protection?: Protection;
}

export async function packetOf({ packetFile, protectionFile }: Partial<Sinks['packet']>): Promise<PacketContent> {
  return {
    ...(packetFile === undefined ? {} : { packet: await contentOf(packetFile, 'packet', parsePacketText) }),
    ...(protectionFile === undefined
      ? {}
      : { protection: await contentOf(protectionFile, 'protection', parseProtectionText) }),
  };
}

async function contentOf<T>(
  file: string,
  what: 'packet' | 'protection',
  parse: (content: string, name: string) => T,
): Promise<T> {
  if (isInline(file)) return parse(file, `${what} in the job file`);
  return parse(await textFile(file, what), basename(file));
}

/**
 * Whoever brings protection notes asks for fences, with posts as far apart as the notes say: what is counted, written and
 * drawn agrees. Options of the job win.
 */
export function fencesFrom(
  fences: FenceOptions | undefined,
  { protection }: PacketContent,
): { readonly fences?: FenceOptions } {
  if (protection === undefined) return fences === undefined ? {} : { fences };
  const postSpacingM = lengthInMetres(protection.fence.postSpacing.value);
  return { fences: { ...(postSpacingM === undefined ? {} : { postSpacingM }), ...fences } };
}
