import { dirname, join } from 'node:path';
import { sequencePath, sequencesOf } from '../../jobs/manifest/sequence-path.js';

/** Files of a card, those of each picture sequence as one path with `#` in place of the number. */
export interface Grouped {
  readonly files: readonly string[];
  readonly sequences: readonly string[];
  /** Pictures whose name has a `#`, which stands for a number here. */
  readonly misnamed: readonly string[];
}

/** Fewer are single pictures. */
const LEAST_FRAMES = 2;

/**
 * Finds the picture sequences among files: several files in one folder whose names differ in one number
 * alone. Of several numbers in a name the last counts, unless it is the same in all. Pure.
 *
 * @param paths absolute
 */
export function groupFrames(paths: readonly string[]): Grouped {
  const candidates = new Map<string, readonly string[]>();
  const files: string[] = [];
  const misnamed: string[] = [];
  for (const path of paths) {
    const name = path.slice(path.lastIndexOf('/') + 1);
    const sequences = sequencesOf(name);
    if (sequences.length > 0 && name.includes('#')) misnamed.push(path);
    else if (sequences.length === 0) files.push(path);
    else
      candidates.set(
        path,
        sequences.map((each) => join(dirname(path), sequencePath(each))),
      );
  }
  const sequences: string[] = [];
  const most = Math.max(0, ...[...candidates.values()].map((each) => each.length));
  for (let place = 0; place < most; place++) {
    const members = new Map<string, string[]>();
    for (const [path, each] of candidates) {
      const sequence = each[place];
      if (sequence === undefined) continue;
      const group = members.get(sequence) ?? [];
      group.push(path);
      members.set(sequence, group);
    }
    for (const [sequence, group] of members) {
      if (group.length < LEAST_FRAMES) continue;
      sequences.push(sequence);
      for (const path of group) candidates.delete(path);
    }
  }
  return { files: [...files, ...candidates.keys()], sequences, misnamed };
}
