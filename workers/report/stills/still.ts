/** One picture of the place a finding speaks of, small and ready to stand in a page. */
export interface Still {
  /** Frame from 0. */
  readonly frame: number;
  readonly timecode: string | null;
  /** `data:image/png;base64,...` or `data:image/jpeg;base64,...`: a report loads nothing. */
  readonly dataUri: string;
  /** One sentence: what is seen, what is marked, and how it was rendered where the picture is no SDR. */
  readonly caption: string;
}

/** Stills of the findings of one report, by `stillKey`; in the order they are to be shown. */
export type Stills = ReadonlyMap<string, readonly Still[]>;

/**
 * The key of the stills of one finding.
 *
 * @param file As the verdict names it (`verdict.file`).
 * @param target As the verdict names it; null where none was named.
 * @param requirement The finding's requirement.
 */
export function stillKey(file: string, target: string | null, requirement: string): string {
  return JSON.stringify([file, target, requirement]);
}

/** The key of the picture of a file as a whole. */
export function overviewKey(file: string): string {
  return stillKey(file, null, 'overview');
}
