// What is handed in beside the figures: the fields of a packet, typed on the page. In: the form; out: a packet of what is not
// empty, and the form of a packet that is opened. Empty fields print as lines to fill in.

import { type Packet, parsePacket } from '../core.js';

/** Fields of the form, by the packet's own names. */
const FIELDS = ['project', 'address', 'parcel', 'client', 'date'] as const;

const input = (name: string): HTMLInputElement => document.getElementById(`packet-${name}`) as HTMLInputElement;

/**
 * The packet that the form says; undefined where it is empty.
 *
 * @throws InputError `packet-invalid`, such as for a date that is none
 */
export function packetOf(): Packet | undefined {
  const said = FIELDS.map((name) => [name, input(name).value.trim()] as const).filter(([, text]) => text !== '');
  const name = input('preparer').value.trim();
  const certificate = input('certificate').value.trim();
  const preparer = {
    ...(name === '' ? {} : { name }),
    ...(certificate === '' ? {} : { certificates: [certificate] }),
  };
  const all = { ...Object.fromEntries(said), ...(Object.keys(preparer).length === 0 ? {} : { preparer }) };
  return Object.keys(all).length === 0 ? undefined : parsePacket(all, 'the form “For a submission”');
}

/** Fills the form in; what it has no field for is not shown. */
export function showPacket(packet: unknown): void {
  const { preparer, ...rest } = (packet ?? {}) as Packet;
  for (const name of FIELDS) input(name).value = String((rest as Record<string, unknown>)[name] ?? '');
  input('preparer').value = preparer?.name ?? '';
  input('certificate').value = preparer?.certificates?.[0] ?? '';
}
