import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { timecodeAtRate } from './timecode-at-rate.js';

const MUXERS: Readonly<Record<OutputRecipe['container'], string>> = {
  mov: 'mov',
  mp4: 'mp4',
  mkv: 'matroska',
  mxf: 'mxf',
};
const STREAMED = new Set<OutputRecipe['video']['encoder']>(['libx264', 'libx265']);

/**
 * Muxer, metadata and timecode. Nothing of the original's metadata is copied by itself: it can name people and
 * places, and proxies leave the house. Timecode and reel are written from the plan.
 */
export function containerArguments(recipe: OutputRecipe, sourceRate: string | null): string[] {
  const { container, reel } = recipe;
  const timecode =
    recipe.timecode === null
      ? null
      : timecodeAtRate(recipe.timecode, sourceRate ?? recipe.frameRate, recipe.frameRate);
  const isIso = container === 'mov' || container === 'mp4';
  // The index in front lets a proxy play while it loads; for an intermediate it would mean to write the file twice.
  const flags = `+write_colr${STREAMED.has(recipe.video.encoder) ? '+faststart' : ''}`;
  return [
    ...['-map_metadata', '-1', '-map_chapters', '-1'],
    ...(timecode === null ? [] : ['-timecode', timecode]),
    ...(reel === null ? [] : ['-metadata', `reel_name=${reel}`, '-metadata:s:v:0', `reel_name=${reel}`]),
    ...(isIso ? ['-movflags', flags] : []),
    ...['-f', MUXERS[container]],
  ];
}
