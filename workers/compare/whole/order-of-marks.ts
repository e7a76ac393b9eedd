import { readFile } from 'node:fs/promises';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import type { FfmpegOutput } from '../../ffmpeg/command.js';
import { SIGNATURE_SIDE, type Signatures } from '../../measure/picture/signature/packed-signature.js';
import {
  type FramesFound,
  findOtherFrames,
  isOtherPicture,
  type OtherFrames,
} from '../order/find-other-frames.js';
import { foreignFrames } from '../order/foreign-picture.js';
import { type FrameRun, type FramesApart, runsOf } from './frames-apart.js';

/** Planes of a mark: one of grey pictures has three too. */
const PLANES = 3;
const VALUES = SIGNATURE_SIDE * SIGNATURE_SIDE * PLANES;
const BYTES = VALUES * 2;
const WHITE = 2 ** 16 - 1;

/** Each frame as means of fields of it, at 16 bits: what a signature is to a measurement. */
export function marksFilter({ pixelFormat }: Pick<OutputRecipe['video'], 'pixelFormat'>): string {
  const planar = pixelFormat.startsWith('gbr') ? 'gbrp16le' : 'yuv444p16le';
  const size = `w=${SIGNATURE_SIDE}:h=${SIGNATURE_SIDE}`;
  return `scale=${size}:flags=area+accurate_rnd,format=${planar}`;
}

export function marksOutput(label: string, path: string): FfmpegOutput {
  return {
    path,
    options: ['-map', label, '-fps_mode', 'passthrough', '-c:v', 'rawvideo', '-f', 'rawvideo'],
  };
}

/** Frames out of order, by the marks of both files. */
export async function orderOfMarks(
  { original, copy }: { readonly original: string; readonly copy: string },
  isInert: boolean,
): Promise<FramesFound> {
  const [had, is] = await Promise.all([readMarks(original), readMarks(copy)]);
  const found = await findOtherFrames(had, is, { isInert });
  return isOtherPicture(found) ? ((await foreignFrames(had, is, 1)) ?? found) : found;
}

async function readMarks(path: string): Promise<Signatures> {
  const bytes = await readFile(path);
  return {
    frames: Math.floor(bytes.length / BYTES),
    values: VALUES,
    read(frame, into) {
      for (let i = 0; i < VALUES; i++) into[i] = bytes.readUInt16LE(frame * BYTES + 2 * i) / WHITE;
    },
  };
}

/** What is known by the order of frames, and what by the figures of each. Pure. */
export function joined(
  byFigures: FramesApart,
  byOrder: FramesFound,
  frames: number,
): { readonly apart: readonly OtherFrames[]; readonly doubtful: readonly FrameRun[] } {
  // Another picture throughout, and not known to be one for certain: nothing of it is told.
  const [first] = byOrder.apart;
  const isForeign = first?.shows === null && first.to - first.from === byOrder.frames;
  const isKnown = !isOtherPicture(byOrder) || isForeign;
  const { apart, doubtful } = isKnown ? byOrder : { apart: [], doubtful: [] };
  const known = marked(apart, frames);
  const rest = marked(byFigures.apart, frames).map((is, frame) => is && known[frame] !== true);
  const all: OtherFrames[] = [...apart, ...runsOf(rest).map((run) => ({ ...run, shows: null }))];
  const isApart = marked(all, frames);
  const doubted = marked([...doubtful, ...byFigures.doubtful], frames);
  return {
    apart: all.toSorted((a, b) => a.from - b.from),
    doubtful: runsOf(doubted.map((is, frame) => is && isApart[frame] !== true)),
  };
}

function marked(runs: readonly FrameRun[], frames: number): boolean[] {
  const marks = Array.from({ length: frames }, () => false);
  for (const { from, to } of runs) marks.fill(true, from, Math.min(to, frames));
  return marks;
}
