// The page: joins form, plan and schedule. In: files, choices, pointer and keys; out: an assessment on the screen, files to
// save. Terms: settled = the moved piece became a file of works and was assessed again; history = works before each move.
// Only the core is used, as any page could: nothing is sent anywhere.

import lotsUrl from '../../data/demo/lots.geojson?url';
import surveyUrl from '../../data/demo/survey.csv?url';
import worksUrl from '../../data/demo/works.geojson?url';
import { placeLayers } from '../crs/index.js';
import { markOf, VERDICT_STYLES } from '../report/drawing/palette.js';
import { symbol } from '../report/drawing/symbols.js';
import { shareOf } from '../rules/index.js';
import {
  type Assessment,
  builtinRule,
  findCrs,
  geojsonText,
  type LengthUnit,
  lengthInMetres,
  type MovedTree,
  moveWorks,
  parseRuleText,
  ruleIds,
  type TreeResult,
  toFindings,
  toInventory,
  toLotTable,
  toPlan,
  toRemovals,
  toSchedule,
  type Units,
  VERDICTS,
  WORKS_KINDS,
  type WorksKind,
  type WorksMover,
} from '../web.js';
import { answer } from './answer.js';
import { Backdrop } from './backdrop.js';
import { Desk } from './desk.js';
import { Editing } from './editing.js';
import { kindOf, ownName, readFiles, SeveralLayers, type Source, sourceOf } from './files.js';
import { type Choices, commandOf, inWords, withSystems } from './job.js';
import { inPageWords } from './mapping/cures.js';
import { layersForm, readLayers } from './mapping/layers.js';
import { Mapper } from './mapping/mapper.js';
import { movedWorks } from './moved-works.js';
import { notesForm } from './notes-form.js';
import { type Kept, keepPlan, keptPlan, type OpenedPlan, openPlan, planText } from './plan-file.js';
import { element, legendItems, PlanView } from './plan-view.js';
import { percent, ScheduleView } from './schedule-view.js';
import { Places } from './search/places.js';
import { packetOf, showPacket } from './submission.js';
import { TreePage } from './tree/tree-page.js';
import { Where } from './tree/where.js';

const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;
const field = (id: string): HTMLInputElement => byId<HTMLInputElement>(id);
const select = (id: string): HTMLSelectElement => byId<HTMLSelectElement>(id);

/** What is saved of an assessment, by the buttons' names. */
const RESULTS = ['geojson', 'schedule', 'report', 'plan', 'inventory', 'removals', 'findings', 'plan-file'] as const;
const SETTLE_MS = 900; // after the last key

const state = {
  demo: false,
  ruleFile: null as Choices['ruleFile'],
  mover: null as WorksMover | null,
  chosen: null as number | null,
  offset: [0, 0] as [number, number],
  turnDeg: 0, // clockwise
  shown: new Set<number>(), // trees whose figures on the screen are not the assessment's
  settling: 0,
  pending: Promise.resolve(), // the assessment that is under way
};

const plan = new PlanView(byId('plan'), {
  take(row, more) {
    settleNow();
    choose(row);
    editing.pick('works', row, more);
  },
  drag: (east, north) => move(east, north, state.turnDeg),
  turn: (degrees) => move(...state.offset, degrees),
  centre: () => mover()?.centre ?? null,
  drop: () => void settle(),
  tree(row) {
    schedule.focus(row);
    editing.pick('trees', row, false);
  },
  nothing: () => editing.pickNone(),
});
const desk = new Desk(choices);
const schedule = new ScheduleView(byId<HTMLTableElement>('schedule'), (row) => {
  if (desk.assessment === null) return;
  plan.lookAt(desk.assessment, row);
  editing.pick('trees', row, false);
});

const editing = new Editing({
  desk,
  plan,
  units: () => choices().units,
  fields: () => choices().fields ?? {},
  async refresh() {
    await refresh(true);
    got();
  },
  say,
  problem,
  selected: (pieces) => treePage.show(pieces),
});
const treePage = new TreePage(byId('this-tree'), {
  desk,
  units: () => choices().units,
  async refresh() {
    await refresh(true);
    got();
  },
  pending,
  say,
  problem,
  changed: () => void keep(),
});
new Where(byId<HTMLButtonElement>('where'), {
  plan,
  assessment: () => desk.assessment,
  crs: () => choices().crs,
  units: () => choices().units,
  say,
});
const mapper = new Mapper({
  sources: () => desk.sources,
  choices,
  isAssessed: () => desk.assessment !== null,
  changed: () => void refresh(true),
});
// Loaded with the tables of the world when its box is first opened.
byId('systems-box').addEventListener(
  'toggle',
  () => {
    void import('./mapping/systems-form.js').then(({ systemsForm }) => {
      systemsForm({
        sources: () => desk.sources,
        use(code) {
          field('crs').value = code;
          void sayCrs().then(() => refresh(false));
        },
        problem,
      });
    }, problem);
  },
  { once: true },
);
notesForm({ use: (name, text) => void useNotes(name, text) });

const places = new Places({ say, put: atPlace });
const backdrop = new Backdrop({
  plan,
  units: () => choices().units,
  corners: () => desk.corners(),
  say,
  changed: () => void keep(),
});

// ---------------------------------------------------------------- choices

function choices(): Choices {
  const limitText = field('limit').value.trim();
  return {
    crs: field('crs').value.trim(),
    rule: select('rule').value,
    ruleFile: state.ruleFile,
    limit: limitText === '' ? undefined : shareOf(limitText),
    limitText,
    units: select('units').value as Units,
    dbhUnit: select('dbh-unit').value as LengthUnit | '',
    kind: select('kind').value as WorksKind,
    ...mapper.chosen(desk.sources),
  };
}

function kinded(works: readonly Source[]): readonly Source[] {
  const kind = select('kind').value;
  return works.map((work) => {
    if (work.ownKind === true) return work;
    const { kind: _, ...source } = work;
    return kind === '' ? source : { ...source, kind: kind as WorksKind };
  });
}

function fill(): void {
  for (const id of ruleIds()) select('rule').append(new Option(`${builtinRule(id).title} (${id})`, id));
  select('kind').append(new Option('building (said in the findings)', ''));
  for (const kind of WORKS_KINDS) {
    select('kind').append(new Option(kind, kind));
    select('draw-kind').append(new Option(kind, kind));
  }
  for (const code of ['OGC:CRS84', 'local:ft', 'local:m', 'EPSG:2913', 'EPSG:26910', 'EPSG:27700', 'EPSG:25832']) {
    byId('crs-list').append(new Option(code, code));
  }
}

async function sayCrs(): Promise<void> {
  const text = field('crs').value.trim();
  const said = byId('crs-said');
  said.classList.remove('bad');
  said.textContent = '';
  if (text === '') return;
  try {
    const { name, unit } = await withSystems(() => findCrs(text));
    said.textContent = `${name}${unit === 'degree' ? '' : `, in ${unit}`}`;
  } catch (error) {
    const { message, cure } = inWords(error);
    said.classList.add('bad');
    said.textContent = `${message}: ${cure}`;
  }
}

function sayLimit(): void {
  const { limit, limitText } = choices();
  const wrong = limitText !== '' && limit === undefined;
  byId('limit-said').textContent = wrong ? 'write 20% or 0.2; a bare 20 could mean either' : '';
  byId('limit-said').classList.toggle('bad', wrong);
}

// ---------------------------------------------------------------- assessing

function problem(error: unknown): void {
  const { message, cure } = inWords(error);
  const box = byId('problem');
  box.replaceChildren();
  for (const text of [message, cure]) {
    if (text === '') continue;
    const p = document.createElement('p');
    p.textContent = text;
    box.append(p);
  }
  box.hidden = false;
}

function say(text: string): void {
  byId('status').textContent = text;
}

function refresh(keepView: boolean): Promise<void> {
  return pending(reassess(keepView));
}

/** What is saved waits for this: a field that is left by pressing a button changes the plan first. */
function pending(work: Promise<void>): Promise<void> {
  state.pending = work;
  return work;
}

async function allDone(): Promise<void> {
  for (let seen: Promise<void> | null = null; seen !== state.pending; ) {
    seen = state.pending;
    await seen;
  }
}

async function reassess(keepView: boolean): Promise<void> {
  byId('problem').hidden = true;
  byId('command').textContent = commandOf(desk.sources, choices());
  const found = desk.assess(); // what began later overtakes this
  const run = desk.begun;
  try {
    await found;
  } catch (error) {
    if (desk.isCurrent(run)) problem(error);
  }
  if (!desk.isCurrent(run)) return;
  mapper.show();
  await editing.settled();
  if (!desk.isCurrent(run)) return;
  void keep();
  state.mover = null;
  state.shown.clear();
  show(keepView);
}

function show(keepView: boolean): void {
  const { assessment } = desk;
  for (const id of RESULTS) byId<HTMLButtonElement>(`save-${id}`).disabled = assessment === null;
  byId<HTMLButtonElement>('save-lots').disabled = (assessment?.job.lots ?? null) === null;
  byId<HTMLButtonElement>('save-works').disabled = !desk.sources.works.some(isChanged);
  steps();
  byId('stamp').hidden = !state.demo;
  byId('start').hidden = assessment !== null;
  document.documentElement.toggleAttribute('data-plan', assessment !== null);
  for (const button of document.querySelectorAll<HTMLButtonElement>('[data-move], [data-turn]'))
    button.disabled = assessment === null;
  byId<HTMLButtonElement>('find').disabled = assessment === null;
  pieces(assessment);
  if (assessment === null) {
    plan.clear();
    byId<HTMLTableElement>('schedule').tHead?.replaceChildren();
    byId<HTMLTableElement>('schedule').tBodies[0]?.replaceChildren();
    byId('answer').replaceChildren();
    byId('counts').textContent = '';
    byId('legend').replaceChildren();
    byId('findings-box').hidden = true;
    return;
  }
  const { units } = choices();
  plan.draw(assessment, units, keepView, origin());
  backdrop.show();
  schedule.draw(assessment, units);
  for (const tree of assessment.trees) paint(tree, tree, false);
  plan.label();
  byId('answer').innerHTML = answer(assessment, units);
  counts(assessment);
  legend(assessment);
  findings(assessment);
  choose(state.chosen !== null && state.chosen < assessment.works.length ? state.chosen : null);
  editing.mark();
}

function counts({ counts: { verdicts } }: Assessment): void {
  byId('counts').textContent = VERDICTS.filter((verdict) => verdicts[verdict] > 0)
    .map((verdict) => `${VERDICT_STYLES[verdict].title}: ${verdicts[verdict]}`)
    .join(' · ');
}

function legend(assessment: Assessment): void {
  const { verdicts } = assessment.counts;
  const signs = VERDICTS.filter((verdict) => verdicts[verdict] > 0).map((verdict) => ({
    title: VERDICT_STYLES[verdict].title,
    svg: symbol(verdict, 'keep', 0, 0, 7),
  }));
  byId('legend').replaceChildren(
    ...[...signs, ...legendItems(assessment)].map(({ title, svg }) => {
      const item = document.createElement('li');
      item.append(element('svg', { viewBox: '-9 -9 18 18', 'aria-hidden': 'true' }, svg), title);
      return item;
    }),
  );
}

function findings({ findings: all }: Assessment): void {
  byId('findings-box').hidden = all.length === 0;
  const summary = byId('findings-box').querySelector('summary') as HTMLElement;
  summary.textContent = `Findings: ${all.length}`;
  byId('findings').replaceChildren(
    ...all.slice(0, 100).map(({ severity, message, cure }) => {
      const item = document.createElement('li');
      item.textContent = `${severity}: ${message}. ${inPageWords(cure)}`;
      return item;
    }),
  );
}

function pieces(assessment: Assessment | null): void {
  const list = select('piece');
  list.disabled = assessment === null;
  list.replaceChildren(new Option('choose one', ''));
  for (const { row, key, kind } of assessment?.works.slice(0, 1000) ?? [])
    list.append(new Option(`${kind} ${key}`, String(row)));
}

// ---------------------------------------------------------------- moving

function choose(row: number | null): void {
  state.chosen = row;
  select('piece').value = row === null ? '' : String(row);
  plan.choose(row);
}

type Figures = Pick<MovedTree, 'row' | 'verdict'> & { overlapPct: number | null; severedPct: number | null };

/** One tree's figures on plan and schedule. */
function paint(figures: Figures, tree: TreeResult, moving: boolean): void {
  const touched = figures.overlapPct !== null && figures.overlapPct > 0;
  plan.tree(figures, tree.disposition, touched ? `${tree.key} ${percent(figures.overlapPct)}` : tree.key);
  schedule.tree(figures, moving);
}

/** The chosen piece, ready to be moved. */
function mover(): WorksMover | null {
  const { assessment } = desk;
  const { chosen } = state;
  if (assessment === null || chosen === null) return null;
  state.mover ??= moveWorks(assessment, chosen);
  return state.mover;
}

function isMoved(): boolean {
  return state.mover !== null && (state.offset[0] !== 0 || state.offset[1] !== 0 || state.turnDeg !== 0);
}

/** The piece so far from home, and turned; only the trees it reaches are measured again. */
function move(eastM: number, northM: number, turnDeg: number): void {
  const { assessment } = desk;
  const { chosen } = state;
  const from = performance.now();
  const piece = mover();
  if (assessment === null || chosen === null || piece === null) return;
  const beside = editing.beside(chosen);
  state.offset = [eastM, northM];
  state.turnDeg = turnDeg;
  for (const row of beside) plan.shift(row, eastM, northM, 0, piece.centre);
  const reached = piece.to(eastM, northM, turnDeg);
  const measured = performance.now();
  const now = new Set(reached.map(({ row }) => row));
  for (const row of state.shown) if (!now.has(row)) paint(assessment.tree(row), assessment.tree(row), false);
  for (const figures of reached) paint(figures, assessment.tree(figures.row), true);
  state.shown = now;
  plan.shift(chosen, eastM, northM, turnDeg, piece.centre);
  const plot = byId('plan');
  plot.dataset.measureMs = (measured - from).toFixed(2);
  plot.dataset.moveMs = (performance.now() - from).toFixed(2);
}

function back(): void {
  const { assessment } = desk;
  const { chosen } = state;
  clearTimeout(state.settling);
  if (assessment === null || chosen === null || state.mover === null) return;
  move(0, 0, 0);
  for (const row of state.shown) paint(assessment.tree(row), assessment.tree(row), false);
  state.shown.clear();
  state.mover = null;
  state.offset = [0, 0];
  state.turnDeg = 0;
  say('Taken back.');
}

/** The moved piece becomes a file of works, which is assessed as any other. */
async function settle(): Promise<void> {
  clearTimeout(state.settling);
  const { assessment, sources } = desk;
  const { chosen, mover } = state;
  const [eastM, northM] = state.offset;
  const { turnDeg } = state;
  const moved = isMoved();
  state.offset = [0, 0];
  state.turnDeg = 0;
  if (assessment === null || chosen === null || mover === null) return;
  if (moved && editing.beside(chosen).length > 0) {
    state.mover = null;
    await desk.move(
      editing.selected,
      { east: eastM, north: northM, turnDeg },
      `moving ${editing.selected.length} pieces`,
    );
    await refresh(true);
    got();
    say(`Moved ${editing.selected.length} pieces together.`);
    return;
  }
  if (!moved) {
    state.mover = null;
    return;
  }
  const { job } = assessment;
  const layerIndex = job.works.layerOf[chosen] as number;
  const source = sources.works[layerIndex] as Source;
  const { placed } = placeLayers(
    [
      { role: 'trees', layer: (sources.trees as Source).layer },
      ...sources.works.map(({ layer }) => ({ role: 'works' as const, layer })),
    ],
    assessment.options,
  );
  const { transform } = placed[layerIndex + 1] as (typeof placed)[number];
  const bytes = movedWorks(source.layer, transform, {
    feature: job.works.rowInLayer[chosen] as number,
    eastM,
    northM,
    turnDeg,
    centre: mover.centre,
    frame: job.frameAt(...mover.centre),
  });
  const settled = await movedSource(source, bytes);
  const works = sources.works.map((one, i) => (i === layerIndex ? settled : one));
  desk.step({ ...sources, works }, 'the last move');
  const before = new Map(assessment.trees.map((tree) => [tree.row, tree.verdict]));
  await refresh(true);
  got();
  const after = desk.assessment;
  const turned = (after?.trees ?? []).filter((tree) => tree.verdict !== before.get(tree.row));
  const { units } = choices();
  const far = Math.hypot(eastM, northM);
  const length = units === 'us' ? `${(far / 0.3048).toFixed(1)} ft` : `${far.toFixed(2)} m`;
  const words = turned
    .slice(0, 5)
    .map(
      (tree) => `${tree.key} ${percent(tree.overlapPct)}, ${VERDICT_STYLES[markOf(tree.verdict)].title.toLowerCase()}`,
    );
  const more = turned.length > 5 ? ` and ${turned.length - 5} more` : '';
  const turn = `${Math.abs(turnDeg).toFixed(1).replace(/\.0$/, '')}° ${turnDeg > 0 ? 'clockwise' : 'anticlockwise'}`;
  const how = turnDeg === 0 ? `Moved ${length}` : far === 0 ? `Turned ${turn}` : `Moved ${length}, turned ${turn}`;
  say(`${how}. ${words.length === 0 ? 'No verdict has changed.' : `Changed: ${words.join('; ')}${more}.`}`);
}

/** A layer of works as it is after a move, under a name that does not pass for its file. */
async function movedSource(source: Source, bytes: Uint8Array): Promise<Source> {
  const stem = ownName(source)
    .replace(/\.[^.]*$/, '')
    .replace(/-moved$/, '');
  return { ...(await sourceOf(`${stem}-moved.geojson`, bytes)), ...kindOf(source) };
}

/** Settles what the keys have moved, before something else begins. */
function settleNow(): void {
  if (isMoved()) void settle();
}

async function undo(): Promise<void> {
  if (isMoved()) {
    back();
    return;
  }
  await stepped(desk.undo(), 'undone');
}

async function redo(): Promise<void> {
  settleNow();
  await stepped(desk.redo(), 'done again');
}

async function stepped(what: string | null, how: string): Promise<void> {
  if (what === null) return;
  picture('');
  await refresh(true);
  got();
  say(`${what[0]?.toUpperCase()}${what.slice(1)} is ${how}.`);
}

/** What can be undone and done again. */
function steps(): void {
  for (const [id, what, verb] of [
    ['undo', desk.undoable, 'Undo'],
    ['redo', desk.redoable, 'Do again'],
  ] as const) {
    const button = byId<HTMLButtonElement>(id);
    button.disabled = what === null;
    button.title = what === null ? '' : `${verb}: ${what}`;
  }
}

function isChanged({ name }: Source): boolean {
  return /^drawn-|-(?:moved|edited)\.geojson$/.test(name);
}

/** Looks for places for what is selected, in a thread of its own, and puts the works at the best one. */
async function find(): Promise<void> {
  if (state.mover !== null) await settle();
  const { assessment } = desk;
  if (assessment === null) return;
  const move = [...editing.selectedWorks(state.chosen)].map((row) => assessment.job.works.key.at(row) ?? '');
  if (move.length === 0) {
    say('Choose a piece of works first.');
    return;
  }
  const { units, ruleFile, dbhUnit } = choices();
  const lengths = new Map<string, number | undefined>();
  for (const id of ['setback', 'find-shift']) {
    const text = field(id).value.trim();
    const metres = text === '' ? undefined : lengthInMetres(text);
    if (text !== '' && (metres === undefined || metres < 0)) {
      say(`“${text}” is not a length: write 5ft or 1.5m.`);
      return;
    }
    lengths.set(id, metres);
  }
  const run = desk.begin();
  try {
    places.close();
    const answer = await places.ask({
      plan: await planText(desk, choices()),
      rule: ruleFile === null ? null : JSON.stringify(ruleFile.rule),
      asked: {
        move,
        setback: lengths.get('setback'),
        shiftM: lengths.get('find-shift') ?? (units === 'us' ? 30 * 0.3048 : 10),
        turnDeg: Number(field('find-turn').value || '0'),
        mirror: field('find-mirror').checked,
      },
      units,
      stamp: state.demo ? 'invented data' : null,
      dbhUnit,
    });
    if (answer === null || !desk.isCurrent(run)) return; // stopped, or overtaken by a later choice
    picture(answer.picture);
    await places.show(0);
    say(answer.words);
  } catch (error) {
    if (desk.isCurrent(run)) problem(error);
  }
}

/** Puts the works where a place has them. */
async function atPlace(texts: readonly string[], what: string): Promise<void> {
  const { works } = desk.sources;
  const next = await Promise.all(
    works.map((source, i) => movedSource(source, new TextEncoder().encode(texts[i] ?? ''))),
  );
  desk.step({ ...desk.sources, works: next }, what);
  await refresh(true);
  got();
}

/** Before and after, side by side; '' takes the picture away. */
function picture(svg: string): void {
  const box = byId<HTMLDetailsElement>('before-after');
  box.hidden = svg === '';
  box.open = svg !== '';
  const url = svg === '' ? 'data:,' : `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;
  byId<HTMLImageElement>('before-after-picture').src = url;
}

function step(eastSteps: number, northSteps: number, many: boolean): void {
  const one = (choices().units === 'us' ? 0.3048 : 0.25) * (many ? 10 : 1);
  nudge(eastSteps * one, northSteps * one, 0);
}

/** Degrees clockwise, a few for a step with Shift. */
function turn(steps: number, many: boolean): void {
  nudge(0, 0, steps * (many ? 15 : 1));
}

/** A little further; what a person leaves alone for a moment settles. */
function nudge(eastM: number, northM: number, turnDeg: number): void {
  if (desk.assessment === null) return;
  if (editing.nudge(eastM, northM, turnDeg)) return;
  if (state.chosen === null) {
    say('Choose a piece of works first.');
    return;
  }
  const all = state.turnDeg + turnDeg;
  move(state.offset[0] + eastM, state.offset[1] + northM, all - 360 * Math.round(all / 360));
  clearTimeout(state.settling);
  state.settling = window.setTimeout(() => void settle(), SETTLE_MS);
}

const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** Brackets turn, by more with Shift. */
const TURNS: Readonly<Record<string, readonly [steps: number, many: boolean]>> = {
  '[': [-1, false],
  ']': [1, false],
  '{': [-1, true],
  '}': [1, true],
};

function keys(): void {
  byId('plan').addEventListener('keydown', (event) => {
    if (editing.key(event)) {
      event.preventDefault();
      return;
    }
    const arrow = ARROWS[event.key];
    if (arrow !== undefined) {
      event.preventDefault();
      step(arrow[0], arrow[1], event.shiftKey);
    } else if (TURNS[event.key] !== undefined) {
      event.preventDefault();
      turn(...(TURNS[event.key] as readonly [number, boolean]));
    } else if (event.key === 'Enter') void settle();
    else if (event.key === 'Escape') back();
    else if (event.key === '+' || event.key === '=') plan.zoom(1.3);
    else if (event.key === '-') plan.zoom(1 / 1.3);
  });
  document.addEventListener('keydown', (event) => {
    const { target } = event;
    const typing =
      (target instanceof HTMLInputElement && target.type === 'text') || target instanceof HTMLTextAreaElement;
    if (!(event.ctrlKey || event.metaKey) || typing) return;
    const key = event.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return;
    event.preventDefault();
    void (key === 'y' || event.shiftKey ? redo() : undo());
  });
}

// ---------------------------------------------------------------- files

type Role = 'trees' | 'works' | 'lots' | 'existing';

async function take(
  role: Role,
  files: readonly File[],
  layer?: string,
  reading = (): Promise<Source[]> => readFiles(files, layer, role),
): Promise<void> {
  if (files.length === 0) return;
  const load = (name: string): void => void take(role, files, name);
  try {
    const read = await reading();
    const [several] = read.filter(({ layers, layerKinds }) => layers !== undefined && layerKinds === undefined);
    if (read.every(({ layerKinds }) => layerKinds === undefined))
      offer(role, several?.layers ?? [], several?.picked ?? several?.layers?.[0], load);
    given(role, read);
    state.demo = false;
    await refresh(false);
    if (desk.assessment !== null) say(`Assessed ${desk.assessment.counts.trees.in} trees.`);
    else if (byId('problem').hidden) say(desk.sources.trees === null ? 'Now the tree survey.' : 'Now the works.');
  } catch (error) {
    if (!(error instanceof SeveralLayers)) {
      offer(role, [], undefined, load);
      problem(error);
      return;
    }
    given(role, []);
    await refresh(false);
    offer(role, error.names, undefined, load);
    if (role === 'works') {
      layersForm(byId('map-layers'), error.names, (kinds) => {
        void take(role, files, undefined, () => readLayers(files, error.file, kinds));
      });
    }
    byId(`got-${role}`).textContent = `${error.file}: choose one of its ${error.names.length} layers`;
    say(`${error.message}. Choose one.`);
    select(`layer-${role}`).focus();
  }
}

/** The layers of a file that holds several; none takes the list away. */
function offer(role: Role, names: readonly string[], picked: string | undefined, load: (name: string) => void): void {
  const list = select(`layer-${role}`);
  (list.parentElement as HTMLElement).hidden = names.length === 0;
  if (role === 'works') byId('map-layers').hidden = names.length === 0 || picked !== undefined;
  list.replaceChildren(...(picked === undefined ? [new Option('choose one', '')] : []));
  for (const name of names) list.append(new Option(name, name, false, name === picked));
  list.onchange = () => {
    if (list.value !== '') load(list.value);
  };
}

function given(role: Role, read: readonly Source[]): void {
  const [first = null] = read;
  mapper.forget(role);
  const { sources } = desk;
  if (role === 'works') {
    state.chosen = null;
    desk.step({ ...sources, works: kinded(read) }, 'reading the works');
  } else if (role === 'existing') desk.step({ ...sources, existing: read }, 'reading what stands today');
  else desk.step({ ...sources, [role]: first }, `reading the ${role}`);
  got();
}

/** Says which files are in use. */
function got(): void {
  const words = (list: readonly (Source | null)[]): string =>
    list.flatMap((one) => (one === null ? [] : [`${one.name} (${one.layer.count})`])).join(', ');
  const { trees, works, lots, existing } = desk.sources;
  byId('got-trees').textContent = words([trees]) || 'none yet';
  byId('got-works').textContent = words(works) || 'none yet';
  byId('got-lots').textContent = words([lots]) || 'none';
  byId('got-existing').textContent = words(existing) || 'none';
}

async function demo(): Promise<void> {
  const load = async (url: string, name: string): Promise<Source> =>
    sourceOf(name, new Uint8Array(await (await fetch(url)).arrayBuffer()));
  try {
    const [trees, works, lots] = await Promise.all([
      load(surveyUrl, 'survey.csv'),
      load(worksUrl, 'works.geojson'),
      load(lotsUrl, 'lots.geojson'),
    ]);
    desk.reset({ trees, works: kinded([works]), lots, existing: [] });
    for (const role of ['trees', 'works', 'lots', 'existing'] as const) offer(role, [], undefined, () => undefined);
    treePage.open([]);
    state.chosen = null;
    state.demo = true;
    mapper.set();
    field('crs').value = 'EPSG:2913';
    await sayCrs();
    got();
    byId<HTMLDetailsElement>('more-files').open = true;
    await refresh(false);
    say('The demo is loaded: an invented subdivision. Drag a house, or choose a piece of works.');
    byId('result').scrollIntoView({ block: 'nearest' }); // on a phone it lies below the form
  } catch (error) {
    problem(error);
  }
}

function drops(): void {
  for (const zone of document.querySelectorAll<HTMLElement>('.drop')) {
    const role = zone.dataset.role as Role;
    const input = zone.querySelector('input') as HTMLInputElement;
    input.addEventListener('change', () => {
      void take(role, [...(input.files ?? [])]).finally(() => {
        input.value = '';
      });
    });
    for (const name of ['dragenter', 'dragover'] as const) {
      zone.addEventListener(name, (event) => {
        event.preventDefault();
        zone.classList.add('over');
      });
    }
    zone.addEventListener('dragleave', () => zone.classList.remove('over'));
    zone.addEventListener('drop', (event) => {
      event.preventDefault();
      zone.classList.remove('over');
      void take(role, [...(event.dataTransfer?.files ?? [])]);
    });
  }
  // A file that misses its row must not replace the page.
  for (const name of ['dragover', 'drop'] as const) window.addEventListener(name, (event) => event.preventDefault());
}

// ---------------------------------------------------------------- saving

function save(name: string, type: string, content: Iterable<string> | Uint8Array): void {
  const url = URL.createObjectURL(
    new Blob(
      content instanceof Uint8Array ? [content as BlobPart] : typeof content === 'string' ? [content] : [...content],
      { type },
    ),
  );
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
  say(`Saved ${name}.`);
}

function saves(): void {
  const on = (id: string, run: (assessment: Assessment) => void | Promise<void>): void => {
    byId(id).addEventListener('click', async () => {
      try {
        await allDone();
        if (desk.assessment !== null) await run(desk.assessment);
      } catch (error) {
        problem(error);
      }
    });
  };
  const drawn = (): object => {
    const packet = packetOf();
    return {
      units: choices().units,
      ...(state.demo ? { stamp: 'invented data' } : {}),
      ...(packet === undefined ? {} : { packet }),
    };
  };
  on('save-geojson', (a) =>
    save('assessed.geojson', 'application/geo+json', geojsonText(a, { units: choices().units })),
  );
  on('save-schedule', (a) => save('schedule.csv', 'text/csv', toSchedule(a, { units: choices().units })));
  on('save-report', async (a) => {
    const { toReport } = await import('./report.js');
    save('report.html', 'text/html', toReport(a, drawn()));
  });
  on('save-plan', (a) => save('plan.svg', 'image/svg+xml', toPlan(a, drawn())));
  on('save-inventory', (a) => save('inventory.csv', 'text/csv', toInventory(a, { units: choices().units })));
  on('save-removals', (a) => save('removals.csv', 'text/csv', toRemovals(a, { units: choices().units })));
  on('save-lots', (a) => save('lots.csv', 'text/csv', toLotTable(a, { units: choices().units })));
  on('save-findings', (a) => save('findings.json', 'application/json', toFindings(a)));
  on('save-works', () => {
    for (const source of desk.sources.works)
      if (isChanged(source)) save(source.name, 'application/geo+json', source.bytes);
  });
}

// ---------------------------------------------------------------- beginning, opening, keeping

/** Where an empty plan lies: the first place of its system. */
function origin(): readonly [number, number] {
  return [0, 0];
}

function begin(): void {
  byId('start-files').addEventListener('click', () => {
    byId('file-trees').focus();
    byId('file-trees').scrollIntoView({ block: 'center' });
    say('Choose the tree survey, then the works, or drop them on their rows.');
  });
  byId('start-notes').addEventListener('click', () => {
    byId<HTMLDetailsElement>('notes-box').open = true;
    byId('notes-text').focus();
  });
  byId('start-draw').addEventListener('click', () => void blank());
  field('open-plan').addEventListener('change', () => {
    const file = field('open-plan').files?.[0];
    field('open-plan').value = '';
    if (file !== undefined) void file.text().then((text) => open(text, file.name));
  });
  byId('start-kept').addEventListener('click', () => {
    void keptPlan().then((text) => (text === null ? undefined : open(text, 'the plan kept in this browser')));
  });
  byId('save-plan-file').addEventListener(
    'click',
    () =>
      void allDone()
        .then(() => planText(desk, choices(), kept()))
        .then((text) => save('rootberth.json', 'application/json', [text]))
        .catch(problem),
  );
  void keptPlan().then((text) => {
    byId('start-kept').hidden = text === null;
  });
}

async function blank(): Promise<void> {
  try {
    field('crs').value = await desk.blank(choices().units);
    mapper.set();
    treePage.open([]);
    state.demo = false;
    await sayCrs();
    await refresh(false);
    got();
    say('An empty plan. Draw a lot or a house, then the trees.');
  } catch (error) {
    problem(error);
  }
}

async function open(text: string, name: string): Promise<void> {
  try {
    const plan = await openPlan(text, name);
    choicesOf(plan);
    await sayCrs();
    desk.reset(plan.sources, plan.groups);
    treePage.open(plan.photos.photos);
    backdrop.set(plan.picture);
    showPacket(plan.packet);
    await refresh(false);
    got();
    const { left } = plan.photos;
    say(`Opened ${name}.${left === 0 ? '' : ` Pictures of trees that can’t be shown, and were left out: ${left}.`}`);
  } catch (error) {
    problem(error);
  }
}

/** The choices of a plan that is opened. */
function choicesOf({ settings: { crs, rule, limit, units, dbhUnit, fields, values } }: OpenedPlan): void {
  mapper.set({ fields, values });
  state.demo = false;
  state.chosen = null;
  field('crs').value = crs;
  field('limit').value = limit;
  select('dbh-unit').value = dbhUnit;
  if (units !== undefined) select('units').value = units;
  if (rule !== undefined && ruleIds().includes(rule)) select('rule').value = rule;
}

/** Notes become trees, works and lots; the survey's place is as the notes say. */
async function useNotes(name: string, text: string): Promise<void> {
  try {
    const bytes = new TextEncoder().encode(text);
    const [trees, works, lots] = await Promise.all(
      (['trees', 'works', 'lots'] as const).map((role) => sourceOf(name, bytes, undefined, role)),
    );
    desk.step(
      {
        ...desk.sources,
        trees: trees ?? null,
        works: works === undefined || works.layer.count === 0 ? [] : [works],
        lots: lots === undefined || lots.layer.count === 0 ? null : lots,
      },
      'the field notes',
    );
    mapper.set();
    await refresh(false);
    got();
    if (desk.assessment !== null) say(`The notes are on the plan: ${desk.assessment.counts.trees.in} trees.`);
  } catch (error) {
    problem(error);
  }
}

/** After the first visit the page opens without a network; where a browser lets nothing be installed, it needs one. */
async function offline(): Promise<void> {
  if (!('serviceWorker' in navigator)) return;
  try {
    await navigator.serviceWorker.register('./offline.js');
    await navigator.serviceWorker.ready;
    document.documentElement.dataset.offline = 'true';
  } catch {
    document.documentElement.dataset.offline = 'false'; // a page from a file, or a browser that refuses
  }
}

/** What a saved plan holds beside layers and choices. */
function kept(): Kept {
  const packet = packetOf();
  return { picture: backdrop.picture, photos: treePage.photos, ...(packet === undefined ? {} : { packet }) };
}

/** Keeps the plan in this browser, so that a reload loses nothing. */
async function keep(): Promise<void> {
  const { trees, works } = desk.sources;
  if (state.demo || (trees === null && works.length === 0)) return;
  try {
    document.documentElement.dataset.kept = String(await keepPlan(await planText(desk, choices(), kept())));
  } catch {
    document.documentElement.dataset.kept = 'false'; // a plan that can't be placed yet
  }
}

// ---------------------------------------------------------------- start

fill();
drops();
keys();
saves();
byId('demo').addEventListener('click', () => void demo());
byId('undo').addEventListener('click', () => void undo());
byId('redo').addEventListener('click', () => void redo());
begin();
byId('find').addEventListener('click', () => void find());
for (const button of document.querySelectorAll<HTMLButtonElement>('[data-move]')) {
  const [east = 0, north = 0] = (button.dataset.move ?? '').split(',').map(Number);
  button.addEventListener('click', (event) => step(east, north, event.shiftKey));
}
for (const button of document.querySelectorAll<HTMLButtonElement>('[data-turn]')) {
  button.addEventListener('click', (event) => turn(Number(button.dataset.turn), event.shiftKey));
}
for (const button of document.querySelectorAll<HTMLButtonElement>('[data-zoom]')) {
  const by = button.dataset.zoom;
  button.addEventListener('click', () => plan.zoom(by === 'in' ? 1.4 : by === 'out' ? 1 / 1.4 : 'all'));
}
select('piece').addEventListener('change', () => {
  settleNow();
  const { value } = select('piece');
  choose(value === '' ? null : Number(value));
  editing.pickNone();
  if (value !== '') editing.pick('works', Number(value), false);
});
field('crs').addEventListener('change', () => void pending(sayCrs().then(() => reassess(true))));
field('limit').addEventListener('change', () => {
  sayLimit();
  void refresh(true);
});
select('kind').addEventListener('change', () => {
  desk.step({ ...desk.sources, works: kinded(desk.sources.works) }, 'the kind of works');
  void refresh(true);
});
for (const id of ['rule', 'dbh-unit', 'units']) {
  select(id).addEventListener('change', () => {
    if (id === 'rule') state.ruleFile = null;
    void refresh(true);
  });
}
field('rule-file').addEventListener('change', () => {
  const file = field('rule-file').files?.[0];
  if (file === undefined) return;
  void file
    .text()
    .then((text) => {
      state.ruleFile = { name: file.name, rule: parseRuleText(text, file.name) };
      return refresh(true);
    })
    .catch(problem);
});
void offline();
document.documentElement.dataset.ready = 'true';
