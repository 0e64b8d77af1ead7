// The page of one tree: what an arborist looks at as a form, what follows, the report's card, pictures, the sun it keeps off.
// In: the tree that is selected, its fields; out: steps of the desk, the library's own words about it. Terms: see fields.ts, desk.ts.
// It never concludes: the arborist judges and signs.

import type { TreeField } from '../../check/field-table.js';
import type { Units } from '../../core.js';
import { markOf, VERDICT_STYLES } from '../../report/drawing/palette.js';
import { figuresIn } from '../../report/figures.js';
import type { Desk, PieceAt } from '../desk.js';
import { cellOf } from '../editing.js';
import { columnsOf, hasTree, titleOf, treeName } from './fields.js';
import { TreeForm } from './form.js';
import { PhotoAlbum } from './photo-album.js';
import type { Photo } from './photos.js';
import { standingOf } from './standing.js';

export interface TreeHost {
  readonly desk: Desk;
  units(): Units;
  /** Assesses what has become of the plan, and shows it. */
  refresh(): Promise<void>;
  /** What is saved waits for this. */
  pending(work: Promise<void>): Promise<void>;
  say(text: string): void;
  problem(error: unknown): void;
  /** What is saved with the plan has changed. */
  changed(): void;
}

const make = <K extends keyof HTMLElementTagNameMap>(tag: K, text = '', className = ''): HTMLElementTagNameMap[K] => {
  const made = document.createElement(tag);
  made.textContent = text;
  if (className !== '') made.className = className;
  return made;
};

export class TreePage {
  readonly #host: TreeHost;
  readonly #box: HTMLElement;
  readonly #heading = make('h2');
  readonly #standing = make('div', '', 'standing');
  readonly #card = make('div', '', 'tree-card');
  readonly #sun = make('div', '', 'sun-lines');
  readonly #form: TreeForm;
  readonly #album: PhotoAlbum;
  #at: PieceAt | null = null;
  #queue: Promise<void> = Promise.resolve(); // one change after another: each reads what the one before has left
  #isStyled = false;

  constructor(box: HTMLElement, host: TreeHost) {
    this.#host = host;
    this.#box = box;
    this.#standing.setAttribute('aria-live', 'polite');
    Object.assign(this.#card, { tabIndex: 0, role: 'region', ariaLabel: 'Card of this tree' }); // wide tables are pushed aside
    this.#form = new TreeForm((field, text) => this.#change(field, text));
    this.#album = new PhotoAlbum({ say: host.say, changed: host.changed });
    const form = make('details');
    form.id = 'tree-fields';
    form.open = true;
    form.append(make('summary', 'What an arborist looks at'), this.#form.box);
    const card = make('details');
    card.open = true;
    card.append(make('summary', 'Its card: verdict, margin, figures'), this.#card);
    const sun = make('fieldset');
    const ask = make('button', 'Reckon the sun it keeps off the buildings');
    Object.assign(ask, { type: 'button', id: 'tree-sun' });
    ask.addEventListener('click', () => void this.#reckonSun());
    sun.append(make('legend', 'Sun'), ask, this.#sun);
    box.replaceChildren(this.#heading, this.#standing, form, this.#album.box, sun, card);
  }

  get photos(): readonly Photo[] {
    return this.#album.photos;
  }

  /** Another plan, with its pictures. */
  open(photos: readonly Photo[]): void {
    this.#album.set(photos);
  }

  /** Shows the one tree that is selected; nothing where it is none or several. */
  show(selected: readonly PieceAt[]): void {
    const [at] = selected;
    this.#at = selected.length === 1 && at?.role === 'trees' ? at : null;
    this.#box.hidden = this.#at === null;
    if (this.#at === null) return;
    const { desk } = this.#host;
    const layer = desk.sourceAt(this.#at)!.layer;
    const row = this.#at.feature;
    const name = treeName(layer, row);
    this.#heading.textContent = `This tree: ${'name' in name ? name.name : `number ${row + 1} of the survey`}`;
    this.#form.show(columnsOf(layer.fields), desk.propertiesOf(this.#at) ?? {}, `${row}`);
    this.#album.show(name, (one) => hasTree(layer, one));
    this.#sun.replaceChildren(); // figures of another plan or tree
    this.#stand();
    void this.#draw();
  }

  /** The sun it keeps off: minutes of the sun through a year, so only where it is asked for. */
  async #reckonSun(): Promise<void> {
    const { assessment } = this.#host.desk;
    const row = this.#at?.feature ?? -1;
    if (assessment === null || row < 0) return;
    try {
      this.#host.say('Reckoning the sun of a year.');
      const { sunLines } = await import('./sun.js');
      await new Promise((resolve) => setTimeout(resolve, 30)); // the words are seen before the reckoning
      if (assessment !== this.#host.desk.assessment || this.#at?.feature !== row) return;
      const lines = sunLines(assessment, row, figuresIn(this.#host.units()));
      this.#sun.replaceChildren(...lines.map((line) => make('p', line)));
      this.#host.say(lines[0] ?? '');
    } catch (error) {
      this.#host.problem(error);
    }
  }

  /** The library's words about the tree. */
  #stand(): void {
    const { assessment } = this.#host.desk;
    const row = this.#at?.feature ?? -1;
    if (assessment === null || row >= assessment.job.trees.count) {
      this.#standing.replaceChildren();
      return;
    }
    const tree = assessment.tree(row);
    const { category, reasons, seeFirst, missing, findings } = standingOf(assessment, tree);
    const figures = figuresIn(this.#host.units());
    const { marginM } = tree;
    const margin =
      marginM === null
        ? ''
        : marginM >= 0
          ? `; works may come ${figures.length(marginM)} nearer`
          : `; works must retreat ${figures.length(-marginM)} on every side`;
    const head = make('p');
    const letter = make('b', category);
    letter.id = 'tree-category';
    head.append('Retention category: ', letter);
    this.#standing.replaceChildren(
      make(
        'p',
        `${VERDICT_STYLES[markOf(tree.verdict)].title}: ${figures.percent(tree.overlapPct)} of its zone${margin}.`,
      ),
      head,
      ...listed('Why', reasons),
      ...listed('An arborist must see first', seeFirst),
      ...listed('Not recorded', missing.length === 0 ? [] : [missing.join(', ')]),
      ...listed('What the checks say', findings),
      make('p', 'Nothing is concluded here: the arborist judges quality and signs.', 'hint'),
    );
  }

  /** The report's card; it and its drawing are loaded with the first tree. */
  async #draw(): Promise<void> {
    const { assessment } = this.#host.desk;
    const at = this.#at;
    if (at === null || assessment === null || at.feature >= assessment.job.trees.count) {
      this.#card.replaceChildren();
      return;
    }
    try {
      const { cardHtml, DRAWING_CSS } = await import('./card.js');
      if (assessment !== this.#host.desk.assessment || this.#at !== at) return; // something else is shown by now
      if (!this.#isStyled) {
        // Through the object model: the page's policy takes no style sheet that stands in it.
        const sheet = new CSSStyleSheet();
        sheet.replaceSync(DRAWING_CSS);
        document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
        this.#isStyled = true;
      }
      const units = this.#host.units();
      this.#card.innerHTML = cardHtml(assessment, assessment.tree(at.feature), figuresIn(units), units);
    } catch (error) {
      this.#host.problem(error);
    }
  }

  #change(field: TreeField, text: string): void {
    const at = this.#at;
    if (at === null) return;
    const { desk } = this.#host;
    this.#queue = this.#queue.then(async () => {
      try {
        const layer = desk.sourceAt(at)?.layer;
        if (layer === undefined || at.feature >= layer.count) return;
        const column = columnsOf(layer.fields).get(field) ?? field;
        await desk.change([at], `changing ${column}`, (piece) => {
          const { [column]: _, ...rest } = piece.properties;
          return { ...piece, properties: text === '' ? rest : { ...piece.properties, [column]: cellOf(text) } };
        });
        await this.#host.refresh();
        void this.#host.pending(this.#queue); // the changes that came meanwhile
        const category = document.getElementById('tree-category')?.textContent ?? '';
        const now = text === '' ? 'is not recorded' : `is ${text}`;
        this.#host.say(
          `${titleOf(field)} ${now} now. Retention category: ${category === '' ? 'not known' : category}.`,
        );
      } catch (error) {
        this.#host.problem(error);
      }
    });
    void this.#host.pending(this.#queue);
  }
}

function listed(title: string, texts: readonly string[]): HTMLElement[] {
  if (texts.length === 0) return [];
  const list = make('ul');
  list.append(...texts.map((text) => make('li', text)));
  return [make('h3', title), list];
}
