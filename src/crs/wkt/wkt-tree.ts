// In: the text of a .prj or any other WKT; out: a small tree of it.
// Terms: node = KEYWORD[value, value, ...]; a value is a text, a number or a node. Keywords are put in upper case.
// Square and round brackets are the same (OGC 01-009 section 7.1); a bare word (an axis direction) is read as a text.

export interface WktNode {
  readonly keyword: string;
  readonly values: readonly WktValue[];
}
export type WktValue = string | number | WktNode;

/**
 * Reads the first node of a text; what follows it is left alone. Undefined when the text is not WKT.
 *
 * @example
 * parseWkt('UNIT["Foot",0.3048]'); // { keyword: 'UNIT', values: ['Foot', 0.3048] }
 */
export function parseWkt(text: string): WktNode | undefined {
  const token = /\s*(?:"((?:[^"]|"")*)"|([A-Za-z_][\w]*)|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)|([[\](),]))/y;
  let at = 0;

  function next(): { readonly kind: 'text' | 'word' | 'number' | 'mark'; readonly text: string } | undefined {
    token.lastIndex = at;
    const match = token.exec(text);
    if (!match) return undefined;
    at = token.lastIndex;
    if (match[1] !== undefined) return { kind: 'text', text: match[1].replaceAll('""', '"') };
    if (match[2] !== undefined) return { kind: 'word', text: match[2] };
    if (match[3] !== undefined) return { kind: 'number', text: match[3] };
    return { kind: 'mark', text: match[4] ?? '' };
  }

  function value(depth: number): WktValue | undefined {
    const first = next();
    if (first === undefined || first.kind === 'mark' || depth > 32) return undefined;
    if (first.kind === 'number') return Number(first.text);
    if (first.kind === 'text') return first.text;
    const before = at;
    const open = next();
    if (open === undefined || (open.text !== '[' && open.text !== '(') || open.kind !== 'mark') {
      at = before;
      return first.text;
    }
    const values: WktValue[] = [];
    for (;;) {
      const one = value(depth + 1);
      if (one === undefined) return undefined;
      values.push(one);
      const mark = next();
      if (mark === undefined || mark.kind !== 'mark') return undefined;
      if (mark.text === ']' || mark.text === ')') return { keyword: first.text.toUpperCase(), values };
      if (mark.text !== ',') return undefined;
    }
  }

  const root = value(0);
  return typeof root === 'object' ? root : undefined;
}

/** The first child node with one of the keywords. */
export function child(node: WktNode | undefined, ...keywords: readonly string[]): WktNode | undefined {
  return children(node, ...keywords)[0];
}

export function children(node: WktNode | undefined, ...keywords: readonly string[]): readonly WktNode[] {
  return (node?.values ?? []).filter((v): v is WktNode => typeof v === 'object' && keywords.includes(v.keyword));
}

/** The value at a place as a text; '' when it is none. */
export function textAt(node: WktNode | undefined, place: number): string {
  const v = node?.values[place];
  return typeof v === 'object' || v === undefined ? '' : String(v);
}

/** The value at a place as a number; NaN when it is none. */
export function numberAt(node: WktNode | undefined, place: number): number {
  const v = node?.values[place];
  return typeof v === 'number' ? v : typeof v === 'string' && v.trim() !== '' ? Number(v) : Number.NaN;
}
