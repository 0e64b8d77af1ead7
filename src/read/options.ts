// Options of the read stage, shared by its formats.
// In: what the caller knows of a file; out: the same, typed.
// Terms: name = the file's name without folders; xy = which columns hold easting and northing.

import type { FormatName } from '../types.js';

/** How to read one file; everything but `name` is optional. */
export interface ReadOptions {
  /** File name without its folders; it names the layer in findings and helps to tell the format. */
  readonly name: string;
  /** The format, when neither name nor content tells it. */
  readonly format?: FormatName;
  /** Columns of easting and northing (or lon and lat) of a CSV file: names, or positions counted from 1. */
  readonly xy?: readonly [string | number, string | number];
  /** The CSV file has no header row: columns are named column1, column2, ... or as `columns` says. */
  readonly noHeader?: boolean;
  /** Names for the columns of a CSV file without a header, in order. */
  readonly columns?: readonly string[];
  /** SHA-256 of the bytes, hex, where the caller computed it; it is passed on. */
  readonly sha256?: string;
}
