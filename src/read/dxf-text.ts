// Texts of a drawing: in: bytes, or a raw entity; out: decoded text, and the entity's properties.
// Terms: code page = $DWGCODEPAGE, used before 2007; later drawings are UTF-8; \U+00E9 stands for a letter in any.

import type { StatedUnit } from '../model/index.js';
import { type Finding, InputError } from '../model/index.js';
import { numberOf, textOf } from './dxf-groups.js';
import type { RawEntity } from './dxf-scan.js';
import { cellValue } from './table.js';
import { decodeText } from './text.js';

/** @throws InputError `dxf-binary` */
export function decodeDrawing(bytes: Uint8Array, layer: string): { text: string; findings: readonly Finding[] } {
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 65_536));
  if (head.startsWith('AutoCAD Binary DXF')) {
    throw new InputError('dxf-binary', `${layer} is a binary DXF`, { layer, cure: 'save it as a text (ASCII) DXF' });
  }
  const page = /\$DWGCODEPAGE\s+3\s+ANSI_(\d+)/i.exec(head)?.[1];
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), findings: [] };
  } catch {
    // Not UTF-8: the code page the drawing names.
  }
  try {
    if (page !== undefined)
      return { text: new TextDecoder(PAGES[page] ?? `windows-${page}`).decode(bytes), findings: [] };
  } catch {
    // A code page that is not known here.
  }
  return decodeText(bytes, layer);
}

const PAGES: Readonly<Record<string, string>> = { '932': 'shift_jis', '936': 'gbk', '949': 'euc-kr', '950': 'big5' };

/** Letters written as \U+XXXX and %% codes. */
export function cadText(text: string): string {
  return text
    .replace(/\\U\+([0-9a-f]{4})/gi, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)))
    .replace(/%%([dpc])/gi, (_, letter: string) => SIGNS[letter.toLowerCase()] ?? '');
}

const SIGNS: Readonly<Record<string, string>> = { d: '°', p: '±', c: 'Ø' };

/** Formatted text without its formatting: {\fArial|b0;OAK\P24"} -> OAK, line break, 24". */
export function plainMText(text: string): string {
  return cadText(text)
    .replace(/\\P/g, '\n')
    .replace(/\\~/g, ' ')
    .replace(/\\S([^;]{0,200});/g, (_, stacked: string) => stacked.replace(/[#^]/g, '/'))
    .replace(/\\[ACFHQTWfp][^;\\{}]*;/g, '')
    .replace(/\\[LlOoKk]/g, '')
    .replace(/(?<!\\)[{}]/g, '')
    .replace(/\\([\\{}])/g, '$1');
}

/** The properties of an entity: layer, entity, handle, block, text, attributes, width. */
export function propertiesOf(
  entity: RawEntity,
  unit: StatedUnit | undefined,
): { readonly properties: Record<string, unknown>; readonly paper: boolean; readonly layer: string } {
  const layer = cadText(textOf(entity, 8) ?? '0').trim();
  const properties: Record<string, unknown> = { layer, entity: entity.type };
  const handle = textOf(entity, 5)?.trim();
  if (handle !== undefined) properties.handle = handle;
  const write = Object.hasOwn(OWN, entity.type) ? OWN[entity.type] : undefined;
  write?.(entity, properties, unit);
  return { properties, paper: textOf(entity, 67) === '1', layer };
}

type Write = (entity: RawEntity, properties: Record<string, unknown>, unit: StatedUnit | undefined) => void;

const OWN: Readonly<Record<string, Write>> = {
  TEXT: (entity, properties) => {
    properties.text = cadText(textOf(entity, 1) ?? '').trim();
  },
  MTEXT: (entity, properties) => {
    // Long texts come in chunks of 250 letters (group 3) before the last (group 1).
    const chunks = entity.values.filter((_, i) => entity.codes[i] === 3 || entity.codes[i] === 1);
    properties.text = plainMText(chunks.join('')).trim();
  },
  INSERT: (entity, properties) => {
    properties.block = cadText(textOf(entity, 2) ?? '');
    const rotation = numberOf(entity, 50);
    if (rotation !== 0 && Number.isFinite(rotation)) properties.rotation = rotation;
    for (const attribute of entity.owned) {
      const tag = cadText(textOf(attribute, 2) ?? '').trim();
      if (tag !== '' && tag !== '__proto__') properties[tag] = cellValue(cadText(textOf(attribute, 1) ?? ''), false);
    }
  },
  HATCH: (entity, properties) => {
    const pattern = cadText(textOf(entity, 2) ?? '').trim();
    if (pattern !== '') properties.pattern = pattern;
  },
  LWPOLYLINE: (entity, properties, unit) => {
    const each = entity.values.filter((_, i) => entity.codes[i] === 40 || entity.codes[i] === 41).map(Number);
    addWidth(properties, each, numberOf(entity, 43), unit);
  },
  POLYLINE: (entity, properties, unit) => {
    const base = numberOf(entity, 40) || 0;
    const each = entity.owned.flatMap((vertex) =>
      [40, 41].map((code) => (Number.isFinite(numberOf(vertex, code)) ? numberOf(vertex, code) : base)),
    );
    addWidth(properties, each, each.length === 0 ? base : Number.NaN, unit);
  },
};

/**
 * A constant width under the name that says its unit (width_m, width_ft, ...), `line_width` where the drawing states
 * none; widths that change along the line are listed but not used.
 */
function addWidth(
  properties: Record<string, unknown>,
  each: readonly number[],
  constant: number,
  unit: StatedUnit | undefined,
): void {
  const [first = 0] = each;
  if (each.some((width) => width !== first)) {
    properties.line_widths = each.join(';');
    return;
  }
  const width = constant > 0 ? constant : first;
  if (!(width > 0)) return;
  const name =
    unit === undefined || unit.unit === 'other' ? 'line_width' : `width_${unit.unit === 'foot' ? 'ft' : unit.unit}`;
  properties[name] = width;
}
