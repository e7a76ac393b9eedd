import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { DecodedSound } from '../../../workers/compare/sound/decoded-sound.js';
import { isForeignSound } from '../../../workers/compare/sound/foreign-sound.js';

const RATE = 8000;
const folder = mkdtempSync(join(tmpdir(), 'goodgate-foreign-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

type Wave = (i: number) => number;

/** Noise in syllables, coloured as speech is; always the same for a seed. */
function speech(seed: number): Wave {
  const noise = (i: number): number => {
    let h = Math.imul(i + 1, 374_761_393) ^ Math.imul(seed, 668_265_263);
    h = Math.imul(h ^ (h >>> 13), 1_274_126_177);
    return ((h ^ (h >>> 16)) >>> 0) / 2 ** 32 - 0.5;
  };
  return (i) => {
    let sum = 0;
    for (let k = 0; k < 6; k++) sum += noise(i - k) * 0.8 ** k;
    return 0.3 * sum * (0.2 + 0.8 * (Math.sin(i / (700 + 90 * seed)) > -0.3 ? 1 : 0));
  };
}
const tone =
  (hertz: number): Wave =>
  (i) =>
    0.3 * Math.sin((2 * Math.PI * hertz * i) / RATE);

async function opened(name: string, channels: readonly Wave[], seconds: number): Promise<DecodedSound> {
  const samples = Math.round(seconds * RATE);
  const all = new Float32Array(samples * channels.length);
  for (const [channel, wave] of channels.entries())
    for (let i = 0; i < samples; i++) all[i * channels.length + channel] = wave(i);
  const path = join(folder, name);
  writeFileSync(path, Buffer.from(all.buffer));
  return DecodedSound.open({ path, rate: RATE, channels: channels.length, samples, shift: 0 });
}

async function isForeign(
  original: readonly Wave[],
  copy: readonly Wave[],
  seconds: number,
  channel?: number,
) {
  const [had, is] = [await opened('had', original, 3), await opened('is', copy, seconds)];
  try {
    return await isForeignSound(had, is, RATE, channel ?? null);
  } finally {
    await Promise.all([had.close(), is.close()]);
  }
}

const A = speech(1);
const B = speech(2);
/** Name, original of 3 s, copy, its seconds. */
type Row = readonly [string, readonly Wave[], readonly Wave[], number];

const OTHERS: readonly Row[] = [
  ['other speech', [A], [B], 3],
  ['other speech, on both channels', [A, A], [B, speech(3)], 3],
  ['other speech of another length', [A], [B], 2],
  ['a tone for speech', [A], [tone(440)], 3],
  ['another tone', [tone(1000)], [tone(440)], 3],
];
const NOT_CERTAIN: readonly Row[] = [
  ['the same', [A], [A], 3],
  ['1.3 s late, by a part of a low sample', [A], [(i) => A(i - 10_401)], 3],
  ['its end', [A], [(i) => A(i + 9000)], 1.8],
  ['upside down and lower', [A], [(i) => -0.1 * A(i)], 3],
  ['under other sound as loud', [A], [(i) => A(i) + B(i)], 3],
  ['folded down', [A, B], [(i) => (A(i) + B(i)) / 2], 3],
  ['1000/1001 slower', [A], [(i) => at(A, (i * 1000) / 1001)], 3.003],
  ['25 for 24 faster', [A], [(i) => at(A, (i * 25) / 24)], 2.88],
  ['of a length that a kept pitch explains', [A], [B], 2.88],
  ['silent', [A], [() => 0], 3],
  ['quiet', [A], [(i) => 0.001 * B(i)], 3],
  ['too short', [A], [B], 0.9],
];

/** Between samples by a straight line. */
function at(wave: Wave, place: number): number {
  const [i, part] = [Math.floor(place), place % 1];
  return wave(i) * (1 - part) + wave(i + 1) * part;
}

describe('sound that is certainly another', () => {
  it.each(OTHERS)('%s', async (_, original, copy, seconds) => {
    expect(await isForeign(original, copy, seconds)).toBe(true);
  });
  it('one channel, where the other is the same', async () => {
    expect(await isForeign([A, speech(3)], [A, B], 3, 1)).toBe(true);
    expect(await isForeign([A, B], [A, B], 3, 1)).toBe(false);
  });
});

describe('sound that may be the same', () => {
  it.each(NOT_CERTAIN)('%s', async (_, original, copy, seconds) => {
    expect(await isForeign(original, copy, seconds)).toBe(false);
  });
});
