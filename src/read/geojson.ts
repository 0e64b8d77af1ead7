// GeoJSON and GeoJSON text sequences -> Layer (RFC 7946, RFC 8142, newline-delimited GeoJSON, legacy `crs` of GJ2008).
// In: bytes; out: a Layer with native coordinates. Every member becomes one feature, valid or not.
// Terms: document = one JSON text; a sequence holds one per line, or one after each record separator (RS, 0x1e).

import type { CrsStatement, Layer } from '../model/index.js';
import { finding, InputError, LayerBuilder } from '../model/index.js';
import { GeoJsonBytes, NotPlain } from './geojson-bytes.js';
import { addBrokenFeature, addFeature, addGeometry, described, isGeometryType, isObject } from './geojson-feature.js';
import { parseJson } from './json.js';
import type { ReadOptions } from './options.js';
import { bomLength, decodeText } from './text.js';

/**
 * Reads a FeatureCollection, a Feature or a bare geometry.
 *
 * @throws InputError `not-json` (with line and column), `geojson-shape` (JSON of another kind), `file-too-large`
 */
export function readGeoJson(bytes: Uint8Array, options: ReadOptions): Layer {
  const stream = new GeoJsonStream(options);
  stream.push(bytes);
  return stream.finish(() => bytes);
}

/**
 * Reads a document that comes in chunks. A plain FeatureCollection is read as it arrives and its text is not kept; what
 * turns out to be anything else is read whole at the end, from `whole`.
 *
 * @example
 * const stream = new GeoJsonStream({ name: 'trees.geojson' });
 * for (const chunk of chunks) stream.push(chunk);
 * const layer = stream.finish(() => readFileSync('trees.geojson'));
 */
export class GeoJsonStream {
  readonly #options: ReadOptions;
  readonly #into: LayerBuilder;
  readonly #bytes: GeoJsonBytes;
  #plain = true;

  readonly #sequence: boolean;

  /** `sequence`: newline-delimited GeoJSON or an RFC 8142 text sequence. */
  constructor(options: ReadOptions, sequence: boolean = false) {
    this.#options = options;
    this.#sequence = sequence;
    this.#into = new LayerBuilder(options.name, sequence ? 'geojsonseq' : 'geojson');
    this.#bytes = new GeoJsonBytes(this.#into, sequence);
  }

  /** Tells which share of the bytes has been pushed: a guess at how long columns will be. */
  expect(share: number): void {
    this.#into.expect(share);
  }

  /** Takes the next bytes; false when no more are needed, because the text will have to be read whole. */
  push(chunk: Uint8Array): boolean {
    if (this.#plain) this.#try(() => this.#bytes.push(chunk));
    return this.#plain;
  }

  /** @throws InputError as `readGeoJson` does */
  finish(whole: () => Uint8Array, sha256: string | null = this.#options.sha256 ?? null): Layer {
    if (this.#plain) this.#try(() => this.#bytes.end());
    if (!this.#plain) {
      const options = { ...this.#options, ...(sha256 === null ? {} : { sha256 }) };
      return this.#sequence ? readWholeSequence(whole(), options) : readWhole(whole(), options);
    }
    return this.#into.finish({
      crs: statedCrs({ crs: this.#bytes.crs }, this.#into) ?? degreesIfFit(this.#into),
      sha256,
    });
  }

  #try(work: () => void): void {
    try {
      work();
    } catch (error) {
      if (!(error instanceof NotPlain)) throw error;
      this.#plain = false;
    }
  }
}

/** The whole text through JSON.parse: small or unusual documents, and those whose faults must be reported. */
function readWhole(bytes: Uint8Array, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'geojson');
  const { text, findings } = decodeText(bytes, options.name);
  into.findings.push(...findings);
  const root = parseJson(text, options.name);
  const problem = addDocument(root, '', into);
  if (problem !== undefined)
    throw new InputError('geojson-shape', `${options.name} ${problem.message}`, {
      layer: options.name,
      cure: problem.cure,
    });
  return into.finish({ crs: statedCrs(root, into) ?? degreesIfFit(into), sha256: options.sha256 ?? null });
}

/**
 * Reads one document per line (NDJSON) or per record separator (RFC 8142). A document that can't be read is
 * kept as a broken feature, since the others do not depend on it.
 *
 * @throws InputError `not-json` when no document can be read
 */
export function readGeoJsonSequence(bytes: Uint8Array, options: ReadOptions): Layer {
  const stream = new GeoJsonStream(options, true);
  stream.push(bytes);
  return stream.finish(() => bytes);
}

function readWholeSequence(bytes: Uint8Array, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'geojsonseq');
  let crs: CrsStatement | null = null;
  let sound = 0;
  let firstError: unknown;
  let assumed = 0;
  let firstAssumed = '';
  for (const { text, where, utf8 } of documents(bytes, options.name)) {
    let root: unknown;
    if (!utf8 && assumed++ === 0) firstAssumed = where;
    try {
      root = parseJson(text, options.name);
    } catch (error) {
      firstError ??= error;
      const message = error instanceof Error ? error.message : String(error);
      addBrokenFeature(where, `${where} can't be read: ${message}`, 'fix that line or export it again', into);
      continue;
    }
    sound++;
    crs ??= statedCrs(root, into);
    if (addDocument(root, where, into) !== undefined) addFeature(root, () => where, into);
  }
  if (sound === 0 && firstError !== undefined) throw firstError;
  if (assumed > 0) {
    const message = `${assumed === 1 ? `${firstAssumed} is` : `${assumed} lines, ${firstAssumed} the first, are`} not UTF-8; read as windows-1252 (Western European)`;
    const cure = 'check accented letters in names; save the file as UTF-8 if they are wrong';
    into.findings.push(finding('encoding-assumed', { layer: options.name, path: firstAssumed }, message, cure));
  }
  return into.finish({ crs: crs ?? degreesIfFit(into), sha256: options.sha256 ?? null });
}

/** Adds what a document holds; returns a problem, and adds nothing, when it is not GeoJSON. */
function addDocument(root: unknown, where: string, into: LayerBuilder): { message: string; cure: string } | undefined {
  if (!isObject(root)) {
    return {
      message: `holds ${described(root)}, not GeoJSON`,
      cure: 'wrap the features in {"type": "FeatureCollection", "features": [...]}',
    };
  }
  const type = root.type;
  const dot = where === '' ? '' : `${where} `;
  if (type === 'FeatureCollection') {
    const features = root.features;
    if (!Array.isArray(features)) {
      return { message: `is a FeatureCollection whose "features" is ${described(features)}, not a list`, cure: EXPORT };
    }
    for (let i = 0; i < features.length; i++) addFeature(features[i], () => `${dot}features[${i}]`, into);
  } else if (type === 'Feature') {
    addFeature(root, () => where || 'feature', into);
  } else if (isGeometryType(type)) {
    addGeometry(root, () => where || 'geometry', into);
    into.end({});
  } else if (type === 'Topology') {
    return { message: 'is TopoJSON, not GeoJSON', cure: 'convert it to GeoJSON' };
  } else if (type === undefined && Array.isArray(root.features)) {
    return { message: 'has features but no GeoJSON "type" (Esri JSON?)', cure: 'export it as GeoJSON' };
  } else {
    return { message: `is JSON whose "type" is ${described(type)}, not GeoJSON`, cure: EXPORT };
  }
  return undefined;
}

const EXPORT = 'export the layer again as GeoJSON';

/** The legacy `crs` member (GeoJSON 2008, section 3): a name, a link, or an EPSG code. */
function statedCrs(root: unknown, into: LayerBuilder): CrsStatement | null {
  const crs = isObject(root) ? root.crs : undefined;
  if (crs === undefined || crs === null) return null; // nothing is stated
  if (!isObject(crs)) {
    const message = `the crs member is ${described(crs)}, not an object: it was ignored`;
    const cure =
      'name the coordinate system with the option of the layer (--trees-crs, --works-crs, ...), or fix the member';
    const known = into.findings.some((one) => one.code === 'crs-member-broken');
    if (!known) into.findings.push(finding('crs-member-broken', { layer: into.name, path: 'crs' }, message, cure));
    return null;
  }
  const about = isObject(crs.properties) ? crs.properties : {};
  const named = about.name ?? about.href ?? (about.code === undefined ? undefined : `EPSG:${about.code}`);
  return { from: 'crs-member', text: typeof named === 'string' ? named : JSON.stringify(crs) };
}

/** RFC 7946 section 4: without a statement GeoJSON is WGS 84, taken only when every coordinate fits degrees. */
function degreesIfFit(into: LayerBuilder): CrsStatement | null {
  return into.fitsDegrees() ? { from: 'rfc7946', text: 'OGC:CRS84' } : null;
}

const RS = 0x1e;
const LF = 0x0a;

/** The documents of a sequence, decoded one by one so that the file may be larger than a string. */
function* documents(bytes: Uint8Array, layer: string): Generator<{ text: string; where: string; utf8: boolean }> {
  const start = bomLength(bytes);
  const bySeparator = bytes.indexOf(RS, start) !== -1;
  const mark = bySeparator ? RS : LF;
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let number = 0;
  for (let from = start; from < bytes.length; ) {
    const found = bytes.indexOf(mark, from);
    const to = found === -1 ? bytes.length : found;
    const piece = bytes.subarray(from, to);
    from = to + 1;
    number++;
    let text: string;
    let utf8 = true;
    try {
      text = decoder.decode(piece);
    } catch {
      text = decodeText(piece, layer).text;
      utf8 = false;
    }
    if (text.trim() === '') continue; // a blank line holds no document
    // With separators the first piece is the text before the first separator, usually empty.
    yield { text, utf8, where: bySeparator ? `record ${number - 1}` : `line ${number}` };
  }
}
