import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import { parseRational, toNumber } from '../../signal/rational.js';

/**
 * What parts must have in common to be one picture and one sound; in words, for who has to find the odd
 * one.
 */
export function formatOf({ video, audio }: ClipFacts): string {
  const picture =
    video === null
      ? 'no picture'
      : [
          video.codec,
          `${video.width}x${video.height}`,
          video.pixelFormat,
          `${video.frameRate ?? 'no'} frames/s`,
          video.sampleAspect ?? 'no aspect',
          ...Object.values(video.colour).map((tag) => tag ?? '-'),
        ].join(' ');
  const sound = audio.map((each) => `${each.codec} ${each.channels} channels ${each.sampleRate} Hz`);
  return [picture, ...sound].join(', ');
}

/**
 * The facts of a take from those of its parts, in their order: as long as all together, and otherwise those
 * of the first.
 *
 * @throws GoodgateError `unreadable-clip` where parts are not of one format. Pure otherwise.
 */
export function joinFacts(path: string, parts: readonly ClipFacts[]): ClipFacts {
  const [first] = parts;
  if (first === undefined) throw new Error('a take without parts');
  const odd = parts.findIndex((part) => formatOf(part) !== formatOf(first));
  const other = parts[odd];
  if (other !== undefined) {
    throw new GoodgateError('unreadable-clip', {
      what: `part ${odd + 1} is not of the format of the first: ${formatOf(other)} instead of ${formatOf(first)}`,
      where: path,
      next: 'take it out of parts, and list it as a clip',
    });
  }
  requireInStep(path, parts);
  const sum = (value: (part: ClipFacts) => number | null | undefined): number | null =>
    parts.reduce<number | null>((total, part) => {
      const own = value(part);
      return total === null || own == null ? null : total + own;
    }, 0);
  const { steady: _, ...video } = first.video ?? { steady: undefined };
  const frames = sum((part) => part.video?.frames);
  return {
    ...first,
    bytes: sum((part) => part.bytes) ?? 0,
    modified: parts.reduce((last, { modified }) => (modified > last ? modified : last), ''),
    container: {
      ...first.container,
      format: 'concat',
      durationSeconds: sum((part) => part.container.durationSeconds),
    },
    video:
      first.video === null
        ? null
        : {
            ...first.video,
            ...video,
            frames,
            framesFrom: frames === null ? null : 'container',
            constantRate: parts.every((part) => part.video?.constantRate === true),
            durationSeconds: sum((part) => part.video?.durationSeconds),
          },
    audio: first.audio.map((stream, index) => ({
      ...stream,
      durationSeconds: sum((part) => part.audio[index]?.durationSeconds),
    })),
    notes: [...new Set(parts.flatMap(({ notes }) => notes)), `it is in ${parts.length} parts, joined`],
  };
}

/** Sound shorter or longer than the picture of its part would put all after it out of step. */
function requireInStep(path: string, parts: readonly ClipFacts[]): void {
  for (const [index, { video, audio }] of parts.slice(0, -1).entries()) {
    const rate = parseRational(video?.frameRate ?? '');
    if (video?.durationSeconds == null || rate === null) continue;
    const picture = video.durationSeconds;
    const off = audio.find(
      ({ durationSeconds: sound }) => sound !== null && Math.abs(sound - picture) > 0.5 / toNumber(rate),
    );
    if (off === undefined) continue;
    throw new GoodgateError('unreadable-clip', {
      what: `the sound of part ${index + 1} lasts ${off.durationSeconds} s and its picture ${picture} s: joined, all after it would be out of step`,
      where: path,
      next: 'list its parts as clips of their own',
    });
  }
}
