// DXF for tests. In: header variables and entities as group lists; out: the text of a drawing.
// Terms: group = [code, value].

export type Group = readonly [code: number, value: string | number];

export function entity(type: string, layer: string, ...groups: readonly Group[]): readonly Group[] {
  return [[0, type], [8, layer], ...groups];
}

/** Vertices as x, y or x, y, bulge. */
export function lwpolyline(
  layer: string,
  vertices: readonly (readonly number[])[],
  closed: boolean,
  ...more: readonly Group[]
): readonly Group[] {
  const groups = vertices.flatMap(([x = 0, y = 0, bulge]): Group[] => [
    [10, x],
    [20, y],
    ...(bulge === undefined ? [] : ([[42, bulge]] as Group[])),
    [91, 0], // a vertex identifier, as drawings since 2010 have: not every reader gets past it
  ]);
  return [[0, 'LWPOLYLINE'], [8, layer], [90, vertices.length], [70, closed ? 1 : 0], ...more, ...groups];
}

export function dxf(entities: readonly (readonly Group[])[], insUnits?: number): string {
  const header: Group[] =
    insUnits === undefined
      ? []
      : [
          [0, 'SECTION'],
          [2, 'HEADER'],
          [9, '$INSUNITS'],
          [70, insUnits],
          [0, 'ENDSEC'],
        ];
  const groups: Group[] = [...header, [0, 'SECTION'], [2, 'ENTITIES'], ...entities.flat(), [0, 'ENDSEC'], [0, 'EOF']];
  return groups.map(([code, value]) => `${String(code).padStart(3)}\r\n${value}\r\n`).join('');
}
