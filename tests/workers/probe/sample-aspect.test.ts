import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { measureFile } from '../../media/measure-file.js';

/** 1440 x 1080 in samples of 4:3 is a picture of 16:9, whatever else a file says of it. */
const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

async function make(name: string, ...args: readonly string[]): Promise<string> {
  await execa('ffmpeg', ['-nostdin', '-y', '-loglevel', 'error', ...args, path(name)]);
  return path(name);
}
const PICTURE = [
  '-f',
  'lavfi',
  '-i',
  'color=s=1440x1080:r=25:d=0.08',
  '-vf',
  'setsar=4/3',
  '-pix_fmt',
  'yuv420p',
];

describe('the shape of samples', () => {
  it('is what the container states, where the bitstream says another', async () => {
    const whole = await make('h264.mp4', ...PICTURE, '-c:v', 'libx264', '-preset', 'ultrafast');
    const square = ['-c', 'copy', '-bsf:v', 'h264_metadata=sample_aspect_ratio=1/1'];
    const file = await make('square.mp4', '-i', whole, ...square);
    const { video, notes } = await probeClip(file);
    expect(video).toMatchObject({ sampleAspect: '4/3', displayAspect: '16/9' });
    expect(notes).toContain('sample aspect: the container declares 4/3, which is used, the bitstream 1/1');
    const measurement = await measureFile(file);
    expect(measurement.video?.sampleAspect).toBe('4/3');
    expect(measurement.layers.container?.sampleAspect).toBe('4/3');
    expect(measurement.layers.bitstream?.sampleAspect).toBe('1/1');
  });

  it('is what the container states, where ffmpeg takes another', async () => {
    const file = await make('prores.mov', ...PICTURE, '-c:v', 'prores_ks');
    // No file was found of which this ffmpeg does so; one that does is put in its place.
    const ffprobe = path('ffprobe');
    const square = `sed 's/"sample_aspect_ratio": "4:3"/"sample_aspect_ratio": "1:1"/'`;
    await writeFile(ffprobe, `#!/bin/sh\nffprobe "$@" | ${square}\n`, { mode: 0o755 });
    const { video } = await probeClip(file, { tools: { ffprobe } });
    expect(video).toMatchObject({ sampleAspect: '4/3', displayAspect: '16/9' });
  });
});
