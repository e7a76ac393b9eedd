import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { soundDecoding } from '../../../workers/ffmpeg/sound-decoding.js';
import { measureFile } from '../../../workers/measure/measure-file.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);
const QUIET = ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error'];

/**
 * A mono AC-3 stream whose frames each carry a gain (ATSC A/52, 5.4.3.3 and 7.7.1): the bit `dynrnge` of the
 * first block, and eight bits put in behind it. Frames of 640 kbit/s for a sine have room at their end. The
 * checksum of the frame is made anew.
 */
function withGain(stream: Buffer, gain: number): Buffer {
  const changed = Buffer.from(stream);
  // Bits from the sync word: syncinfo 40, bsi of mono without options 25, then blksw and dithflag of the one
  // channel.
  const flag = 40 + 25 + 2;
  const size = (640_000 * 1536) / 48_000 / 8;
  for (let at = 0; at < changed.length; at += size) {
    const bits = [...stream.subarray(at, at + size)]
      .map((byte) => byte.toString(2).padStart(8, '0'))
      .join('');
    expect(bits[flag]).toBe('0');
    const added = `${bits.slice(0, flag)}1${gain.toString(2).padStart(8, '0')}${bits.slice(flag + 1, -8)}`;
    for (let byte = 0; byte < size; byte++) {
      changed[at + byte] = Number.parseInt(added.slice(byte * 8, byte * 8 + 8), 2);
    }
    changed.writeUInt16BE(crc16(changed.subarray(at + 2, at + size - 2)), at + size - 2);
  }
  return changed;
}

/**
 * The checksum of AC-3 (ATSC A/52, 6.1.8): x^16 + x^15 + x^2 + 1, highest bit first, of all behind the sync
 * word.
 */
function crc16(bytes: Buffer): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit++) crc = ((crc << 1) ^ (crc & 0x8000 ? 0x8005 : 0)) & 0xffff;
  }
  return crc;
}
async function levelOf(file: string, ...input: readonly string[]): Promise<number> {
  const all = ['-hide_banner', '-nostdin', ...input, '-i', file, '-af', 'volumedetect', '-f', 'null', '-'];
  const { stderr } = await execa('ffmpeg', all);
  return Number(/mean_volume: (\S+) dB/.exec(stderr)?.[1]);
}

describe('sound that carries dynamic range compression', () => {
  it('is measured as it was mixed', async () => {
    const sine = ['-f', 'lavfi', '-i', 'aevalsrc=0.1*sin(2*PI*1000*t):s=48000:d=2'];
    const plain = path('plain.ac3');
    await execa('ffmpeg', [...QUIET, ...sine, '-c:a', 'ac3', '-b:a', '640k', plain]);
    // Exponent -2, mantissa 0: a quarter, 12.04 dB down.
    await writeFile(path('compressed.ac3'), withGain(await readFile(plain), 0b110_00000));
    const compressed = path('compressed.ac3');
    // ffmpeg by itself does turn it down, so there is something to be missed here.
    expect((await levelOf(compressed)) - (await levelOf(plain))).toBeCloseTo(-12, 0);
    const loudness = async (file: string) => (await measureFile(file)).audio[0]?.integratedLufs ?? 0;
    expect(await loudness(compressed)).toBeCloseTo(await loudness(plain), 2);
  });

  it('asks for that of such streams only', () => {
    const stream = { channels: 2, layout: 'stereo', sampleRate: 48_000, bitDepth: null, durationSeconds: 1 };
    expect(
      soundDecoding([
        { ...stream, stream: 1, codec: 'pcm_s24le' },
        { ...stream, stream: 2, codec: 'eac3' },
      ]),
    ).toEqual(['-drc_scale:2', '0', '-err_detect:2', 'crccheck']);
  });
});

describe('sound that carries checksums', () => {
  const NOISE = [
    '-f',
    'lavfi',
    '-i',
    'anoisesrc=d=0.6:c=pink:a=0.3:r=48000:seed=5,aformat=channel_layouts=stereo',
  ];

  it.each([
    ['flac', 'flac.mka'],
    ['flac', 'flac.flac'],
    ['ac3', 'ac3.mka'],
    ['eac3', 'eac3.mp4'],
    ['wavpack', 'wavpack.mka'],
    ['tta', 'tta.mka'],
  ])('%s in %s: every flipped bit is told, and nothing of a whole file', async (codec, name) => {
    const whole = path(name);
    await execa('ffmpeg', [...QUIET, ...NOISE, '-c:a', codec, whole]);
    expect((await measureFile(whole)).decode).toMatchObject({ errors: 0, truncated: false });
    const bytes = await readFile(whole);
    for (const share of [0.35, 0.7]) {
      const flipped = Buffer.from(bytes);
      const at = Math.floor(bytes.length * share);
      flipped[at] = (flipped[at] ?? 0) ^ 0x10;
      await writeFile(path(`flipped ${name}`), flipped);
      const { decode } = await measureFile(path(`flipped ${name}`));
      expect(decode.errors, `${name}, byte ${at}`).toBeGreaterThan(0);
    }
  });
});
