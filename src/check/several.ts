// A file that holds several layers and was read as a whole: whether the user can mean that. In: a layer and its role; out:
// an InputError that lists them, or a finding. Terms: contents = the layers within (model/layer.ts).
// If a file of one lot, one house and three trees were read as works, the lot would become a building.

import { type Finding, finding, InputError, type Layer, type LayerContent, type LayerRole } from '../model/index.js';
import { counted, listOf } from '../text/index.js';

const LISTED = 20;

/** Whether the layers within differ, so that one of them has to be named: shapes are mixed, or lines and areas lie in several. */
export function mixesLayers({ contents = [] }: Layer): boolean {
  const drawn = contents.filter(({ lines, areas }) => lines + areas > 0);
  return contents.length > 1 && (drawn.length > 1 || (drawn.length === 1 && contents.some((one) => one.points > 0)));
}

/** What is in each layer of a file: `trees (3 points), house (1 area)`. */
export function contentsText(contents: readonly LayerContent[]): string {
  return listOf(contents, LISTED, ({ name, points, lines, areas }) => {
    const counts = [
      points > 0 ? counted(points, 'point') : '',
      lines > 0 ? counted(lines, 'line') : '',
      areas > 0 ? counted(areas, 'area') : '',
    ];
    return `${name} (${counts.filter((text) => text !== '').join(', ')})`;
  });
}

/**
 * Asks which layer is meant where the layers of a file differ. If every line and area of works states its kind, works are
 * sorted by kind and nothing is asked.
 *
 * @param kindField the field of the kind of works, if there is one
 * @throws InputError `layer-several`
 */
export function askForLayer(layer: Layer, role: LayerRole, findings: Finding[], kindField?: string): void {
  const { contents, name } = layer;
  if (contents === undefined) return;
  const text = contentsText(contents);
  if (!mixesLayers(layer)) {
    const cure = `read one of them with --layer ${role}=NAME`;
    findings.push(finding('layer-picked', { layer: name }, `all its layers were read together: ${text}`, cure));
    return;
  }
  if (kindField !== undefined && saysKinds(layer, kindField)) return;
  const fits = contents.filter((one) => (role === 'trees' ? one.points > 0 : one.lines + one.areas > 0));
  const example = fits.length === 1 ? fits[0]!.name : 'NAME';
  const word = /^[\w./-]+$/.test(example) ? `${role}=${example}` : `'${role}=${example}'`;
  const several = role === 'works' ? ', or several with their kinds: --layer NAME=building --layer NAME=paving' : '';
  throw new InputError('layer-several', `${name} holds ${contents.length} layers, given for ${role}: ${text}`, {
    layer: name,
    cure: `say which one is meant: --layer ${word}${several}; for the whole file: --layer '${role}=*'`,
    choices: contents.map((one) => one.name),
  });
}

/** Whether every feature that can be works (points can't) says its kind. */
function saysKinds(layer: Layer, field: string): boolean {
  const { kind } = layer.geometry;
  const isPoint = (code: number): boolean => code <= 2; // none, point, multipoint
  for (let row = 0; row < layer.count; row++) {
    const value = layer.value(row, field);
    if (!isPoint(kind[row]!) && layer.setAside?.has(row) !== true && (value ?? '') === '') return false;
  }
  return true;
}
