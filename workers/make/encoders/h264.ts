import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { lightLevel, masterDisplay } from '../hdr-arguments.js';
import { keyframeInterval, rateControl } from '../rate-control.js';

/** H.264 by libx264. Static HDR metadata goes into SEI, which x264 writes since version 163. */
export function h264Arguments(recipe: OutputRecipe): string[] {
  const { video, hdr } = recipe;
  const display = masterDisplay(hdr);
  const light = lightLevel(hdr);
  const params = [
    ...(display === null ? [] : [`mastering-display=${display}`]),
    ...(light === null ? [] : [`cll=${light}`]),
  ];
  return [
    ...['-c:v', 'libx264', '-preset', 'medium'],
    ...(video.profile === null ? [] : ['-profile:v', video.profile]),
    // x264: a constant quantiser of 0 is lossless, at every depth.
    ...(video.lossless ? ['-qp', '0'] : rateControl(video, 18)),
    ...['-g', String(keyframeInterval(recipe))],
    ...(recipe.scan === 'progressive' ? [] : ['-flags', '+ilme+ildct']),
    ...(params.length === 0 ? [] : ['-x264-params', params.join(':')]),
  ];
}
