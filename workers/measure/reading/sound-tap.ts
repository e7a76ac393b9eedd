import { randomBytes } from 'node:crypto';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { FfmpegOutput } from '../../ffmpeg/command.js';
import { makeNamedPipes } from '../../ffmpeg/named-pipes.js';
import type { GatheredSound } from '../sound/sound-figures.js';
import { startSoundThread } from './measure-threads.js';
import { SoundLog } from './sound-log.js';

/** A tap on the decoding of the sound alone: all streams, from their beginning to their end. */
export interface SoundTap {
  readonly outputs: readonly FfmpegOutput[];
  /** What ffmpeg's log says of the samples' format and place in time. */
  readonly log: SoundLog;
  /** After ffmpeg has ended; null where there is no sound. */
  finish(): Promise<GatheredSound['answer']>;
  /** Frees thread and pipes. Safe to call twice. */
  close(): Promise<void>;
}

/**
 * @param input index of the file among the inputs of the ffmpeg command
 *
 * Throws GoodgateError `measure-failed` when pipes or thread cannot be made.
 */
export async function openSoundTap(audio: readonly AudioFacts[], input: number): Promise<SoundTap> {
  // A random name for each run: metadata of a clip cannot imitate a line of the log.
  const log = new SoundLog(`gate${randomBytes(6).toString('hex')}`);
  if (audio.length === 0) return { outputs: [], log, finish: async () => null, close: async () => {} };
  const folder = await makeNamedPipes(audio.length);
  const pipeOf = (index: number): string => folder.pipes[index]?.path ?? '';
  const streams = audio.map((facts, index) => ({ pipe: pipeOf(index), facts }));
  const thread = startSoundThread({ streams }, folder.pipes);
  let closed = false;
  return {
    outputs: audio.map((facts, index) => ({
      path: pipeOf(index),
      options: [
        ...['-map', `${input}:${facts.stream}`, '-af', log.filter(index)],
        ...['-c:a', 'pcm_f64le', '-f', 'f64le'],
      ],
    })),
    log,
    async finish() {
      await thread.ready;
      for (const pipe of folder.pipes) pipe.release();
      return thread.answer;
    },
    async close() {
      if (closed) return;
      closed = true;
      // A thread that opened its pipes after we had let go would wait in open() for ever.
      await thread.ready;
      folder.remove();
      await thread.stop();
    },
  };
}
