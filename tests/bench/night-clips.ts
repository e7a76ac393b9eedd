import { ffmpeg } from './bench-media.js';

/** What the clips of a night are coded in. */
export const LOG = 'S-Log3/S-Gamut3.Cine';

/** A clip of camera log in ProRes HQ with stereo sound and timecode, textured and noisy. */
export function makeClip(path: string, size: string, seconds: number, seed: number): void {
  ffmpeg([
    ...['-f', 'lavfi', '-i'],
    `mandelbrot=s=${size}:r=25:start_scale=${0.4 / seed}:end_scale=0.02:maxiter=2000,scale=out_range=limited,format=yuv422p10le,eq=contrast=0.6,noise=alls=8:allf=t:all_seed=${seed}`,
    ...['-f', 'lavfi', '-i', `sine=${220 * seed}:r=48000`, '-t', String(seconds), '-ac', '2'],
    ...['-c:v', 'prores_ks', '-profile:v', 'hq', '-q:v', '6', '-c:a', 'pcm_s24le'],
    ...['-timecode', `0${seed}:00:00:00`, path],
  ]);
}
