import { open } from 'node:fs/promises';

export const SAMPLE_RATE = 48_000;

/**
 * Stereo line-up tone as raw 32-bit floats, interleaved.
 *
 * A 997 Hz sine on both channels peaking at L dBFS measures L LUFS: BS.1770 weighs it by +0.691 dB, takes
 * 0.691 dB off again, and the two half-power channels add up to the power of one (EBU Tech 3341, test case 1
 * uses the same identity at 1 kHz). So the loudness of a demo clip is known before anybody measures it.
 */
export async function writeTone(path: string, seconds: number, levelLufs: number): Promise<void> {
  const samples = Math.round(seconds * SAMPLE_RATE);
  const amplitude = 10 ** (levelLufs / 20);
  const frames = new Float32Array(samples * 2);
  for (let n = 0; n < samples; n++) {
    const value = amplitude * Math.sin((2 * Math.PI * 997 * n) / SAMPLE_RATE);
    frames[2 * n] = value;
    frames[2 * n + 1] = value;
  }
  const file = await open(path, 'w');
  try {
    await file.write(new Uint8Array(frames.buffer));
  } finally {
    await file.close();
  }
}
