// The plan that lies on the page. In: files that were dropped, what is drawn and changed; out: an assessment after each step, and
// every step undone and done again. Terms: source = a layer as a file; step = a state of all sources with the words for what led to
// it; piece = a feature of a source; drawn = a layer that began on the page.
// An empty plan is a survey of no trees: all that follows is the same as for any other.

import { type Assessment, type CrsTransform, findCrs, type LayerRole, type Units } from '../core.js';
import { frameAt, placeLayers, transformFor } from '../crs/index.js';
import { kindOf, ownName, type Source, sourceOf } from './files.js';
import { assessSources, type Choices, type Sources, withSystems } from './job.js';
import { History } from './plan/history.js';
import { collectionText, movedPiece, type Piece, piecesOf, runsOf } from './plan/layer-edit.js';
import { Plane } from './plan/plane.js';

/** Roles that can be drawn and changed here. */
export type EditRole = Extract<LayerRole, 'trees' | 'works' | 'existing' | 'lots'>;

/** One piece: which layer of its role, which feature of that. */
export interface PieceAt {
  readonly role: EditRole;
  readonly layer: number;
  readonly feature: number;
}

export interface NewPiece {
  readonly role: EditRole;
  readonly type: 'Point' | 'LineString' | 'Polygon';
  readonly xy: readonly number[]; // metres of the plane; a ring without its first corner again
  readonly properties: Readonly<Record<string, unknown>>;
}

/** Pieces that move together, by name: `role id`. */
export type Groups = Readonly<Record<string, readonly string[]>>;

/** The plane of the plan, and the way into it of each layer. */
interface Ground {
  readonly plane: Plane;
  transformOf(at: Pick<PieceAt, 'role' | 'layer'>): CrsTransform;
}

interface Step {
  readonly sources: Sources;
  readonly groups: Groups;
}

export const NOTHING: Sources = { trees: null, works: [], lots: null, existing: [] };
const DRAWN: Readonly<Record<EditRole, string>> = {
  trees: 'drawn-trees.geojson',
  works: 'drawn-works.geojson',
  existing: 'drawn-existing.geojson',
  lots: 'drawn-lots.geojson',
};
const SINGULAR: Readonly<Record<EditRole, string>> = {
  trees: 'tree',
  works: 'works',
  existing: 'existing',
  lots: 'lot',
};
/** Points to choose from: a list of more helps nobody. */
const MOST_CORNERS = 400;
const EMPTY = '{"type":"FeatureCollection","features":[]}';

export class Desk {
  readonly #history = new History<Step>({ sources: NOTHING, groups: {} });
  readonly #choices: () => Choices;
  #run = 0;
  readonly #texts = new WeakMap<Source, string>(); // by layer: most do not change from step to step
  #corners: { readonly name: string; readonly at: readonly [number, number] }[] = [];
  assessment: Assessment | null = null;

  constructor(choices: () => Choices) {
    this.#choices = choices;
  }

  get sources(): Sources {
    return this.#history.now.sources;
  }

  get groups(): Groups {
    return this.#history.now.groups;
  }

  get undoable(): string | null {
    return this.#history.undoable;
  }

  get redoable(): string | null {
    return this.#history.redoable;
  }

  /** A number for what begins now; `isCurrent` says whether something else has begun since. */
  begin(): number {
    return ++this.#run;
  }

  /** The number of what began last. */
  get begun(): number {
    return this.#run;
  }

  isCurrent(run: number): boolean {
    return run === this.#run;
  }

  step(sources: Sources, what: string, groups: Groups = this.groups): void {
    this.#history.push({ sources, groups }, what);
  }

  /** Another plan: nothing of the one before can be brought back by undo. */
  reset(sources: Sources, groups: Groups = {}): void {
    this.#history.reset({ sources, groups });
  }

  undo(): string | null {
    return this.#history.undo();
  }

  redo(): string | null {
    return this.#history.redo();
  }

  /** Assesses what lies on the page; null while nothing does, or where something began in the meantime. */
  async assess(): Promise<Assessment | null> {
    const run = this.begin();
    this.assessment = null;
    const found = await assessSources(this.sources, this.#choices());
    if (!this.isCurrent(run)) return null;
    this.assessment = found;
    return found;
  }

  /** Begins a plan with nothing in it, on a ground system of its own, or in the system that is chosen. */
  async blank(units: Units): Promise<string> {
    const { crs } = this.#choices();
    const trees = await sourceOf(DRAWN.trees, bytesOf(EMPTY));
    this.reset({ ...NOTHING, trees });
    return crs === '' ? (units === 'us' ? 'local:ft' : 'local:m') : crs;
  }

  // ---------------------------------------------------------------- pieces

  /** The plane, and the way into it of each layer. */
  async #ground(): Promise<Ground> {
    const { crs } = this.#choices();
    const full = this.#listed().filter(({ source }) => source.layer.count > 0);
    const options = { today: '', ...this.assessment?.options, ...(crs === '' ? {} : { crs }) };
    const { placed } = await withSystems(() =>
      placeLayers(
        full.map(({ role, source }) => ({ role, layer: source.layer })),
        options,
      ),
    );
    const own = await withSystems(() => transformFor(findCrs(crs === '' ? 'OGC:CRS84' : crs)));
    const ways = new Map(full.map((one, i) => [`${one.role} ${one.layer}`, placed[i]!.transform]));
    const first = placed[0]?.transform ?? own;
    const at = full[0] === undefined ? Float64Array.of(0, 0) : full[0].source.layer.geometry.xy.slice(0, 2);
    if (!Number.isNaN(at[0])) first.toLonLat(at);
    const plane = new Plane(this.assessment?.job.frameAt(at[0]!, at[1]!) ?? frameAt(at[0]!, at[1]!));
    return { plane, transformOf: ({ role, layer }) => ways.get(`${role} ${layer}`) ?? first };
  }

  /** Every layer as GeoJSON text in its own coordinates, and the local ground system that they lie in, if they do. */
  async texts(): Promise<{ readonly of: ReadonlyMap<Source, string>; readonly local: string | null }> {
    const { transformOf } = await this.#ground();
    const of = new Map<Source, string>();
    let local: string | null = null;
    for (const at of this.#listed()) {
      const transform = transformOf(at);
      if (transform.crs.kind === 'local') local = transform.crs.code;
      const known =
        at.source.layer.format === 'geojson' ? new TextDecoder().decode(at.source.bytes) : this.#texts.get(at.source);
      const text = known ?? collectionText(piecesOf(at.source.layer), transform);
      this.#texts.set(at.source, text);
      of.set(at.source, text);
    }
    return { of, local };
  }

  #listed(): { role: EditRole; layer: number; source: Source }[] {
    const { trees, works, existing, lots } = this.sources;
    const list = (role: EditRole, all: readonly (Source | null)[]) =>
      all.flatMap((source, layer) => (source === null ? [] : [{ role, layer, source }]));
    return [...list('trees', [trees]), ...list('works', works), ...list('existing', existing), ...list('lots', [lots])];
  }

  sourceAt(at: Pick<PieceAt, 'role' | 'layer'>): Source | null {
    return sourceIn(this.sources, at);
  }

  /** A piece's properties as its file has them; null where it is gone. */
  propertiesOf(at: PieceAt): Readonly<Record<string, unknown>> | null {
    const layer = this.sourceAt(at)?.layer;
    return layer === undefined || at.feature >= layer.count ? null : layer.properties(at.feature);
  }

  /** Corners, sides and trees to snap to, in the plane. */
  async lines(): Promise<number[][]> {
    const { plane, transformOf } = await this.#ground();
    this.#corners = [];
    return this.#listed().flatMap(({ role, layer, source }) =>
      piecesOf(source.layer).flatMap(({ geometry, properties }, i) => {
        const runs = runsOf(geometry).map((run) => plane.toPlane(run, transformOf({ role, layer })));
        const name = pieceName(properties, i);
        this.#nameCorners(geometry?.type.includes('Point') === true ? name : `${SINGULAR[role]} ${name}`, runs);
        return runs;
      }),
    );
  }

  #nameCorners(name: string, [run = []]: readonly number[][]): void {
    const isRing = run.length > 4 && run[0] === run.at(-2) && run[1] === run.at(-1);
    const count = run.length / 2 - (isRing ? 1 : 0);
    for (let i = 0; i < count && this.#corners.length < MOST_CORNERS; i++)
      this.#corners.push({
        name: count === 1 ? name : `${name}, corner ${i + 1}`,
        at: [run[i * 2]!, run[i * 2 + 1]!],
      });
  }

  /** Trees, and corners of lots and works by name, as `lines` last found them. */
  corners(): readonly { readonly name: string; readonly at: readonly [number, number] }[] {
    return this.#corners;
  }

  everyPiece(): PieceAt[] {
    return this.#listed().flatMap(({ role, layer, source }) =>
      Array.from({ length: source.layer.count }, (_, feature) => ({ role, layer, feature })),
    );
  }

  /** Puts new pieces on the plan. */
  async add(pieces: readonly NewPiece[], what: string): Promise<void> {
    let sources = this.sources;
    const { plane, transformOf } = await this.#ground();
    for (const role of new Set(pieces.map((piece) => piece.role))) {
      const at = this.#drawnLayer(sources, role);
      const source = sourceIn(sources, at);
      const transform = transformOf(source === null ? { role: 'trees', layer: 0 } : at);
      const made = pieces
        .filter((piece) => piece.role === role)
        .map((piece) => madePiece(piece, (xy) => plane.toNative(xy, transform)));
      const all = [...(source === null ? [] : piecesOf(source.layer)), ...made];
      const name = source?.name ?? DRAWN[role];
      sources = withSource(sources, at, await written(name, all, transform, source));
    }
    this.step(sources, what);
  }

  /** Changes pieces, or takes them away where the function gives null. */
  async change(at: readonly PieceAt[], what: string, change: (piece: Piece) => Piece | null): Promise<void> {
    await this.#edit(at, what, await this.#ground(), (pieces, features) =>
      pieces.flatMap((piece, i) => {
        const next = features.has(i) ? change(piece) : piece;
        return next === null ? [] : [next];
      }),
    );
  }

  /** Moves pieces by metres, turned about their middle by degrees clockwise. */
  async move(
    at: readonly PieceAt[],
    by: { east: number; north: number; turnDeg: number },
    what: string,
  ): Promise<void> {
    const ground = await this.#ground();
    const about = this.#middle(at, ground);
    await this.#edit(at, what, ground, (pieces, features, transform) =>
      pieces.map((piece, i) =>
        features.has(i) ? movedPiece(piece, { ...by, about }, ground.plane, transform) : piece,
      ),
    );
  }

  /** Copies pieces beside themselves, with new names. */
  async copy(at: readonly PieceAt[], by: { east: number; north: number }, what: string): Promise<void> {
    const ground = await this.#ground();
    await this.#edit(at, what, ground, (pieces, features, transform) => [
      ...pieces,
      ...[...features].map((i) => {
        const copy = movedPiece(pieces[i]!, { ...by, turnDeg: 0, about: [0, 0] }, ground.plane, transform);
        const { id: _, ...rest } = copy;
        const names = new Set(pieces.map(({ properties }) => String(properties.id ?? '')));
        const own = copy.properties.id === undefined ? {} : { id: freeName(String(copy.properties.id), names) };
        return { ...rest, properties: { ...copy.properties, ...own } };
      }),
    ]);
  }

  #middle(at: readonly PieceAt[], { plane, transformOf }: Ground): readonly [number, number] {
    const xy = at.flatMap((one) => {
      const piece = piecesOf(this.sourceAt(one)!.layer)[one.feature];
      return runsOf(piece?.geometry ?? null).flatMap((run) => plane.toPlane(run, transformOf(one)));
    });
    let [x, y] = [0, 0];
    for (let i = 0; i < xy.length; i += 2) [x, y] = [x + xy[i]!, y + xy[i + 1]!];
    const n = Math.max(xy.length / 2, 1);
    return [x / n, y / n];
  }

  async #edit(
    at: readonly PieceAt[],
    what: string,
    { transformOf }: Ground,
    edit: (pieces: Piece[], features: ReadonlySet<number>, transform: CrsTransform) => Piece[],
  ): Promise<void> {
    let sources = this.sources;
    const layers = new Map(at.map(({ role, layer }) => [`${role} ${layer}`, { role, layer }]));
    for (const where of layers.values()) {
      const source = sourceIn(sources, where);
      if (source === null) continue;
      const features = new Set(
        at.filter(({ role, layer }) => role === where.role && layer === where.layer).map(({ feature }) => feature),
      );
      const transform = transformOf(where);
      const pieces = edit(piecesOf(source.layer), features, transform);
      const name = editedName(ownName(source));
      sources = withSource(sources, where, await written(name, pieces, transform, source));
    }
    this.step(sources, what);
  }

  /** Where new pieces of a role go: the survey itself, and for works and lots a layer of their own. */
  #drawnLayer(sources: Sources, role: EditRole): Pick<PieceAt, 'role' | 'layer'> {
    if (role === 'trees' || role === 'lots') return { role, layer: 0 };
    const list = role === 'works' ? sources.works : sources.existing;
    const drawn = list.findIndex(({ name }) => name === DRAWN[role] || name === editedName(DRAWN[role]));
    return { role, layer: drawn < 0 ? list.length : drawn };
  }
}

/** What a piece is called: by its own columns, else by its number. */
export function pieceName(properties: Readonly<Record<string, unknown>>, feature: number): string {
  return String(properties.id ?? properties.tag ?? properties.name ?? feature + 1);
}

function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

async function written(
  name: string,
  pieces: readonly Piece[],
  transform: CrsTransform,
  before: Source | null,
): Promise<Source> {
  // The columns of coordinates: the geometry says where a piece is, and they would go on saying where it was.
  const places = new Set<string>(before?.layer.columns ?? []);
  const placed = places.size === 0 ? pieces : pieces.map((piece) => withoutColumns(piece, places));
  const made = await sourceOf(name, bytesOf(placed.length === 0 ? EMPTY : collectionText(placed, transform)));
  return { ...made, ...kindOf(before) };
}

function withoutColumns(piece: Piece, names: ReadonlySet<string>): Piece {
  const rest = Object.entries(piece.properties).filter(([name]) => !names.has(name));
  return { ...piece, properties: Object.fromEntries(rest) };
}

/** Names of layers that were files: what is saved must not pass for the file. */
export function editedName(name: string): string {
  if (/^drawn-|-edited\.geojson$/.test(name)) return name;
  return `${name.replace(/\.[^.]*$/, '')}-edited.geojson`;
}

function sourceIn(sources: Sources, { role, layer }: Pick<PieceAt, 'role' | 'layer'>): Source | null {
  if (role === 'trees') return sources.trees;
  if (role === 'lots') return sources.lots;
  return (role === 'works' ? sources.works : sources.existing)[layer] ?? null;
}

function withSource(sources: Sources, { role, layer }: Pick<PieceAt, 'role' | 'layer'>, source: Source): Sources {
  if (role === 'trees' || role === 'lots') return { ...sources, [role]: source };
  const list = [...(role === 'works' ? sources.works : sources.existing)];
  list[layer] = source;
  return { ...sources, [role]: list };
}

function madePiece({ type, xy, properties }: NewPiece, native: (xy: readonly number[]) => number[]): Piece {
  const flat = native(xy);
  const positions = Array.from({ length: flat.length / 2 }, (_, i) => [flat[i * 2]!, flat[i * 2 + 1]!]);
  const coordinates =
    type === 'Point' ? positions[0] : type === 'LineString' ? positions : [[...positions, positions[0]!]];
  return { type: 'Feature', properties, geometry: { type, coordinates } };
}

/** `oak 2` for a copy of `oak`. */
export function freeName(name: string, taken: ReadonlySet<string>): string {
  const stem = name.replace(/ \d+$/, '');
  let n = 2;
  while (taken.has(`${stem} ${n}`)) n++;
  return `${stem} ${n}`;
}
