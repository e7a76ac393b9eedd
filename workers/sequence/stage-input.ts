import { symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { spanParts } from '../../jobs/manifest/span-path.js';
import { formatRational, rational } from '../../signal/rational.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import { fileUrl, guardFor, INPUT_GUARD } from '../ffmpeg/input-guard.js';
import { type Frames, listFrames } from './list-frames.js';
import { readHeader } from './read-header.js';

/** An input as ffmpeg and ffprobe are given it. */
export interface StagedInput {
  readonly url: string;
  /** Options that stand before it. */
  readonly options: readonly string[];
  /** Removes what was laid out for it. */
  remove(): void;
}

/** The decoder of OpenEXR gives light in the steps of PQ (signal/transfer/camera/linear-pq.ts). */
const LIGHT_TO_CODES = ['-apply_trc', 'smpte2084'] as const;
/** Where neither header nor manifest states a rate: it has none, and this one only counts its frames. */
const COUNTING_RATE = formatRational(rational(24));

/**
 * A clip for ffmpeg. Of a picture sequence a folder of links, numbered without a gap, is laid out in the
 * temporary folder: no name of its files reaches ffmpeg, and where a frame is missing or empty the one before
 * stands in its place, so that all others keep their time.
 *
 * @param rate of a sequence, as a rational; absent: that of its first header
 * @throws GoodgateError as `listFrames`; errors of the file system
 */
export async function stageInput(path: string, rate?: string | null): Promise<StagedInput> {
  const parts = spanParts(path);
  if (parts !== null) return stageParts(parts);
  if (sequenceName(path) === null) {
    const floats = /\.exr$/i.test(path) ? LIGHT_TO_CODES : [];
    return { url: fileUrl(path), options: [...guardFor(path), ...floats], remove: () => undefined };
  }
  const frames = await listFrames(path);
  const [first] = frames.frames;
  const header = first === undefined ? null : await readHeader(first.path).catch(() => null);
  // ffmpeg chooses the decoder by the ending, which may say something else than the file is.
  const ending = header?.kind ?? 'dpx';
  const folder = makeTemporaryFolder('frames');
  held(frames).forEach((file, index) => {
    symlinkSync(file, join(folder.path, `${index}.${ending}`));
  });
  const own = header?.rate == null ? COUNTING_RATE : formatRational(header.rate);
  return {
    url: `${fileUrl(folder.path.replaceAll('%', '%%'))}/%d.${ending}`,
    options: [
      ...INPUT_GUARD,
      ...(ending === 'exr' ? LIGHT_TO_CODES : []),
      ...['-f', 'image2', '-pattern_type', 'sequence', '-start_number', '0', '-framerate', rate ?? own],
    ],
    remove: () => folder.remove(),
  };
}

/**
 * A list of the parts for ffmpeg's `concat`, by links without their names. Each part may be of the formats of
 * clips only: one that is a list itself opens nothing.
 */
function stageParts(parts: readonly string[]): StagedInput {
  const folder = makeTemporaryFolder('frames');
  const [, , , formats] = INPUT_GUARD;
  const lines = parts.flatMap((part, index) => {
    symlinkSync(part, join(folder.path, String(index)));
    return [`file ${index}`, `option format_whitelist ${formats}`];
  });
  const list = join(folder.path, 'parts');
  writeFileSync(list, `ffconcat version 1.0\n${lines.join('\n')}\n`);
  const [whitelist, protocols] = INPUT_GUARD;
  return {
    url: fileUrl(list),
    options: [whitelist, protocols, '-format_whitelist', 'concat', '-f', 'concat', '-safe', '0'],
    remove: () => folder.remove(),
  };
}

/** Which file stands for each number from the first to the last. */
export function held({ frames }: Pick<Frames, 'frames'>): string[] {
  const files: string[] = [];
  const [first] = frames;
  for (const { number, path } of frames) {
    const place = number - (first?.number ?? 0);
    while (files.length < place) files.push(files.at(-1) ?? path);
    files.push(path);
  }
  return files;
}
