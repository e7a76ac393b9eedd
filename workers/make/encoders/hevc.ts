import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { lightLevel, masterDisplay } from '../hdr-arguments.js';
import { keyframeInterval, rateControl } from '../rate-control.js';

/**
 * HEVC by libx265. `hvc1` in MP4 and MOV: parameter sets in the sample entry, which more players take than `hev1`.
 * x265 codes fields only as separate pictures: an interlaced picture is coded as frames, its order in the
 * container alone.
 */
export function hevcArguments(recipe: OutputRecipe): string[] {
  const { video, hdr } = recipe;
  const display = masterDisplay(hdr);
  const light = lightLevel(hdr);
  const params = [
    'log-level=warning',
    ...(video.lossless ? ['lossless=1'] : []),
    ...(display === null ? [] : [`master-display=${display}`]),
    ...(light === null ? [] : [`max-cll=${light}`]),
  ];
  const isIsoContainer = recipe.container === 'mp4' || recipe.container === 'mov';
  return [
    ...['-c:v', 'libx265', '-preset', 'medium'],
    ...(video.profile === null ? [] : ['-profile:v', video.profile]),
    ...(video.lossless ? [] : rateControl(video, 20)),
    ...['-g', String(keyframeInterval(recipe))],
    ...['-x265-params', params.join(':')],
    ...(isIsoContainer ? ['-tag:v', 'hvc1'] : []),
  ];
}
