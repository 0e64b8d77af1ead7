// Who hands in the plans of the invented subdivision: in: nothing; out: a packet file's content (docs/packet.md).
// Terms: no person, firm, number or licence is meant; telephone numbers are of the block kept for fiction (555-0100 and on).

export function demoPacket() {
  return {
    project: 'Alder Bench (invented data)',
    address: 'Alder Lane, invented',
    parcel: '00-0000-000 (invented)',
    jurisdiction: 'Town of Alder (invented)',
    permit: '00-000 (invented)',
    client: 'Alder Bench Homes (invented)',
    owner: 'Alder Bench Homes (invented)',
    applicant: 'Bench Site Design (invented)',
    preparer: {
      name: 'A. Person (invented)',
      firm: 'Bench Site Design (invented)',
      address: '1 Alder Lane, invented',
      phone: '555-0100',
      email: 'trees@example.com',
      licences: ['Landscape architect 00000 (invented)'],
      certificates: ['Certified arborist 00000 (invented)'],
    },
    date: '2026-07-01',
    surveyor: 'Alder Land Surveying (invented)',
    surveyDate: '2026-04',
    revisions: [{ mark: '1', date: '2026-07-01', text: 'First issue' }],
    contacts: [
      { role: 'Project arborist', name: 'A. Person (invented)', phone: '555-0100', email: 'trees@example.com' },
      { role: 'Town inspector', phone: '555-0101' },
      { role: 'Contractor on site' },
    ],
  };
}
