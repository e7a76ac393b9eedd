import { constants, openSync } from 'node:fs';
import { Socket } from 'node:net';
import { GoodgateError } from '../../../jobs/errors.js';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { CodedLoudness } from '../../../jobs/measurement/measured-sound.js';
import { makeNamedPipes } from '../../ffmpeg/named-pipes.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import type { ProbeOptions } from '../../probe/run-ffprobe.js';
import { Ac3Frames } from './ac3-frames.js';

/** Codecs whose frames carry a loudness that is read here. */
export const CODES_LOUDNESS: ReadonlySet<string> = new Set(['ac3', 'eac3']);
/** Copying a stream reads the whole file. */
const TIMEOUT_MS = 60 * 60_000;

/**
 * Reads the loudness that a coded stream declares, from every frame: the stream is copied out of its
 * container, nothing is decoded. Null for codecs without a loudness that is read here.
 *
 * Throws GoodgateError: `unreadable-clip` with the reason where the frames cannot be read, `interrupted` when
 * the signal fires, those of `makeNamedPipes` and `runFfmpeg`.
 */
export async function codedLoudness(
  path: string,
  { stream, codec }: AudioFacts,
  { signal, tools }: ProbeOptions,
): Promise<CodedLoudness | null> {
  if (!CODES_LOUDNESS.has(codec)) return null;
  const frames = new Ac3Frames();
  const folder = await makeNamedPipes(1);
  try {
    const [pipe] = folder.pipes;
    if (pipe === undefined) throw unreadable(path, 'no pipe to read the coded sound from');
    const socket = new Socket({
      fd: openSync(pipe.path, constants.O_RDONLY | constants.O_NONBLOCK),
      readable: true,
      writable: false,
    });
    const read = new Promise<void>((resolve, reject) => {
      socket.on('data', (chunk: Buffer) => frames.push(chunk));
      socket.once('error', reject);
      socket.once('close', () => resolve());
    });
    // Awaited below, even if ffmpeg throws.
    read.catch(() => {});
    const copy = ['-map', `0:${stream}`, '-c', 'copy', '-f', 'data'];
    const result = await runFfmpeg(
      { inputs: [{ path, options: [] }], outputs: [{ path: pipe.path, options: copy }] },
      { signal, tools, timeoutMs: TIMEOUT_MS },
    ).finally(() => pipe.release());
    if (result.killedBy === 'abort') {
      throw new GoodgateError('interrupted', { what: 'stopped while reading coded sound', where: path });
    }
    await read;
    if (result.exitCode !== 0) throw unreadable(path, 'the coded sound could not be copied out of the file');
    const found = frames.finish();
    if (typeof found === 'string') throw unreadable(path, found);
    return found;
  } finally {
    folder.remove();
  }
}

function unreadable(path: string, what: string): GoodgateError {
  return new GoodgateError('unreadable-clip', { what, where: path, next: 'copy or encode the file again' });
}
