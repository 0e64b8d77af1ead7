// Options of the read stage, shared by its formats.
// In: what the caller knows of a file; out: the same, typed.
// Terms: name = the file's name without folders; xy = which columns hold easting and northing.

import type { FormatName, LayerRole, WorksKind } from '../model/index.js';
import type { NotesOptions } from '../notes/index.js';

/** How to read one file; everything but `name` is optional. */
export interface ReadOptions {
  /** File name without its folders; it names the layer in findings and helps to recognise the format. */
  readonly name: string;
  /** The format, when neither name nor content shows it. */
  readonly format?: FormatName;
  /** Columns of easting and northing (or lon and lat) of a table: names, or positions counted from 1. */
  readonly xy?: readonly [string | number, string | number];
  /** The CSV file has no header row: columns are named column1, column2, ... or as `columns` says. */
  readonly noHeader?: boolean;
  /**
   * Names for the columns of a CSV file without a header, in order. When all of them are letters of P N E Z D (point,
   * northing, easting, elevation, description), the file is a survey point file and is read as format `points`.
   */
  readonly columns?: readonly string[];
  /** For a table that needs no coordinates: a CSV or a sheet without such columns is still read. */
  readonly table?: boolean;
  /** Survey point files: description code -> species; points of any other code are kept and set aside. */
  readonly codes?: Readonly<Record<string, string>>;
  /** Which of several layers: table, sheet, folder, group or drawing layer, by name. */
  readonly layer?: string;
  /** Drawings: layer -> kind of works. Features on other layers are kept and set aside. */
  readonly layerKinds?: Readonly<Record<string, WorksKind>>;
  /** FlatGeobuf and GeoPackage: features whose box meets this one (west, south, east, north; in the file's coordinates). */
  readonly bbox?: readonly [number, number, number, number];
  /** Shapefiles and zips that are cut off or damaged: read them as far as they go, with a finding per lost record. */
  readonly salvage?: boolean;
  /** Field notes: which part of them is wanted; all of them where it is left out. */
  readonly role?: LayerRole;
  /** Field notes: how they are to be taken. */
  readonly notes?: NotesOptions;
  /** SHA-256 of the bytes, hex, where the caller computed it; it is passed on. */
  readonly sha256?: string;
}
