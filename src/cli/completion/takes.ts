// What completion knows of the commands. In: nothing; out: types. Terms: takes = what follows an option.

/** What follows: nothing, words of a list, a file (behind `prefix=` or not), a folder, any text. */
export interface Takes {
  readonly what: 'nothing' | 'file' | 'folder' | 'text';
  readonly words: readonly string[];
}

export interface CompletedOption {
  readonly long: string;
  readonly short: string | null;
  readonly about: string;
  readonly takes: Takes;
  readonly repeats: boolean;
}

export interface CompletedCommand {
  readonly name: string;
  readonly about: string;
  readonly options: readonly CompletedOption[];
  /** What stands without an option before it; null: nothing. */
  readonly argument: Takes | null;
}
