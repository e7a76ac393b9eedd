import { randomBytes } from 'node:crypto';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { ClipFacts, VideoFacts } from '../../../jobs/manifest/facts.js';
import type { FfmpegOutput } from '../../ffmpeg/command.js';
import { makeNamedPipes, type PipeFolder } from '../../ffmpeg/named-pipes.js';
import { isKnown, rangeFilter, type SampleLayout, sampleLayout } from '../picture/plan/sample-layout.js';
import { FrameGate } from './frame-gate.js';
import { FrameLog } from './frame-log.js';
import type { FrameFormat } from './frame-record.js';
import type { KeepFrames } from './kept-frames.js';
import { type PictureAnswer, startPictureThread } from './measure-threads.js';

/** The frames of a file that a tap receives: all of them, or one part. */
export interface TappedFrames {
  /** Number in the file of the first frame. */
  readonly first: number;
  /** Number of lead-in frames, which are not counted. */
  readonly lead: number;
  /** Frames that pass; null: all. */
  readonly count: number | null;
}

export const WHOLE_FILE: TappedFrames = { first: 0, lead: 0, count: null };

export interface PictureTapOptions {
  readonly video: VideoFacts;
  readonly colour: Colour | null;
  /** Index of the file among the inputs of the ffmpeg command. */
  readonly input: number;
  readonly frames: TappedFrames;
  /** Frames to write aside. */
  readonly keep?: KeepFrames | undefined;
  /** Frames decoded so far, lead-in included. */
  readonly onFrames?: ((frames: number) => void) | undefined;
}

/** A tap on the decoding of the picture alone. */
export interface PictureTap {
  readonly output: FfmpegOutput;
  /** Frames that are measured. */
  readonly frameLog: FrameLog;
  /** All decoded frames, lead-in included. */
  readonly shown: FrameLog;
  /** True when the line of the log belonged to this tap. */
  readLine(line: string): boolean;
  /** After ffmpeg has ended; null where the picture cannot be read. */
  finish(): Promise<PictureAnswer | null>;
  /** Frees thread and pipe. Safe to call twice. */
  close(): Promise<void>;
}

/**
 * Throws GoodgateError `measure-failed` when pipe or thread cannot be made.
 *
 * A picture that cannot be read is decoded too: its frames and time stamps are figures as well.
 */
export async function openPictureTap(options: PictureTapOptions): Promise<PictureTap> {
  const { video, frames } = options;
  const layout = readableLayout(video);
  const folder = layout ? await makeNamedPipes(1) : null;
  const gate = new FrameGate();
  const id = `gate${randomBytes(6).toString('hex')}`;
  const shown = new FrameLog(id, (frame, format) => passFrames(gate, shown, layout, frame, format));
  const frameLog = frames.lead === 0 ? shown : new FrameLog(id);
  const thread = folder && startThread(folder, gate, options);

  let closed = false;
  return {
    output: pictureOutput(options, layout, shown.filter, folder),
    frameLog,
    shown,
    readLine(line) {
      if (!shown.read(line)) return false;
      const isLead = shown.frames > 0 && shown.frames <= frames.lead;
      if (frameLog !== shown && !isLead) frameLog.read(line);
      return true;
    },
    async finish() {
      await thread?.ready;
      // Our end goes: the reader now meets the end of what ffmpeg has written.
      gate.end();
      for (const pipe of folder?.pipes ?? []) pipe.release();
      return thread?.answer ?? null;
    },
    async close() {
      if (closed) return;
      closed = true;
      gate.end();
      // A thread that opened its pipe after we had let go would wait in open() for ever.
      await thread?.ready;
      folder?.remove();
      await thread?.stop();
    },
  };
}

/** Converted frames are not the picture: measuring ends where the format is no longer the declared one. */
function passFrames(
  gate: FrameGate,
  log: FrameLog,
  layout: SampleLayout | null,
  frame: number,
  format: FrameFormat,
): void {
  const seen = sampleLayout(format.pixelFormat);
  if (frame === 0 && (!isKnown(seen) || seen.readAs !== layout?.readAs)) gate.stopAt(0);
  if (log.changes.length > 0) gate.stopAt(frame);
  gate.frameSeen(format.width, format.height);
}

function startThread(folder: PipeFolder, gate: FrameGate, options: PictureTapOptions) {
  const [pipe] = folder.pipes;
  if (!pipe) throw new Error('no pipe for the picture');
  const { video, colour, frames, keep, onFrames } = options;
  return startPictureThread(
    {
      ...{ pipe: pipe.path, gate: gate.memory, video, colour },
      ...{ firstFrame: frames.first, lead: frames.lead },
      keep: keep === undefined ? null : { frames: keep.frames, file: keep.file },
    },
    pipe,
    (count) => onFrames?.(count),
  );
}

function readableLayout(video: NonNullable<ClipFacts['video']>): SampleLayout | null {
  const layout = sampleLayout(video.pixelFormat);
  return isKnown(layout) ? layout : null;
}

function pictureOutput(
  { video, input, frames }: PictureTapOptions,
  layout: SampleLayout | null,
  logFilter: string,
  folder: PipeFolder | null,
): FfmpegOutput {
  // Before the log filter, which must not list frames that do not pass.
  const limit = frames.count === null ? [] : [`trim=end_frame=${frames.count}`];
  const filters = [...limit, logFilter, ...(layout ? [rangeFilter(layout)] : [])];
  const samples = layout ? ['-c:v', 'rawvideo', '-pix_fmt', layout.readAs, '-f', 'rawvideo'] : ['-f', 'null'];
  return {
    path: folder?.pipes[0]?.path ?? '/dev/null',
    options: [
      ...['-map', `${input}:${video.stream}`, '-vf', filters.join(',')],
      // Every decoded frame once, whatever its time stamp: nothing repeated, nothing dropped.
      ...['-fps_mode', 'passthrough'],
      ...(frames.count === null ? [] : ['-frames:v', String(frames.count)]),
      ...samples,
    ],
  };
}
