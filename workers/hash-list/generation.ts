import type { HashFormat } from '../../jobs/hash-list/hash-format.js';

/** What a generation says of a hash: first seen, proven the same, or found to be another (clause 6.5.1). */
export type HashAction = 'original' | 'verified' | 'failed';

export interface HashRecord {
  readonly format: HashFormat;
  readonly value: string;
  readonly action: HashAction;
}

export interface ListedFile {
  /** Below the folder the list covers. */
  readonly path: string;
  readonly bytes: number | null;
  readonly modified: string | null;
  readonly hashes: readonly HashRecord[];
  /** The name it had in the generation before. */
  readonly previousPath: string | null;
}

export interface ListedDirectory {
  /** '' is the folder the list covers. */
  readonly path: string;
  readonly modified: string | null;
  readonly hashes: readonly {
    readonly format: HashFormat;
    readonly content: string;
    readonly structure: string;
  }[];
}

/** A list of a folder below, which this one names with its C4. */
export interface ListedReference {
  readonly path: string;
  readonly c4: string;
}

/** One generation of the history of a folder: a hash list as it was written, never changed after. */
export interface Generation {
  /** ISO 8601. */
  readonly created: string;
  readonly hostname: string;
  readonly tool: string;
  readonly toolVersion: string;
  readonly ignore: readonly string[];
  readonly files: readonly ListedFile[];
  readonly directories: readonly ListedDirectory[];
  readonly references: readonly ListedReference[];
}
