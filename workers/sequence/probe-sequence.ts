import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts, SequenceFault, VideoFacts } from '../../jobs/manifest/facts.js';
import { formatRational, framesToSeconds, rational } from '../../signal/rational.js';
import { atOnce } from '../at-once.js';
import { type FrameHeader, HeaderFault } from './frame-header.js';
import { type Frame, type Frames, listFrames } from './list-frames.js';
import { readHeader } from './read-header.js';
import { type HeaderOf, isHeader, sequenceFaults } from './sequence-faults.js';

const AT_ONCE = 8;

/**
 * The facts of a picture sequence: of each frame the header, of the first one also what ffprobe reads. Rate
 * and start timecode are those of the headers.
 *
 * @param path absolute, `#` in place of the number
 * @param probeFrame reads the facts of a single file
 * @throws GoodgateError `missing-file`, `unreadable-clip`, `interrupted`, and those of `probeFrame`
 */
export async function probeSequence(
  path: string,
  probeFrame: (path: string) => Promise<ClipFacts>,
  signal?: AbortSignal,
): Promise<ClipFacts> {
  const frames = await listFrames(path);
  const headers = await atOnce(AT_ONCE, frames.frames, (frame) => headerOf(frame, signal));
  const first = headers.findIndex(isHeader);
  const [header, frame] = [headers.find(isHeader), frames.frames[first]];
  if (header === undefined || frame === undefined) {
    const why = headers.flatMap((each) => (isHeader(each) ? [] : [each.fault]));
    throw unreadable(path, `none of its frames can be read: ${why[0] ?? 'there is none'}`);
  }
  if (header.refused !== null) throw unreadable(path, header.refused);
  const one = await probeFrame(frame.path);
  if (one.video === null) throw unreadable(path, 'its frames hold no picture');
  return factsOf(frames, header, one, one.video, sequenceFaults(frames, headers));
}

async function headerOf({ path }: Pick<Frame, 'path'>, signal: AbortSignal | undefined): Promise<HeaderOf> {
  if (signal?.aborted === true) throw new GoodgateError('interrupted', { what: 'interrupted', where: path });
  try {
    return await readHeader(path);
  } catch (error) {
    if (error instanceof HeaderFault) return { fault: error.message };
    return { fault: 'it cannot be read' };
  }
}

/**
 * A single picture of OpenEXR, whose decoder is told what to give by its name, with what its header declares.
 *
 * @throws GoodgateError `unreadable-clip`
 */
export async function asSingleFrame(path: string, facts: ClipFacts, picture: VideoFacts): Promise<ClipFacts> {
  if (!/\.exr$/i.test(path)) throw unreadable(path, 'it is OpenEXR by another name: call it .exr');
  const header = await headerOf({ path }, undefined);
  if (!isHeader(header)) throw unreadable(path, header.fault);
  if (header.refused !== null) throw unreadable(path, header.refused);
  return { ...facts, video: { ...picture, ...pictureOf(header, picture) } };
}

/**
 * A single picture of DPX or TIFF as a frame of a sequence is: with what its header declares, where that is
 * read.
 *
 * @throws GoodgateError `unreadable-clip` where ffmpeg does not decode it as it is meant
 */
export async function asReadablePicture(
  path: string,
  facts: ClipFacts,
  picture: VideoFacts,
): Promise<ClipFacts> {
  const header = await headerOf({ path }, undefined);
  if (!isHeader(header)) return facts;
  if (header.refused !== null) throw unreadable(path, header.refused);
  return { ...facts, video: { ...picture, ...pictureOf(header, picture) } };
}

/** What the header of a frame says better than ffprobe. */
function pictureOf(header: FrameHeader, { colour, colourByLayer }: VideoFacts): Partial<VideoFacts> {
  const own = { transfer: header.transfer, primaries: header.primaries };
  const { bitstream } = colourByLayer;
  return {
    // Floats are read as 16-bit codes.
    bitDepth: Math.min(16, header.bitDepth),
    colour: { ...colour, ...own },
    colourByLayer: { container: null, bitstream: bitstream && { ...bitstream, ...own } },
  };
}

/** Size in bytes and last change of all files of a sequence together. Pure. */
export function stateOfFrames({ files }: Pick<Frames, 'files'>): Pick<ClipFacts, 'bytes' | 'modified'> {
  return {
    bytes: files.reduce((sum, { bytes }) => sum + bytes, 0),
    modified: new Date(files.reduce((last, { modifiedMs }) => Math.max(last, modifiedMs), 0)).toISOString(),
  };
}

function factsOf(
  frames: Frames,
  header: FrameHeader,
  one: ClipFacts,
  picture: VideoFacts,
  faults: readonly SequenceFault[],
): ClipFacts {
  const [first, last] = [frames.frames[0]?.number ?? 0, frames.frames.at(-1)?.number ?? 0];
  const count = last - first + 1;
  const seconds = header.rate === null ? null : framesToSeconds(count, header.rate);
  const aspect = header.sampleAspect ?? rational(1);
  return {
    ...stateOfFrames(frames),
    container: {
      ...one.container,
      format: 'image2',
      durationSeconds: seconds,
      startTimecode: header.timecode,
    },
    video: {
      ...picture,
      ...pictureOf(header, picture),
      sampleAspect: formatRational(aspect),
      displayAspect: formatRational(rational(picture.width * aspect.num, picture.height * aspect.den)),
      frameRate: header.rate === null ? null : formatRational(header.rate),
      constantRate: header.rate === null ? null : true,
      scan: header.interlaced ? null : 'progressive',
      durationSeconds: seconds,
      frames: count,
      framesFrom: 'container',
    },
    audio: [],
    otherStreams: [],
    notes: [
      ...one.notes.filter((note) => note !== 'it is a still picture'),
      ...(header.rate === null
        ? ['its headers declare no rate: state it in the manifest (`frameRate: 24/1`)']
        : []),
    ],
    sequence: { first, last, files: frames.files.length, faults: [...faults] },
  };
}

function unreadable(path: string, what: string): GoodgateError {
  return new GoodgateError('unreadable-clip', {
    what,
    where: path,
    next: 'copy it again, convert it with a program that can read it, or leave it out',
  });
}
