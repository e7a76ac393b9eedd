import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { box, fullBox, u8, u16, u32, withBoxReplaced, zeros } from '../../media/boxes.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { measureFile } from '../../media/measure-file.js';

/**
 * PCM as MP4 describes it (ISO/IEC 23003-5: `ipcm` and `fpcm` with `pcmC`), which no ffmpeg before 6 writes
 * or reads whole: the samples of a MOV file with a sample entry of MP4 in front of them.
 */
const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

async function pcm(
  codec: string,
  code: string,
  bits: number,
  little: boolean,
  stated: number,
): Promise<string> {
  const sine = ['-f', 'lavfi', '-i', 'aevalsrc=0.25*sin(2*PI*997*t)|0.25*sin(2*PI*997*t):s=48000:d=2'];
  const mov = path(`${codec}.mov`);
  await execa('ffmpeg', ['-nostdin', '-y', '-loglevel', 'error', ...sine, '-c:a', codec, mov]);
  const fields = [zeros(6), u16(1), zeros(8), u16(2, stated, 0, 0), u32(48_000 * 65_536)];
  const entry = box(code, ...fields, fullBox('pcmC', 0, u8(little ? 1 : 0, bits)));
  const stsd = fullBox('stsd', 0, u32(1), entry);
  const file = withBoxReplaced(await readFile(mov), ['moov', 'trak', 'mdia', 'minf', 'stbl', 'stsd'], stsd);
  const ftyp = box('ftyp', Buffer.from('iso8'), u32(512), Buffer.from('iso8'));
  const mp4 = path(`${codec} ${stated}.mp4`);
  await writeFile(mp4, withBoxReplaced(file, ['ftyp'], ftyp));
  return mp4;
}

describe('PCM in MP4', () => {
  // A sine of 997 Hz at a quarter of full scale in both channels: 20 log10(0.25) dBFS, as loud as that in
  // LUFS (BS.1770).
  const LEVEL = 20 * Math.log10(0.25);

  it.each([
    ['pcm_s24le', 'ipcm', 24, true, 24],
    ['pcm_s24be', 'ipcm', 24, false, 24],
    ['pcm_s16be', 'ipcm', 16, false, 16],
    ['pcm_s32le', 'ipcm', 32, true, 32],
    ['pcm_f32le', 'fpcm', 32, true, 16],
    ['pcm_f64be', 'fpcm', 64, false, 64],
    // Entries of ISO/IEC 14496-12 may say 16 whatever the samples are.
    ['pcm_s24le', 'ipcm', 24, true, 16],
    ['pcm_s32be', 'ipcm', 32, false, 16],
  ] as const)(
    '%s in %s of %i bits (little-endian: %s), entry of %i',
    async (codec, code, bits, little, stated) => {
      const file = await pcm(codec, code, bits, little, stated);
      const facts = await probeClip(file);
      expect(facts.audio[0]).toMatchObject({ codec, bitDepth: bits, channels: 2 });
      const measurement = await measureFile(file, { facts });
      const [sound] = measurement.audio;
      if (facts.audio[0]?.misread === undefined) {
        expect(sound?.samplePeakDbfs).toBeCloseTo(LEVEL, 2);
        expect(sound?.integratedLufs).toBeCloseTo(LEVEL, 1);
      } else {
        // This ffmpeg cannot read it: then nothing is said of the sound.
        expect(stated).toBeLessThan(bits);
        expect(sound).toMatchObject({ integratedLufs: null, samplePeakDbfs: null, truePeakDbtp: null });
        expect(measurement.unmeasured).toContainEqual({ what: 'audio[0]', why: facts.audio[0]?.misread });
      }
    },
  );
});
