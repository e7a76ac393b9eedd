import { randomBytes } from 'node:crypto';
import type { Colour } from '../../jobs/colour.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/facts.js';
import type { Measurement } from '../../jobs/measurement.js';
import type { FfmpegOutput, FfmpegResult } from '../ffmpeg/command.js';
import { assembleMeasurement } from './assemble.js';
import { containerEnd } from './container-end.js';
import { DamageLog } from './damage.js';
import { FrameLog } from './frame-log.js';
import { frameClock } from './frame-ranges.js';
import type { FrameFigures } from './frame-table.js';
import { startPictureThread, startSoundThread } from './measure-threads.js';
import { makeNamedPipes, type NamedPipe } from './named-pipes.js';
import { FrameGate } from './picture/frame-gate.js';
import { isKnown, rangeFilter, type SampleLayout, sampleLayout } from './picture/sample-layout.js';
import { readContainer } from './read-container.js';
import type { MeasureTap } from './tap.js';

export interface TapOptions {
  /** The file that is decoded, as it is to stand in the measurement. */
  readonly path: string;
  readonly facts: ClipFacts;
  /** What the code values mean; null: as the file's tags say, tag by tag. */
  readonly colour: Colour | null;
  readonly signal?: AbortSignal | undefined;
  /** Every figure of every frame, once all are measured: for tables. */
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  /** Frames measured so far. */
  readonly onFrames?: ((frames: number) => void) | undefined;
  readonly method: { readonly ffmpeg: string; readonly goodgate: string };
  /** Index of the file among the inputs of the ffmpeg command. */
  readonly input?: number | undefined;
  readonly ffmpegPath?: string | undefined;
  readonly ffprobePath?: string | undefined;
}

/**
 * Opens a tap on the decoding of one clip: pipes and threads stand ready before ffmpeg starts. The command must log at level
 * `info` with `level` prefixes, and every line must reach `onLine` without waiting for `finish`: a frame is
 * measured once its line was seen.
 *
 * Throws GoodgateError `measure-failed` when pipes or threads cannot be made, `interrupted` when the signal has fired.
 */
export async function openMeasureTap(options: TapOptions): Promise<MeasureTap> {
  const { facts, colour } = options;
  if (options.signal?.aborted) throw interrupted(options.path);
  const layout = readableLayout(facts);
  const folder = await makeNamedPipes([
    ...(layout ? ['picture'] : []),
    ...facts.audio.map((_, index) => `sound-${index}`),
  ]);
  const picturePipe = layout ? folder.pipes[0] : undefined;
  const soundPipes = layout ? folder.pipes.slice(1) : folder.pipes;

  const gate = new FrameGate();
  const damage = new DamageLog();
  const frameLog = new FrameLog(`gate${randomBytes(6).toString('hex')}`, (frame, format) => {
    // Converted frames are not the picture: measuring ends where the format is no longer the declared one.
    const seen = sampleLayout(format.pixelFormat);
    if (frame === 0 && (!isKnown(seen) || seen.readAs !== layout?.readAs)) gate.stopAt(0);
    if (frameLog.changes.length > 0) gate.stopAt(frame);
    gate.frameSeen(format.width, format.height);
  });

  const picture =
    picturePipe && facts.video
      ? startPictureThread(
          { pipe: picturePipe.path, gate: gate.memory, video: facts.video, colour },
          picturePipe,
          (frames) => options.onFrames?.(frames),
        )
      : null;
  const streams = facts.audio.map((audio, index) => ({ pipe: soundPipes[index]?.path ?? '', facts: audio }));
  const sound = streams.length > 0 ? startSoundThread({ streams }, soundPipes) : null;
  const outputs = tapOutputs(options, layout, frameLog.filter, picturePipe, soundPipes);

  // Beside the decoding: what has to read the whole file finds it in memory.
  const stopReading = new AbortController();
  const reading = readContainer(options.path, facts, {
    signal: options.signal ? AbortSignal.any([options.signal, stopReading.signal]) : stopReading.signal,
    ffmpegPath: options.ffmpegPath,
    ffprobePath: options.ffprobePath,
  });
  reading.catch(() => {});

  let closed = false;
  const close = async (): Promise<void> => {
    if (closed) return;
    closed = true;
    stopReading.abort();
    gate.end();
    // A thread that opened its pipe after we had let go would wait in open() for ever.
    await Promise.all([picture?.ready, sound?.ready]);
    folder.remove();
    await Promise.all([picture?.stop(), sound?.stop()]);
  };

  return {
    outputs,
    onLine(line) {
      if (!frameLog.read(line)) damage.read(line);
    },
    async finish(result: FfmpegResult): Promise<Measurement> {
      await Promise.all([picture?.ready, sound?.ready]);
      // Our ends go: each reader now meets the end of what ffmpeg has written.
      gate.end();
      for (const pipe of folder.pipes) pipe.release();
      try {
        const [pictureAnswer, soundAnswer, end, container] = await Promise.all([
          picture?.answer ?? null,
          sound?.answer ?? null,
          containerEnd(options.path, facts.container.format, facts.bytes),
          reading,
        ]);
        if (pictureAnswer?.kind === 'done') {
          options.onFrameFigures?.({
            totals: pictureAnswer.totals,
            stamps: frameLog.timestamps,
            clock: frameClock(facts.container.startTimecode, facts.video?.frameRate ?? null),
          });
        }
        return assembleMeasurement({
          ...options,
          result,
          frameLog,
          damage,
          end,
          container,
          pictureAnswer,
          soundAnswer,
        });
      } finally {
        await close();
      }
    },
    abandon: close,
  };
}

function readableLayout({ video }: ClipFacts): SampleLayout | null {
  const layout = video && sampleLayout(video.pixelFormat);
  return layout !== null && isKnown(layout) ? layout : null;
}

/** One output a pipe. A picture that cannot be read is decoded all the same: its frames and time stamps are figures too. */
function tapOutputs(
  { facts, input = 0 }: TapOptions,
  layout: SampleLayout | null,
  logFilter: string,
  picturePipe: NamedPipe | undefined,
  soundPipes: readonly NamedPipe[],
): FfmpegOutput[] {
  const outputs: FfmpegOutput[] = [];
  if (facts.video) {
    const filters = layout ? `${logFilter},${rangeFilter(layout)}` : logFilter;
    const samples = layout
      ? ['-c:v', 'rawvideo', '-pix_fmt', layout.readAs, '-f', 'rawvideo']
      : ['-f', 'null'];
    outputs.push({
      path: picturePipe?.path ?? '/dev/null',
      options: [
        ...['-map', `${input}:${facts.video.stream}`, '-vf', filters],
        // Every decoded frame once, whatever its time stamp: nothing repeated, nothing dropped.
        ...['-fps_mode', 'passthrough', ...samples],
      ],
    });
  }
  facts.audio.forEach((audio, index) => {
    outputs.push({
      path: soundPipes[index]?.path ?? '/dev/null',
      options: ['-map', `${input}:${audio.stream}`, '-c:a', 'pcm_f64le', '-f', 'f64le'],
    });
  });
  return outputs;
}

export function interrupted(path: string): GoodgateError {
  return new GoodgateError('interrupted', { what: 'measuring was interrupted', where: path });
}
