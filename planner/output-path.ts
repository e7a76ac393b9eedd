import type { ContainerName } from '../jobs/containers/containers.js';

/** Most file systems allow 255 bytes a name; temporary names need some of them. */
const LONGEST_STEM_BYTES = 180;

function stemOf(name: string): string {
  const dot = name.lastIndexOf('.');
  return dot > 0 ? name.slice(0, dot) : name;
}

/** Cuts at a character boundary, never inside one. */
function shorten(stem: string): string {
  let cut = stem;
  while (Buffer.byteLength(cut) > LONGEST_STEM_BYTES) cut = Array.from(cut).slice(0, -1).join('');
  return cut;
}

/**
 * Where an output goes below the batch folder: `<target>/<the clip's own folders>/<its name>.<container>`.
 * Names keep every character of the original; only what a path cannot carry on common file systems is
 * replaced.
 */
export class OutputPaths {
  /**
   * Case-folded, since a card may be read on a file system that keeps case and written to one that does not.
   */
  private readonly taken = new Set<string>();

  /**
   * A path nobody else in this plan has. Two clips that differ in extension only keep the extension in the
   * name.
   */
  claim(target: string, clip: string, container: ContainerName): string {
    const parts = clip.split('/').filter((part) => part !== '' && part !== '.' && part !== '..');
    const file = parts.pop() ?? 'clip';
    const folder = [target, ...parts].join('/');
    const candidates = [shorten(stemOf(file)), shorten(file)];
    for (let n = 2; ; n += 1) {
      const stem = candidates.shift() ?? `${shorten(file)} (${n - 1})`;
      const path = `${folder}/${stem}.${container}`;
      const folded = path.normalize('NFC').toLowerCase();
      if (this.taken.has(folded)) continue;
      this.taken.add(folded);
      return path;
    }
  }
}
