// Role styles -> SLD 1.1 (OGC 05-078r4) with Symbology Encoding 1.1 (OGC 05-077r4) and Filter Encoding 1.1. In: roles and
// the prefix of our properties; out: XML. Terms: NamedLayer = one role, named after it, as tables and files of one role are.
// Rules ask for the role too, so that a layer that holds all roles is drawn right by them. All text is ours: the prefix is
// letters, digits and underscores.

import { type Look, ROLE_STYLES, type RoleStyle, type Stroke, type StyledRole, type StyleRule } from './role-styles.js';

const HEAD =
  '<?xml version="1.0" encoding="UTF-8"?>\n' +
  '<StyledLayerDescriptor version="1.1.0" xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se"' +
  ' xmlns:ogc="http://www.opengis.net/ogc" xmlns:xlink="http://www.w3.org/1999/xlink"' +
  ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"' +
  ' xsi:schemaLocation="http://www.opengis.net/sld http://schemas.opengis.net/sld/1.1.0/StyledLayerDescriptor.xsd">\n';

/**
 * The styles of roles as one document, in the order given.
 *
 * @example
 * toSld(['zone', 'tree'], 'rb_'); // '<?xml version="1.0" encoding="UTF-8"?>\n<StyledLayerDescriptor version="1.1.0" ...'
 */
export function toSld(roles: readonly StyledRole[], prefix: string): string {
  return `${HEAD}${roles.map((role) => layer(role, ROLE_STYLES[role], prefix)).join('')}</StyledLayerDescriptor>\n`;
}

function layer(role: StyledRole, style: RoleStyle, prefix: string): string {
  const { by, rules, instead, above } = style;
  const isRole = equal(`${prefix}role`, role);
  const isInstead = instead === null ? null : equal(prefix + instead.by, instead.rule.value ?? '');
  const not = isInstead === null ? [] : [`<ogc:Not>${isInstead}</ogc:Not>`];
  const all = [
    ...rules.map((one) => rule(one, [isRole, ...(by === null ? [] : [test(prefix + by, one.value)]), ...not])),
    ...(instead === null || isInstead === null ? [] : [rule(instead.rule, [isRole, isInstead])]),
    ...(above?.rules.map((one) => rule(one, [isRole, test(prefix + above.by, one.value)])) ?? []),
  ];
  return (
    `  <NamedLayer>\n    <se:Name>${role}</se:Name>\n    <UserStyle>\n      <se:Name>${role}</se:Name>\n` +
    `      <se:FeatureTypeStyle>\n${all.join('')}      </se:FeatureTypeStyle>\n    </UserStyle>\n  </NamedLayer>\n`
  );
}

function rule(one: StyleRule, conditions: readonly string[]): string {
  const [first = ''] = conditions;
  const filter = conditions.length === 1 ? first : `<ogc:And>${conditions.join('')}</ogc:And>`;
  const name = one.value ?? one.title.toLowerCase().replace(/[^a-z]+/g, '-');
  return (
    `        <se:Rule>\n          <se:Name>${name}</se:Name>\n` +
    `          <se:Description><se:Title>${one.title}</se:Title></se:Description>\n` +
    `          <ogc:Filter>${filter}</ogc:Filter>\n` +
    symbolizers(one)
      .map((text) => `          ${text}\n`)
      .join('') +
    '        </se:Rule>\n'
  );
}

const equal = (property: string, value: string): string =>
  `<ogc:PropertyIsEqualTo><ogc:PropertyName>${property}</ogc:PropertyName><ogc:Literal>${value}</ogc:Literal></ogc:PropertyIsEqualTo>`;

function test(property: string, value: string | null): string {
  if (value !== null) return equal(property, value);
  return `<ogc:PropertyIsNull><ogc:PropertyName>${property}</ogc:PropertyName></ogc:PropertyIsNull>`;
}

function symbolizers({ fill, stroke, mark }: Look): string[] {
  const line = stroke === null ? '' : strokeText(stroke);
  const out: string[] = [];
  if (fill !== null) {
    const { colour, opacity } = fill;
    out.push(
      `<se:PolygonSymbolizer><se:Fill>${parameter('fill', colour)}${parameter('fill-opacity', opacity)}</se:Fill>${line}</se:PolygonSymbolizer>`,
    );
  } else if (stroke !== null) out.push(`<se:LineSymbolizer>${line}</se:LineSymbolizer>`);
  if (mark !== null) {
    const { shape, colour, sizePx } = mark;
    const edge = stroke === null ? `<se:Stroke>${parameter('stroke', colour)}</se:Stroke>` : line;
    out.push(
      `<se:PointSymbolizer><se:Graphic><se:Mark><se:WellKnownName>${shape}</se:WellKnownName>` +
        `<se:Fill>${parameter('fill', colour)}</se:Fill>${edge}</se:Mark><se:Size>${sizePx}</se:Size></se:Graphic></se:PointSymbolizer>`,
    );
  }
  return out;
}

function strokeText({ colour, widthPx, opacity, dashPx }: Stroke): string {
  const dash = dashPx === null ? '' : parameter('stroke-dasharray', dashPx.join(' '));
  const faint = opacity === 1 ? '' : parameter('stroke-opacity', opacity);
  return `<se:Stroke>${parameter('stroke', colour)}${parameter('stroke-width', widthPx)}${faint}${dash}</se:Stroke>`;
}

const parameter = (name: string, value: string | number): string =>
  `<se:SvgParameter name="${name}">${value}</se:SvgParameter>`;
