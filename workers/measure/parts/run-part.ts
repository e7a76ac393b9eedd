import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { FfmpegCommand } from '../../ffmpeg/command.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { soundDecoding } from '../../ffmpeg/sound-decoding.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { DamageLog } from '../decoding/damage.js';
import { justBefore } from '../reading/frame-stamp.js';
import type { PictureTap } from '../reading/picture-tap.js';
import type { SoundTap } from '../reading/sound-tap.js';
import { type FrameNumbering, type MeasuredPart, partDoubt } from './part-doubt.js';
import type { PartRange } from './part-ranges.js';

/** The parts may not equal the whole: the file must be measured in one go. */
export class PartsDoubt extends Error {}

export interface RunOptions {
  readonly path: string;
  readonly signal: AbortSignal;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
}

/** Without a line or a frame for this long ffmpeg counts as hung. */
const STALL_MS = 120_000;

/** Input that starts at a frame, with the same time stamps as when the file is decoded from its start. */
export function inputFrom(
  path: string,
  frame: number,
  { origin, rate }: FrameNumbering,
): FfmpegCommand['inputs'][number] {
  const upright = ['-noautorotate'];
  if (frame === 0) return { path, options: upright };
  const start = (origin.ticks * origin.timeBase.num) / origin.timeBase.den;
  const seek = ['-copyts', '-start_at_zero', '-ss', (start + justBefore(frame, rate)).toFixed(6)];
  return { path, options: [...upright, ...seek] };
}

/** Decodes and measures one part. Throws PartsDoubt; GoodgateError `missing-tool`. */
export async function runPart(
  tap: PictureTap,
  range: PartRange,
  isLast: boolean,
  numbering: FrameNumbering,
  options: RunOptions,
): Promise<MeasuredPart> {
  const input = inputFrom(options.path, range.from - range.lead, numbering);
  await decode({ inputs: [input], outputs: [tap.output] }, options, (line) => {
    if (!tap.readLine(line)) return false;
    const { typed, key, intra } = tap.shown.pictures;
    // Thrown at once: a file coded in groups need not be decoded to its end.
    if (key < typed || intra < typed) throw new PartsDoubt('not every frame is an intra picture');
    return true;
  });
  const answer = await tap.finish();
  if (answer?.kind !== 'done') throw new PartsDoubt(answer?.why ?? 'the picture was not measured');
  const part = { range, isLast, shown: tap.shown, frameLog: tap.frameLog, answer };
  const doubt = partDoubt(part, numbering);
  if (doubt !== null) throw new PartsDoubt(doubt);
  return part;
}

/** Decodes and measures all sound of a file. Throws PartsDoubt; GoodgateError `missing-tool`. */
export async function runSound(
  tap: SoundTap,
  audio: readonly AudioFacts[],
  options: RunOptions,
): ReturnType<SoundTap['finish']> {
  if (tap.outputs.length === 0) return null;
  const input = { path: options.path, options: soundDecoding(audio) };
  await decode({ inputs: [input], outputs: tap.outputs }, options, (line) => tap.log.read(line));
  return tap.finish();
}

/** @param read reads a line of the log; false where the line is not its own and may report damage. */
async function decode(
  command: FfmpegCommand,
  { signal, tools }: RunOptions,
  read: (line: string) => boolean,
): Promise<void> {
  const damage = new DamageLog();
  const stopping = new AbortController();
  let doubt: PartsDoubt | null = null;
  const result = await runFfmpeg(command, {
    tools,
    signal: AbortSignal.any([signal, stopping.signal]),
    stallTimeoutMs: STALL_MS,
    onLine: (line) => {
      if (doubt !== null) return;
      try {
        if (read(line)) return;
        damage.read(line);
        if (damage.errors > 0) throw new PartsDoubt(`ffmpeg: ${damage.messages[0] ?? 'damage'}`);
      } catch (error) {
        doubt = error instanceof PartsDoubt ? error : new PartsDoubt(String(error));
        stopping.abort();
      }
    },
  });
  if (doubt !== null) throw doubt;
  if (result.killedBy !== null) throw new PartsDoubt(`ffmpeg was ended (${result.killedBy})`);
  if (result.exitCode !== 0 || result.errorCount > 0) {
    throw new PartsDoubt(`ffmpeg: ${result.errors.at(-1) ?? `exit code ${result.exitCode ?? 'none'}`}`);
  }
}
