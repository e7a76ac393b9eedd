import { copyFile, mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { verdict as verdictSchema } from '../../jobs/verdict/verdict.js';
import { bext, ixml, waveFile } from '../media/wave.js';
import { openWorkshop, type Workshop } from './goodgate.js';

/**
 * Sound recorded apart, drawn sample by sample, laid into copies of clips whose own sound is a tone. Where a
 * click has to be in a copy is reckoned here from timecodes and time references: SMPTE ST 12-1 (labels),
 * EBU Tech 3285 (time reference).
 */
const RATE = 48_000;
const CLICK = 32_000;
let shop: Workshop;
const at = (...parts: string[]): string => join(shop.folder, ...parts);

/** Noise at 1 % of full scale with clicks, from a fixed seed. */
function noise(samples: number, clicks: readonly number[]): Int16Array {
  let state = samples;
  const sound = Int16Array.from({ length: samples }, () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.round((state / 2 ** 32 - 0.5) * 655);
  });
  for (const click of clicks) sound[click] = CLICK;
  return sound;
}

function speed(rate: string, flag: string) {
  return ixml(`<SPEED><TIMECODE_RATE>${rate}</TIMECODE_RATE><TIMECODE_FLAG>${flag}</TIMECODE_FLAG></SPEED>`);
}

async function draw(name: string, rate: string, timecode: string, frames = 50) {
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', `testsrc2=s=128x72:r=${rate}`],
    ...['-f', 'lavfi', '-i', 'sine=f=440:r=48000', '-frames:v', String(frames), '-t', '2'],
    ...['-c:v', 'libx264', '-pix_fmt', 'yuv420p', '-c:a', 'pcm_s16le', '-timecode', timecode],
    ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709', at('card', name)],
  ]);
}

async function samplesOf(...path: string[]): Promise<Float32Array> {
  return channelOf('-ac', '1', ...path);
}

async function channelOf(option: string, value: string, ...path: string[]): Promise<Float32Array> {
  const { stdout } = await execa(
    'ffmpeg',
    ['-v', 'error', '-i', at(...path), '-map', '0:a:0', option, value, '-f', 'f32le', '-'],
    { encoding: 'buffer' },
  );
  return new Float32Array(Uint8Array.from(stdout).buffer);
}

function clicksIn(samples: Float32Array): number[] {
  return [...samples].flatMap((value, index) => (Math.abs(value) > 0.6 ? [index] : []));
}

async function manifestWith(lines: readonly string[]): Promise<void> {
  await writeFile(
    at('m.yaml'),
    ['schema: goodgate/manifest@1', 'title: Laid', 'root: card', ...lines, ''].join('\n'),
  );
}

const FILES = ['A.mov', 'B.mov', 'C.mov', 'T1.wav', 'T2.wav', 'T3.wav', 'L.wav', 'R.wav'];

beforeAll(async () => {
  shop = await openWorkshop();
  await mkdir(at('card'));
  await draw('A.mov', '25', '10:00:00:00');
  await draw('B.mov', '25', '11:00:00:00');
  await draw('C.mov', '30000/1001', '01:00:00;00');
  await draw('D.mov', '25', '20:00:00:00');
  const hour = 3600 * RATE;
  // From 2.5 s before A on: its clicks are at the first sample of A, and 48,007 after it.
  const t1 = noise(6 * RATE, [120_000, 168_007]);
  await writeFile(
    at('card/T1.wav'),
    waveFile([bext(10 * hour - 120_000), speed('25', 'NDF')], [], { sound: t1 }),
  );
  // From half a second and 5 samples after the start of B on, for half a second.
  await writeFile(
    at('card/T2.wav'),
    waveFile([bext(11 * hour + 24_005)], [], { sound: noise(RATE / 2, [100]) }),
  );
  // C begins at frame 107,892 of the day: 172,799,827.2 samples.
  await writeFile(
    at('card/T3.wav'),
    waveFile([bext(172_799_827 - 50_000), speed('29.97', 'DF')], [], {
      sound: noise(4 * RATE, [50_000, 60_000]),
    }),
  );
  // Two files of one track each: one from a second before D on, one from half a second after.
  for (const [name, at20, click] of [
    ['L.wav', -RATE, RATE + 1_000],
    ['R.wav', RATE / 2, 2_000],
  ] as const) {
    const sound = noise(3 * RATE, [click]);
    await writeFile(at('card', name), waveFile([bext(20 * hour + at20)], [], { sound }));
  }
  await manifestWith([
    'defaults: { targets: [intermediate-422-10, proxy-h264], soundFrom: timecode }',
    'clips:',
    '  - { file: D.mov, soundFrom: [L.wav, R.wav] }',
    ...FILES.map((file) => `  - { file: ${file} }`),
  ]);
}, 60_000);
afterAll(() => shop.close());

it('the plan says which file, where the clip lies in it, what is lost, and what does not overlap', async () => {
  const { stdout } = await shop.start(['plan', 'm.yaml', '--all']);
  const text = stdout.replaceAll(/\s+/g, ' ');
  expect(text).toContain('A.mov: the sound of T1.wav is laid in place of its own');
  expect(text).toContain('the clip begins 2.500 s (120,000 samples) into it; it covers the whole clip');
  expect(text).toContain('it begins 0.500 s (24,005 samples) after the clip; it covers 0.500 s of 2.000 s');
  expect(text).toContain('silence of 1.000 s at its end: T2.wav has no sound there');
  expect(text).toContain('the sound track of the clip is left out for T1.wav');
  expect(text).toContain('D.mov: the sound of L.wav is laid in place of its own');
  expect(text).toContain('silence of 0.500 s at its start: R.wav has no sound there');
  expect(text).toContain('the sound track of the clip is left out for L.wav and R.wav');
});

it('a click is at its sample in the copies, and they are held against the file it came from', async () => {
  const run = await shop.start(['run', 'm.yaml', '--out', 'out']);
  expect(run.stdout).toContain('8 of 8 fit to use');
  for (const [clip, clicks, samples] of [
    ['A', [0, 48_007], 96_000],
    ['B', [24_105], 96_000],
    // 50 frames last 80,080 samples.
    ['C', [0, 10_000], 80_080],
  ] as const) {
    const made = await samplesOf('out/intermediate-422-10', `${clip}.mov`);
    expect(clicksIn(made)).toEqual(clicks);
    expect(made).toHaveLength(samples);
    // Coded lossily a click spreads: its middle stays.
    const coded = clicksIn(await samplesOf('out/proxy-h264', `${clip}.mp4`));
    for (const click of clicks) expect(coded.some((sample) => Math.abs(sample - click) <= 2)).toBe(true);
  }
  // Each file is a channel of the proxy, in the order given; a track of its own where all are kept.
  for (const [channel, track, click] of [
    [0, 0, 1_000],
    [1, 1, RATE / 2 + 2_000],
  ] as const) {
    const coded = clicksIn(await channelOf('-af', `pan=mono|c0=c${channel}`, 'out/proxy-h264/D.mp4'));
    expect(coded.length).toBeGreaterThan(0);
    for (const at of coded) expect(Math.abs(at - click)).toBeLessThanOrEqual(2);
    const kept = await execa(
      'ffmpeg',
      [
        ...['-v', 'error', '-i', at('out/intermediate-422-10/D.mov')],
        ...['-map', `0:a:${track}`, '-f', 'f32le', '-'],
      ],
      { encoding: 'buffer' },
    );
    expect(clicksIn(new Float32Array(Uint8Array.from(kept.stdout).buffer))).toEqual([click]);
  }
  const report = await readFile(at('out/report.html'), 'utf8');
  expect(report).toContain('Sound recorded apart</h2>');
  expect(report.replaceAll(/<[^>]*>/g, ' ')).toMatch(
    /T3\.wav\s+\S*01:00:00;00|T3\.wav\s+00:59:58;\d\d\s+C\.mov\s+C\.mov/,
  );
  // Before and after T2 there is silence.
  const b = await samplesOf('out/intermediate-422-10/B.mov');
  const heard = [...b].flatMap((value, index) => (value === 0 ? [] : [index]));
  expect(heard[0]).toBeGreaterThanOrEqual(24_005);
  expect(heard.at(-1)).toBeLessThan(24_005 + RATE / 2);
  const verdict = verdictSchema.parse(
    JSON.parse(await readFile(at('out/verdicts/intermediate-422-10/A.mov.json'), 'utf8')),
  );
  const found = verdict.findings.filter(({ requirement }) => /same-sound|as-original/.test(requirement));
  expect(found.map(({ outcome }) => outcome)).toEqual(['pass', 'pass']);
  expect(found.map(({ measured }) => measured).join()).toContain('the sound of T1.wav, in step');
  const d = verdictSchema.parse(JSON.parse(await readFile(at('out/verdicts/proxy-h264/D.mp4.json'), 'utf8')));
  expect(d.findings.map(({ outcome, measured }) => `${outcome}: ${measured}`).join('\n')).toContain(
    'the sound of L.wav and R.wav, in step',
  );
}, 240_000);

it('a WAV that changed makes the copies of its clip anew, and no others', async () => {
  const sound = noise(6 * RATE, [120_500]);
  await writeFile(at('card/T1.wav'), waveFile([bext(36_000 * RATE - 120_000)], [], { sound }));
  await shop.start(['run', 'm.yaml', '--out', 'out']);
  expect(clicksIn(await samplesOf('out/intermediate-422-10/A.mov'))).toEqual([500]);
  const { clips } = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
  expect(clips.map(({ name, wasThere }) => [name, wasThere])).toEqual([
    ['D.mov', true],
    ['A.mov', false],
    ['B.mov', true],
    ['C.mov', true],
  ]);
}, 240_000);

it('a clip and a rule may name a file or keep their own; what cannot be laid is refused with a reason', async () => {
  // 24 whole frames a second against 30000/1001: an hour of labels differs by 3.6 s.
  await writeFile(
    at('card/T4.wav'),
    waveFile([bext(3600 * RATE), speed('24', 'NDF')], [], { samples: 96_000 }),
  );
  for (const name of ['E', 'F', 'G', 'H']) await copyFile(at('card/D.mov'), at('card', `${name}.mov`));
  await writeFile(at('card/T5.wav'), waveFile([bext(36_000 * RATE)], [], { samples: 96_000 }));
  await manifestWith([
    'defaults: { targets: [proxy-h264] }',
    'rules: [{ match: { file: "[ADEF].mov" }, set: { soundFrom: timecode } }]',
    'clips:',
    '  - { file: E.mov }\n  - { file: F.mov, soundFrom: timecode }\n  - { file: G.mov, soundFrom: A.mov }',
    '  - { file: H.mov, soundFrom: [T1.wav, gone.wav] }\n  - { file: gone.wav }',
    '  - { file: A.mov }',
    '  - { file: B.mov, soundFrom: T1.wav }',
    '  - { file: C.mov, soundFrom: T4.wav }',
    '  - { file: D.mov, soundFrom: null }',
    '  - { file: T1.wav }\n  - { file: T4.wav }\n  - { file: T5.wav }',
  ]);
  const { stdout } = await shop.start(['plan', 'm.yaml', '--all']);
  const text = stdout.replaceAll(/\s+/g, ' ');
  expect(text).toContain(
    'A.mov: for proxy-h264: 2 files of sound recorded apart overlap it in timecode: T1.wav, T5.wav',
  );
  expect(text).toContain(
    'the sound of T1.wav does not overlap it in timecode: it runs from 09:59:57:12 to 10:00:03:12',
  );
  expect(text).toContain(
    'T4.wav cannot be laid: its timecode counts 24 frames a second, that of the clip 30000/1001 frames a second with drop frame: they run apart',
  );
  // A rule or defaults hold for clips without such sound too; one that asks for it itself is refused.
  expect(text).toContain('E.mov: its own sound is kept: no sound recorded apart overlaps it in timecode');
  expect(text).toContain('F.mov: for proxy-h264: no sound recorded apart overlaps it in timecode');
  expect(text).toContain('G.mov: for proxy-h264: soundFrom: names A.mov, which has a picture');
  expect(text).toContain(
    'H.mov: for proxy-h264: the sound of gone.wav cannot be laid: there is no such file',
  );
  expect(text).toContain('2 clips, 2 outputs');
  // A list says the same, and comes back as it was.
  await shop.start(['scan', 'm.yaml', '-o', 'm.csv']);
  const csv = await readFile(at('m.csv'), 'utf8');
  expect(csv).toContain('A.mov,timecode,proxy-h264');
  expect(csv).toContain('H.mov,T1.wav|gone.wav,proxy-h264');
  expect(csv).toContain('D.mov,none,proxy-h264');
  await shop.start(['scan', 'm.csv', '-o', 'again.yaml']);
  const again = await shop.start(['plan', 'again.yaml', '--all']);
  // Nobody had scanned: in a list the wish of the rule is that of E itself, which is refused.
  expect(again.stdout.replaceAll('again-goodgate', 'm-goodgate')).toContain('1 clip, 1 output');
}, 120_000);
