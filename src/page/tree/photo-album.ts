// Pictures from the camera, tree by tree. In: picture files; out: thumbnails with captions, pictures for the saved plan.
// Terms: see photos.ts. A picture is drawn anew before it is kept: what its file tells of place, time and camera stays behind.

import type { TreeName } from './fields.js';
import { CAPTION_LETTERS, fitted, lettersOf, MOST_LETTERS, megabytes, type Photo } from './photos.js';

interface Host {
  say(text: string): void;
  /** The pictures are others. */
  changed(): void;
}

/** Bytes of a picture's file that the page opens at all. */
const MOST_BYTES = 60_000_000;
const QUALITY = 0.8;

export class PhotoAlbum {
  readonly #host: Host;
  readonly #list: HTMLElement = document.createElement('ul');
  readonly #size: HTMLElement = document.createElement('p');
  readonly #input: HTMLInputElement = document.createElement('input');
  readonly box: HTMLElement = document.createElement('fieldset');
  #photos: readonly Photo[] = [];
  #tree: TreeName = { problem: '' };
  #isOn: (name: string) => boolean = () => true;

  constructor(host: Host) {
    this.#host = host;
    const legend = Object.assign(document.createElement('legend'), { textContent: 'Pictures' });
    Object.assign(this.#input, { type: 'file', id: 'photo-file', accept: 'image/*' });
    this.#input.setAttribute('capture', 'environment');
    this.#input.addEventListener('change', () => {
      const [file] = this.#input.files ?? [];
      this.#input.value = '';
      if (file !== undefined) void this.#add(file);
    });
    const label = Object.assign(document.createElement('label'), { htmlFor: 'photo-file' });
    label.textContent = 'Take a picture; it stays in this browser and in the plan you save';
    this.#list.className = 'photos';
    this.#size.className = 'hint';
    this.box.append(legend, label, this.#input, this.#list, this.#size);
  }

  get photos(): readonly Photo[] {
    return this.#photos;
  }

  /** The pictures of another plan. */
  set(photos: readonly Photo[]): void {
    this.#photos = photos;
    this.#show();
  }

  /** Shows the pictures of a tree; `isOn`: whether a tree of that name is on the plan. */
  show(tree: TreeName, isOn: (name: string) => boolean): void {
    this.#tree = tree;
    this.#isOn = isOn;
    this.#show();
  }

  async #add(file: File): Promise<void> {
    const tree = this.#tree; // another may be selected before the picture is drawn
    if ('problem' in tree) {
      this.#host.say(tree.problem);
      return;
    }
    const drawn = file.size > MOST_BYTES ? null : await drawnAnew(file);
    if (drawn === null) {
      this.#host.say(`${file.name} can’t be read as a picture: give a JPEG or PNG of at most 60 MB.`);
      return;
    }
    const photo: Photo = { tree: tree.name, caption: '', ...drawn };
    const all = lettersOf([...this.#photos, photo]);
    if (all > MOST_LETTERS) {
      this.#host.say(
        `The pictures of this plan would be ${megabytes(all)}, above ${megabytes(MOST_LETTERS)}: save the plan, then delete some.`,
      );
      return;
    }
    this.#change([...this.#photos, photo]);
    this.#host.say(`A picture of ${tree.name} is kept: ${megabytes(photo.data.length)}.`);
  }

  #change(photos: readonly Photo[]): void {
    this.#photos = photos;
    this.#show();
    this.#host.changed();
  }

  #show(): void {
    const tree = this.#tree;
    this.#input.disabled = 'problem' in tree;
    const own = 'problem' in tree ? [] : this.#photos.filter((photo) => photo.tree === tree.name);
    this.#list.replaceChildren(...own.map((photo, i) => this.#item(photo, i + 1)));
    const astray = [...new Set(this.#photos.map((photo) => photo.tree).filter((name) => !this.#isOn(name)))];
    const count = this.#photos.length;
    const words = [
      ...('problem' in tree ? [tree.problem] : []),
      ...(count === 0
        ? []
        : [`All pictures of the plan: ${megabytes(lettersOf(this.#photos))} of ${megabytes(MOST_LETTERS)}.`]),
      ...(astray.length === 0 ? [] : [`Pictures of trees that are not on the plan: ${astray.slice(0, 5).join(', ')}.`]),
    ];
    const away = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Delete those' });
    away.addEventListener('click', () => {
      this.#change(this.#photos.filter((photo) => !astray.includes(photo.tree)));
      this.#host.say('Pictures of trees that are not on the plan are deleted.');
    });
    this.#size.replaceChildren(words.join(' '), ...(astray.length === 0 ? [] : [away]));
  }

  #item(photo: Photo, number: number): HTMLElement {
    const item = document.createElement('li');
    const picture = Object.assign(document.createElement('img'), { src: photo.data, loading: 'lazy' as const });
    picture.alt = photo.caption === '' ? `Picture ${number} of tree ${photo.tree}` : photo.caption;
    const label = Object.assign(document.createElement('label'), { textContent: `Caption of picture ${number}` });
    const caption = Object.assign(document.createElement('input'), { type: 'text', value: photo.caption });
    caption.maxLength = CAPTION_LETTERS;
    caption.addEventListener('change', () => {
      this.#change(this.#photos.map((one) => (one === photo ? { ...one, caption: caption.value.trim() } : one)));
      this.#host.say(`The caption of picture ${number} is kept.`);
    });
    label.append(caption);
    const away = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Delete' });
    away.setAttribute('aria-label', `Delete picture ${number}`);
    away.addEventListener('click', () => {
      this.#change(this.#photos.filter((one) => one !== photo));
      this.#host.say(`Picture ${number} is deleted.`);
      this.#input.focus();
    });
    item.append(picture, label, away);
    return item;
  }
}

/** A picture on a canvas, as a JPEG of its own; null where the browser can't read it. */
async function drawnAnew(file: File): Promise<Pick<Photo, 'data' | 'width' | 'height'> | null> {
  try {
    const bitmap = await createImageBitmap(file); // turned as its file says
    const [width, height] = fitted(bitmap.width, bitmap.height);
    const canvas = Object.assign(document.createElement('canvas'), { width, height });
    const pen = canvas.getContext('2d')!;
    pen.fillStyle = '#ffffff'; // a JPEG has no clear ground
    pen.fillRect(0, 0, width, height);
    pen.drawImage(bitmap, 0, 0, width, height);
    bitmap.close();
    return { data: canvas.toDataURL('image/jpeg', QUALITY), width, height };
  } catch {
    return null;
  }
}
