// Who hands in what, and who signs. In: a packet; out: HTML of the fields that are given, and of the page that is signed.
// Terms: line = room to write on; a field that is not given prints as one. Nothing is invented, no date is written that is not
// given.

import type { Packet, Preparer, Revision } from '../../model/index.js';
import { esc } from '../text.js';

const LINE = '<span class="fill" role="img" aria-label="to be filled in"></span>';

type Row = readonly [title: string, value: string | undefined];

/** Rows about the site and the parties; undefined where a field is not given. */
function partyRows({ project, address, parcel, jurisdiction, permit, client, owner, applicant }: Packet): Row[] {
  return [
    ['Project', project],
    ['Address', address],
    ['Parcel', parcel],
    ['Jurisdiction', jurisdiction],
    ['Permit', permit],
    ['Client', client],
    ['Owner', owner],
    ['Applicant', applicant],
  ];
}

function preparerRows({ name, firm, address, phone, email, licences, certificates }: Preparer = {}): Row[] {
  return [
    ['Prepared by', name],
    ['Firm', firm],
    ['Address of the firm', address],
    ['Phone', phone],
    ['E-mail', email],
    ['Licences', licences?.join('; ')],
    ['Certificates', certificates?.join('; ')],
  ];
}

function dateRows({ date, surveyor, surveyDate, north, datum }: Packet): Row[] {
  return [
    ['Date', date],
    ['Surveyor', surveyor],
    ['Date of the survey', surveyDate],
    ['North', north],
    ['Datum', datum],
  ];
}

/** The fields that are given, for the head of the report; '' without any. */
export function packetRows(packet: Packet | undefined): (readonly [string, string])[] {
  if (packet === undefined) return [];
  const { preparer, date } = packet;
  const by = [preparer?.name, preparer?.firm, ...(preparer?.licences ?? []), ...(preparer?.certificates ?? [])];
  const rows: Row[] = [
    ...partyRows(packet),
    ['Prepared by', by.filter((one) => one !== undefined).join(', ') || undefined],
    ['Date', date],
  ];
  return rows.flatMap(([title, value]) => (value === undefined ? [] : [[title, `<bdi>${esc(value)}</bdi>`] as const]));
}

/** The page that is signed: every field, given or to be filled in, revisions, lines for signatures. */
export function signoffHtml(packet: Packet = {}): string {
  const rows = [...partyRows(packet), ...preparerRows(packet.preparer), ...dateRows(packet)];
  const fields = rows.map(
    ([title, value]) =>
      `<tr><th scope="row">${title}</th><td>${value === undefined ? LINE : `<bdi>${esc(value)}</bdi>`}</td></tr>`,
  );
  const signers = packet.signatures ?? ['Preparer', packet.owner === undefined ? 'Applicant' : 'Owner', 'Reviewer'];
  const signatures = signers.map(
    (who) => `<tr><th scope="row"><bdi>${esc(who)}</bdi></th><td>${LINE}</td><td>${LINE}</td></tr>`,
  );
  return [
    `<table class="signoff"><tbody>${fields.join('\n')}</tbody></table>`,
    revisionsHtml(packet.revisions ?? []),
    '<h3>Signatures</h3>',
    `<table class="signoff"><thead><tr><th scope="col">Who</th><th scope="col">Signature</th><th scope="col">Date</th></tr></thead><tbody>${signatures.join('\n')}</tbody></table>`,
  ].join('\n');
}

function revisionsHtml(revisions: readonly Revision[]): string {
  const line = ({ mark, date, text }: Partial<Revision>): string =>
    `<tr><td>${mark === undefined ? LINE : esc(mark)}</td><td>${date === undefined ? LINE : esc(date)}</td><td>${text === undefined ? LINE : `<bdi>${esc(text)}</bdi>`}</td></tr>`;
  const rows = [...revisions.map(line), line({})];
  return `<h3>Revisions</h3><table class="signoff"><thead><tr><th scope="col">Mark</th><th scope="col">Date</th><th scope="col">What changed</th></tr></thead><tbody>${rows.join('\n')}</tbody></table>`;
}
