// Packet files. In: JSON as read from a file; out: a checked Packet. Terms: see model/packet.ts.

import * as v from 'valibot';
import {
  type Contact,
  custom,
  type DataFile,
  jsonOf,
  nonEmpty,
  type Packet,
  type Preparer,
  parseData,
  type Revision,
  record,
  type Schema,
  text,
} from '../model/index.js';

const FILE: DataFile = {
  code: 'packet-invalid',
  what: 'packet file',
  cure: 'fix the places named; docs/packet.md has an example to start from',
};

/** A date as the calendar has it, or its year and month. */
const date: v.GenericSchema<string> = custom<string>(isDate, 'a date as year-month-day, such as "2026-10-01"');

const lines = nonEmpty(text, 'a list of texts: ["Certified arborist 00000"]');

const preparer: Schema<Preparer> = record({
  name: v.exactOptional(text),
  firm: v.exactOptional(text),
  address: v.exactOptional(text),
  phone: v.exactOptional(text),
  email: v.exactOptional(text),
  licences: v.exactOptional(lines),
  certificates: v.exactOptional(lines),
});

const revision: Schema<Revision> = record({ mark: v.exactOptional(text), date: v.exactOptional(date), text });

const contact: Schema<Contact> = record({
  role: text,
  name: v.exactOptional(text),
  phone: v.exactOptional(text),
  email: v.exactOptional(text),
});

const packet: Schema<Packet> = record({
  $schema: v.exactOptional(text),
  project: v.exactOptional(text),
  address: v.exactOptional(text),
  parcel: v.exactOptional(text),
  jurisdiction: v.exactOptional(text),
  permit: v.exactOptional(text),
  client: v.exactOptional(text),
  owner: v.exactOptional(text),
  applicant: v.exactOptional(text),
  preparer: v.exactOptional(preparer),
  date: v.exactOptional(date),
  surveyor: v.exactOptional(text),
  surveyDate: v.exactOptional(date),
  revisions: v.exactOptional(v.array(revision, 'a list of revisions: [{"mark": "1", "text": "..."}]')),
  contacts: v.exactOptional(v.array(contact, 'a list of contacts: [{"role": "Project arborist", "phone": "..."}]')),
  north: v.exactOptional(text),
  datum: v.exactOptional(text),
  signatures: v.exactOptional(lines),
});

/**
 * Checks a packet file's content: every member is optional, none is invented.
 *
 * @throws InputError `packet-invalid`: every problem with its place and what is expected there.
 * @example
 * parsePacket({ project: 'Alder Bench', date: '2026-10-01' }, 'packet.json').project; // 'Alder Bench'
 */
export function parsePacket(json: unknown, fileName: string): Packet {
  const { $schema: _, ...found } = parseData(packet, json, FILE, fileName) as Packet & { readonly $schema?: string };
  return found;
}

/** `parsePacket` for the text of a file. Throws InputError `packet-invalid` also when the text is not JSON. */
export function parsePacketText(content: string, fileName: string): Packet {
  return parsePacket(jsonOf(content, FILE, fileName), fileName);
}

function isDate(x: unknown): boolean {
  if (typeof x !== 'string') return false;
  const parts = /^(\d{4})-(\d{2})(?:-(\d{2}))?$/.exec(x);
  if (parts === null) return false;
  const [year, month, day] = [Number(parts[1]), Number(parts[2]), Number(parts[3] ?? 1)];
  const made = new Date(Date.UTC(year, month - 1, day));
  return made.getUTCMonth() === month - 1 && made.getUTCDate() === day;
}
