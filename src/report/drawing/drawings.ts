// What a sheet shows. In: nothing; out: the drawings and their layers. Terms: drawing = existing conditions, proposed works,
// protection, or all of them on one sheet. One table: a drawing is a row.

export type Drawing = 'all' | 'existing' | 'proposed' | 'protection';

/** Drawings of a set, each with the layers it shows, by their roles. */
export const DRAWINGS: Readonly<Record<Drawing, { readonly title: string; readonly roles: readonly string[] }>> = {
  all: {
    title: 'Trees and proposed works',
    roles: ['lot', 'existing', 'works', 'zone', 'ring', 'crown', 'overlap', 'severed', 'fence'],
  },
  existing: { title: 'Existing conditions', roles: ['lot', 'existing', 'crown'] },
  proposed: {
    title: 'Proposed works',
    roles: ['lot', 'existing', 'works', 'zone', 'ring', 'crown', 'overlap', 'severed'],
  },
  protection: { title: 'Tree protection', roles: ['lot', 'existing', 'works', 'zone', 'fence'] },
};

/** Whether a drawing shows a layer. */
export function shows(drawing: Drawing, role: string): boolean {
  return DRAWINGS[drawing].roles.includes(role);
}
