// Where options end. In: nothing; out: types. Terms: see row.ts. Costs nothing at run time.
// Nearly all are the library's own options; the others are the few settings that only the command line has.

import type { ShadeSettings, SitingOptions } from '../../model/index.js';
import type { AssessFilesOptions } from '../../node/index.js';
import type { EnqueueOptions, WorkOptions } from '../../node/queue/index.js';
import type { RunLinesOptions, SplitOptions } from '../../node/tiles/index.js';
import type { WriteOptions } from '../../node/write/index.js';
import type { ReportOptions } from '../../report/index.js';
import type { GroundStake } from '../../write/index.js';

/** Outputs by what they hold. */
export interface Files {
  readonly out: string;
  /** A folder. */
  readonly style: string;
  readonly schedule: string;
  readonly lotTable: string;
  readonly inventory: string;
  readonly removals: string;
  readonly optionTable: string;
  readonly limbSchedule: string;
  readonly stakes: string;
  readonly shade: string;
  readonly shadeTable: string;
  readonly findings: string;
  readonly sketch: string;
  readonly saveNotes: string;
  readonly report: string;
  readonly plan: string;
  readonly table: string;
}

/** What stake-out notes are made with. */
export interface StakeOut {
  readonly stakes: readonly GroundStake[];
}

/** What is handed in beside the figures, as files: what they hold goes to report and plan. */
export interface PacketFiles {
  /** A file's name, or the JSON itself, as a job file may hold it. */
  readonly packetFile: string;
  readonly protectionFile: string;
}

/** How a command behaves: nothing of it changes a figure. */
export interface RunSettings {
  readonly quiet: boolean;
  readonly explain: readonly string[];
  readonly failOn: 'over-limit';
  /** Wait for the end of a job in the queues. */
  readonly wait: boolean;
}

export interface JobFileSettings {
  /** The file named; false: none is looked for. */
  readonly config: string | false;
  readonly saveConfig: string;
}

/** Which tiles, of which manifest. */
export interface TileSettings extends RunLinesOptions {
  readonly index: string;
  readonly stdin: boolean;
  readonly missing: boolean;
}

export interface Sinks {
  readonly job: AssessFilesOptions;
  readonly siting: SitingOptions & { readonly buildableFile: string };
  readonly split: SplitOptions;
  readonly write: WriteOptions;
  readonly file: Files;
  readonly shade: ShadeSettings;
  readonly report: ReportOptions;
  readonly packet: PacketFiles;
  readonly notes: StakeOut;
  readonly run: RunSettings;
  readonly jobFile: JobFileSettings;
  readonly tiles: TileSettings;
  readonly enqueue: EnqueueOptions;
  readonly work: WorkOptions;
}

export type SinkName = keyof Sinks;

/** `job.limit`, `write.units`: a sink and one of its keys. */
export type Target = { [S in SinkName]: `${S}.${keyof Sinks[S] & string}` }[SinkName];
