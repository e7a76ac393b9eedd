import { GoodgateError } from '../../../jobs/errors.js';
import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import type { FfmpegResult } from '../../ffmpeg/command.js';
import { containerEnd } from '../container/container-end.js';
import { readContainer } from '../container/read-container.js';
import { DamageLog } from '../decoding/damage.js';
import { assembleFigures } from '../figures/assemble.js';
import { frameClock } from '../figures/frame-ranges.js';
import type { Gathered } from '../figures/gathered.js';
import { isKnown, sampleLayout } from '../picture/plan/sample-layout.js';
import { FrameLog } from './frame-log.js';
import { openPictureTap, type PictureTap, WHOLE_FILE } from './picture-tap.js';
import { openSoundTap } from './sound-tap.js';
import type { MeasureTap, TapOptions } from './tap.js';

/**
 * Opens a tap on the decoding of one clip: pipes and threads are ready before ffmpeg starts. The command
 * must log at level `info` with `level` prefixes, and every line must reach `onLine` without waiting for
 * `finish`: a frame is measured once its line was seen.
 *
 * Throws GoodgateError `measure-failed` when pipes or threads cannot be made, `interrupted` when the signal
 * has fired.
 */
export async function openMeasureTap(options: TapOptions): Promise<MeasureTap> {
  const { facts, colour, input = 0 } = options;
  if (options.signal?.aborted) throw interrupted(options.path);
  const sound = await openSoundTap(facts.audio, input);
  let picture: PictureTap | null = null;
  try {
    picture =
      facts.video &&
      (await openPictureTap({
        video: facts.video,
        colour,
        input,
        frames: WHOLE_FILE,
        keep: options.keep,
        onFrames: options.onFrames,
      }));
  } catch (error) {
    await sound.close();
    throw error;
  }
  const damage = new DamageLog();
  const frameLog = picture?.frameLog ?? new FrameLog('none');
  // In parallel with decoding: reading the whole file then hits the page cache.
  const structure = readStructure(options);

  const close = async (): Promise<void> => {
    structure.stop();
    await Promise.all([picture?.close(), sound.close()]);
  };

  return {
    outputs: [...(picture ? [picture.output] : []), ...sound.outputs],
    onLine(line) {
      if (!picture?.readLine(line) && !sound.log.read(line)) damage.read(line);
    },
    async finish(result: FfmpegResult): Promise<MeasuredFigures> {
      try {
        const [pictureAnswer, soundAnswer, { end, container }] = await Promise.all([
          picture?.finish() ?? null,
          sound.finish(),
          structure.reading,
        ]);
        const gathered = {
          ...options,
          result,
          frameLog,
          soundLog: sound.log,
          damage,
          end,
          container,
          pictureAnswer,
          soundAnswer,
        };
        tellFrameFigures(gathered);
        tellKept(gathered);
        return assembleFigures(gathered);
      } finally {
        await close();
      }
    },
    abandon: close,
  };
}

function tellKept({ pictureAnswer, keep, facts }: Gathered): void {
  const layout = sampleLayout(facts.video?.pixelFormat ?? '');
  const kept = pictureAnswer?.kind === 'done' ? pictureAnswer.kept : undefined;
  keep?.onEnd(isKnown(layout) && kept === keep.frames.length ? layout.readAs : null);
}

/** What is read of a file besides its samples. */
export interface StructureReading {
  readonly reading: Promise<Pick<Gathered, 'end' | 'container'>>;
  /** It is no longer needed. */
  stop(): void;
}

export function readStructure(options: TapOptions): StructureReading {
  const { path, facts, bitstream, signal, tools, asked } = options;
  const stopping = new AbortController();
  const both = signal ? AbortSignal.any([signal, stopping.signal]) : stopping.signal;
  const reading = Promise.all([
    containerEnd(path, facts.container.format, facts.bytes),
    readContainer(path, facts, { signal: both, tools, asked, bitstream, rate: facts.video?.frameRate }),
  ]).then(([end, container]) => ({ end, container }));
  reading.catch(() => {});
  return { reading, stop: () => stopping.abort() };
}

/** Passes all figures of every frame to the callback. */
export function tellFrameFigures({ pictureAnswer, frameLog, facts, onFrameFigures }: Gathered): void {
  if (pictureAnswer?.kind !== 'done') return;
  onFrameFigures?.({
    totals: pictureAnswer.totals,
    stamps: frameLog.timestamps,
    clock: frameClock(facts.container.startTimecode, facts.video?.frameRate ?? null),
  });
}

export function interrupted(path: string): GoodgateError {
  return new GoodgateError('interrupted', { what: 'measuring was interrupted', where: path });
}
