// Pictures of trees as a saved plan holds them. In: the plan's `page.photos`; out: pictures that can be shown, by the tree's name.
// Terms: picture = a JPEG that was drawn anew on the page, so that it tells no place and no camera; name = the tree's id or tag.

/** A picture of a tree. */
export interface Photo {
  readonly tree: string;
  readonly data: string; // a data URI
  readonly width: number; // pixels
  readonly height: number;
  readonly caption: string;
}

/** The longer side of a picture that is kept, pixels. */
export const LONGEST_PX = 1600;
/** All pictures of a plan together, letters of its file: a plan must stay a file that can be sent. */
export const MOST_LETTERS = 20_000_000;
/** A caption's letters. */
export const CAPTION_LETTERS = 200;

/** Pictures of a saved plan, and how many could not be shown. Only what a page drew is taken, never an address. */
export function photosIn(value: unknown): { readonly photos: readonly Photo[]; readonly left: number } {
  const list: readonly unknown[] = Array.isArray(value) ? value : [];
  const photos = list.flatMap((one): Photo[] => {
    const { tree, data, width, height, caption } = (one ?? {}) as Partial<Record<keyof Photo, unknown>>;
    const isPicture = typeof data === 'string' && /^data:image\/jpeg;base64,[A-Za-z0-9+/]+={0,2}$/.test(data);
    if (typeof tree !== 'string' || !isPicture || !(Number(width) > 0) || !(Number(height) > 0)) return [];
    return [
      {
        tree,
        data,
        width: Number(width),
        height: Number(height),
        caption: String(caption ?? '').slice(0, CAPTION_LETTERS),
      },
    ];
  });
  return { photos, left: list.length - photos.length };
}

/** Letters that pictures take in the plan's file. */
export function lettersOf(photos: readonly Photo[]): number {
  return photos.reduce((sum, { data }) => sum + data.length, 0);
}

/** `1.3 MB`. */
export function megabytes(letters: number): string {
  return `${(letters / 1e6).toFixed(1)} MB`;
}

/** The size of a picture whose longer side is at most `LONGEST_PX`. */
export function fitted(width: number, height: number): readonly [width: number, height: number] {
  const shrink = Math.min(1, LONGEST_PX / Math.max(width, height, 1));
  return [Math.max(1, Math.round(width * shrink)), Math.max(1, Math.round(height * shrink))];
}
