import { constants, type Stats } from 'node:fs';
import { access, stat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { spanParts } from '../../jobs/manifest/span-path.js';
import type { Layer } from '../../jobs/measurement/measured-container.js';
import { joinFacts } from '../sequence/join-facts.js';
import { asReadablePicture, asSingleFrame, probeSequence } from '../sequence/probe-sequence.js';
import { descriptiveTags, isCover, otherStreamOf } from './beside-facts.js';
import { type BoxReading, readBoxes } from './boxes/read-boxes.js';
import { type ProbedFile, type ProbedStream, probedFile, SHOW_FILE } from './ffprobe-output.js';
import { type ProbeOptions, runFfprobe } from './run-ffprobe.js';
import { soundFacts } from './sound-facts.js';
import { videoFacts } from './video-facts.js';
import { movieIxml } from './wave/known-ixml.js';
import { type WaveFacts, waveFacts } from './wave/wave-facts.js';

/**
 * Everything a clip declares. Only a few frames at the head and in the middle are decoded, whose flags and
 * side data are declarations too. Of a picture sequence see `probeSequence`, of a take in
 * parts `joinFacts`.
 *
 * Throws GoodgateError: `missing-file`, `unreadable-clip` with the reason in plain words, and those of
 * `runFfprobe`.
 */
export async function probeClip(path: string, options: ProbeOptions = {}): Promise<ClipFacts> {
  return (await probeWithBitstream(path, options)).facts;
}

/** The facts of a clip, and what its bitstream alone declares, which a measurement of it needs too. */
export interface ProbedClip {
  readonly facts: ClipFacts;
  /** Null without a picture, and for a sequence of files. */
  readonly bitstream: Layer | null;
}

/** As `probeClip`. */
export async function probeWithBitstream(path: string, options: ProbeOptions = {}): Promise<ProbedClip> {
  const parts = spanParts(path);
  if (parts !== null) {
    const probed: ProbedClip[] = [];
    for (const part of parts) probed.push(await probeFile(part, options));
    const facts = joinFacts(
      path,
      probed.map((part) => part.facts),
    );
    return { facts, bitstream: probed[0]?.bitstream ?? null };
  }
  if (sequenceName(path) !== null) {
    const factsOf = async (frame: string): Promise<ClipFacts> => (await probeFile(frame, options)).facts;
    return { facts: await probeSequence(path, factsOf, options.signal), bitstream: null };
  }
  const probed = await probeFile(path, options);
  const { video } = probed.facts;
  if (video?.codec === 'exr') return { ...probed, facts: await asSingleFrame(path, probed.facts, video) };
  return video?.codec === 'tiff' || video?.codec === 'dpx'
    ? { ...probed, facts: await asReadablePicture(path, probed.facts, video) }
    : probed;
}

async function probeFile(path: string, options: ProbeOptions): Promise<ProbedClip> {
  const file = await statFile(path);
  if (file.size === 0) throw unreadable(path, 'it is empty (0 bytes)');
  const probed = await runFfprobe(path, SHOW_FILE, probedFile, options);

  const pictures = probed.streams.filter((stream) => stream.codec_type === 'video' && !isCover(stream));
  const [picture] = pictures;
  const sounds = probed.streams.filter((stream) => stream.codec_type === 'audio');
  if (picture === undefined && sounds.length === 0)
    throw unreadable(path, 'it has neither picture nor sound');

  const boxes = await boxesOf(path, file.size, probed, options);
  const video = picture === undefined ? null : await videoFacts(path, picture, probed, boxes, options);
  const audio = sounds.map((stream) =>
    soundFacts(path, stream, boxes?.sounds.get(Number(stream.id)) ?? null),
  );
  const notes = [...(video?.notes ?? [])];
  for (const { stream, misread } of audio) {
    if (misread !== undefined) notes.push(`sound (stream ${stream}): ${misread}`);
  }
  if (pictures.length > 1) {
    notes.push(`it holds ${pictures.length} picture streams; stream ${picture?.index} is used`);
  }
  const wave = await waveOf(path, probed, audio[0]?.sampleRate ?? null);
  const movie = movieIxml(isMovie(probed) ? (probed.format?.tags ?? {}) : {});
  notes.push(...(wave?.notes ?? []), ...movie.notes);
  const slate = wave?.slate ?? movie.slate;
  const facts: ClipFacts = {
    bytes: file.size,
    modified: file.mtime.toISOString(),
    container: {
      format: probed.format?.format_name ?? 'unknown',
      durationSeconds: nonNegative(probed.format?.duration),
      startTimecode: findTag(probed, picture, ['timecode']) ?? wave?.startTimecode ?? null,
      reel: findTag(probed, picture, ['reel_name', 'reel', 'reel_number']) ?? wave?.reel ?? movie.reel,
      ...(wave?.timeReference === undefined ? {} : { timeReference: wave.timeReference }),
      ...(slate === undefined ? {} : { slate }),
      chapters: probed.chapters.length,
      tags: descriptiveTags(probed),
    },
    video: video?.facts ?? null,
    audio,
    otherStreams: probed.streams
      .filter((stream) => stream !== picture && !sounds.includes(stream))
      .map((stream) => otherStreamOf(stream, probed.chapters.length > 0)),
    notes,
  };
  return { facts, bitstream: video?.bitstream ?? null };
}

/** Whether it is MOV or MP4. */
function isMovie({ format }: ProbedFile): boolean {
  return format?.format_name.split(',').includes('mov') === true;
}

/**
 * The boxes of MOV and MP4; null for other containers and where they contradict themselves, which the
 * measurement reports.
 */
async function boxesOf(
  path: string,
  bytes: number,
  probed: ProbedFile,
  options: ProbeOptions,
): Promise<BoxReading | null> {
  if (!isMovie(probed)) return null;
  try {
    return await readBoxes(path, bytes, options.signal);
  } catch (error) {
    if (options.signal?.aborted) throw error;
    return null;
  }
}

/** What the chunks of a WAVE file say; null for other containers. */
function waveOf(path: string, { format }: ProbedFile, sampleRate: number | null): Promise<WaveFacts | null> {
  const isWave = format?.format_name === 'wav' && sampleRate !== null;
  return isWave ? waveFacts(path, sampleRate) : Promise.resolve(null);
}

async function statFile(path: string): Promise<Stats> {
  let found: Stats;
  try {
    found = await stat(path);
    // A file without read permission is not damaged.
    if (found.isFile()) await access(path, constants.R_OK);
  } catch (cause) {
    throw new GoodgateError('missing-file', {
      what: 'there is no such file, or it may not be read',
      where: path,
      next: 'check the path, that the disk it is on is connected, and that you may read it',
      cause,
    });
  }
  // Reading a named pipe or a device could wait forever.
  if (!found.isFile())
    throw unreadable(path, found.isDirectory() ? 'it is a folder' : 'it is not a regular file');
  return found;
}

function unreadable(path: string, what: string): GoodgateError {
  return new GoodgateError('unreadable-clip', {
    what,
    where: path,
    next: 'copy the file again from its card, or leave it out',
  });
}

/**
 * A tag by name, ignoring case: of the picture, of a timecode track, of the file, then of any other stream.
 */
function findTag(
  probed: ProbedFile,
  picture: ProbedStream | undefined,
  names: readonly string[],
): string | null {
  const timecodeTracks = probed.streams.filter((stream) => stream.codec_tag_string === 'tmcd');
  const places = [picture, ...timecodeTracks, probed.format, ...probed.streams];
  for (const name of names) {
    for (const place of places) {
      const hit = Object.entries(place?.tags ?? {}).find(([key]) => key.toLowerCase() === name);
      if (hit !== undefined && hit[1].trim() !== '') return hit[1].trim();
    }
  }
  return null;
}

function nonNegative(value: number | null | undefined): number | null {
  return value === null || value === undefined || value < 0 ? null : value;
}
