import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { waveFacts } from '../../../../workers/probe/wave/wave-facts.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { bext, type Chunk, ixml, waveFile } from '../../../media/wave.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

async function factsOf(file: Buffer, sampleRate = 48_000) {
  const path = join(folder.path, 'a.wav');
  await writeFile(path, file);
  const found = await waveFacts(path, sampleRate);
  if (found === null) throw new Error('no WAVE');
  return found;
}

const speed = (rate: string, flag: string, more = ''): string =>
  `<SPEED><NOTE>of the speed</NOTE><TIMECODE_RATE>${rate}</TIMECODE_RATE><TIMECODE_FLAG>${flag}</TIMECODE_FLAG>${more}</SPEED>`;

describe('a time reference is a start timecode', () => {
  // Frames of an hour (SMPTE ST 12-1): 90,000 at 25; 86,400 non-drop at 24000/1001; 108,000 non-drop and
  // 107,892 drop at 30000/1001. An hour of labels then takes frames x den / num seconds.
  it.each([
    ['25/1', 'NDF', 36_000 * 48_000, 48_000, '10:00:00:00'],
    ['25/1', 'NDF', 36_000 * 48_000 + 1918, 48_000, '10:00:00:00'],
    ['25/1', 'NDF', 36_000 * 48_000 + 1920, 48_000, '10:00:00:01'],
    ['24000/1001', 'NDF', (86_400 * 1001 * 48_000) / 24_000, 48_000, '01:00:00:00'],
    ['30000/1001', 'NDF', (108_000 * 1001 * 96_000) / 30_000, 96_000, '01:00:00:00'],
    // 172,799,827.2 samples, which a recorder rounds.
    ['30000/1001', 'DF', Math.floor((107_892 * 1001 * 48_000) / 30_000), 48_000, '01:00:00;00'],
    // Drop frame is no count of 25: the flag is wrong, the rate is not.
    ['25', 'DF', 48_000, 48_000, '00:00:01:00'],
    // As decimals: 00:00:01:00 begins at frame 24, 30 and 60 of the day, 1001/1000 s after midnight.
    ['23.976', 'NDF', 48_048, 48_000, '00:00:01:00'],
    ['23,98', 'ndf', 48_048, 48_000, '00:00:01:00'],
    ['29.97', 'DF', 48_048, 48_000, '00:00:01;00'],
    ['2997/100', 'NDF', 48_048, 48_000, '00:00:01:00'],
    ['59.94', 'NDF', 48_048, 48_000, '00:00:01:00'],
    ['47.952', 'NDF', 48_048, 48_000, '00:00:01:00'],
    ['25.000', 'NDF', 48_000, 48_000, '00:00:01:00'],
    // Nothing is said of it.
    ['', '', 48_000, 48_000, null],
  ])('%s %s, sample %i at %i Hz: %s', async (rate, flag, samples, sampleRate, timecode) => {
    const file = waveFile([bext(samples)], [ixml(speed(rate, flag))], { sampleRate });
    expect(await factsOf(file, sampleRate)).toMatchObject({
      startTimecode: timecode,
      timeReference: { samples, sampleRate },
      notes: [],
    });
  });

  it.each([
    ['30000/1001', '', 'neither DF nor NDF'],
    ['29.97', 'drop', 'neither DF nor NDF'],
    ['12.5', 'NDF', '"12.5" frames a second'],
    ['23.9', 'NDF', '"23.9" frames a second'],
    ['film', 'NDF', '"film" frames a second'],
  ])('not where iXML says %s and %s, and a note says why', async (rate, flag, why) => {
    const found = await factsOf(waveFile([bext(48_000)], [ixml(speed(rate, flag))]));
    expect(found).toMatchObject({ startTimecode: null, timeReference: { samples: 48_000 } });
    expect(found.notes).toEqual([expect.stringContaining(why)]);
  });

  it('of iXML where bext has none, in samples of the rate it states', async () => {
    const stamp =
      '<TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>1</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI><TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>0</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO><TIMESTAMP_SAMPLE_RATE>96000</TIMESTAMP_SAMPLE_RATE>';
    const found = await factsOf(waveFile([bext(0), ixml(speed('24/1', 'NDF', stamp))]));
    // 2^32 samples at 96 kHz: 44,739.24 s, 12:25:39 and 5 frames of 24.
    expect(found).toMatchObject({ startTimecode: '12:25:39:05', timeReference: { samples: 2 ** 32 } });
  });

  it('not a zero that nothing else says, nor what is no time of a day; bext goes before iXML', async () => {
    expect(await factsOf(waveFile([bext(0), ixml(speed('25/1', 'NDF'))]))).toMatchObject({
      ...{ startTimecode: null, timeReference: undefined, notes: [] },
    });
    for (const samples of [86_400 * 48_000, 2n ** 64n - 1n]) {
      const found = await factsOf(waveFile([bext(samples), ixml(speed('25/1', 'NDF'))]));
      expect(found).toMatchObject({ startTimecode: null, timeReference: undefined });
    }
    const stamp = '<TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>96000</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>';
    const two = await factsOf(waveFile([bext(48_000), ixml(speed('25/1', 'NDF', stamp))]));
    expect(two.startTimecode).toBe('00:00:01:00');
    expect(two.notes.join()).toContain('48000 in bext and 96000 in iXML');
  });
});

describe('scene, take, reel and note', () => {
  const words = '<PROJECT>x</PROJECT><TAPE>21Y06</TAPE><SCENE>12A &amp; B</SCENE><TAKE><![CDATA[3]]></TAKE>';
  it.each([
    ['RIFF', 'before the sound'],
    ['RF64', 'behind it'],
    ['BW64', 'behind it'],
  ])('of %s, in a chunk %s', async (form, place) => {
    const chunk = ixml(`${words}<NOTE> wind </NOTE>${speed('25/1', 'NDF')}`);
    const odd: Chunk = { id: 'junk', data: Buffer.alloc(3) };
    const file =
      place === 'behind it'
        ? waveFile([odd, bext(48_000)], [odd, chunk], { form })
        : waveFile([chunk, bext(48_000)]);
    expect(await factsOf(file)).toEqual({
      ...{ startTimecode: '00:00:01:00', reel: '21Y06', notes: [] },
      timeReference: { samples: 48_000, sampleRate: 48_000, frameRate: '25/1', dropFrame: false },
      slate: { scene: '12A & B', take: '3', note: 'wind' },
    });
  });

  it('of UTF-16 with its mark, padded with zeros; the first of two counts', async () => {
    const text = `\uFEFF<BWFXML><SCENE>Süd</SCENE><SCENE>2</SCENE></BWFXML>\0\0`;
    const found = await factsOf(waveFile([{ id: 'iXML', data: Buffer.from(text, 'utf16le') }]));
    expect(found.slate).toEqual({ scene: 'Süd', take: null, note: null });
  });

  const bomb = `<?xml version="1.0"?><!DOCTYPE b [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><BWFXML><SCENE>&b;</SCENE></BWFXML>`;
  it.each<readonly [string, Chunk, string]>([
    ['a document type with entities', { id: 'iXML', data: Buffer.from(bomb) }, 'document type'],
    ['an entity of its own', ixml('<SCENE>&b;</SCENE>'), 'cannot be read'],
    ['an end that is missing', { id: 'iXML', data: Buffer.from('<BWFXML><SCENE>1') }, 'cannot be read'],
    ['another document', { id: 'iXML', data: Buffer.from('<html/>') }, 'begins with <html>'],
    ['no text at all', { id: 'iXML', data: Buffer.alloc(100) }, 'cannot be read'],
    ['a hundred elements deep', ixml(`${'<A>'.repeat(100)}${'</A>'.repeat(100)}`), '32 elements deep'],
    ['more than a megabyte', ixml(`<SCENE>1</SCENE>${' '.repeat(1 << 20)}`), 'not read'],
    ['a size beyond the end of the file', { ...ixml(words), size: 2 ** 31 }, 'states 2147483648 bytes'],
    ['a short bext', { id: 'bext', data: Buffer.alloc(100) }, 'bext is too short'],
  ])('%s: a note, and nothing of it is believed', async (_, chunk, note) => {
    const found = await factsOf(waveFile([], [chunk]));
    expect(found).toMatchObject({ startTimecode: null, reel: null, slate: undefined });
    expect(found.notes.join()).toContain(note);
  });

  it('long names and texts cost no more than their length', async () => {
    const name = `A${'b'.repeat(200_000)}`;
    const inside = `<${name}>${'<a/>'.repeat(100_000)}</${name}><SCENE>${'s'.repeat(200_000)}</SCENE>`;
    expect((await factsOf(waveFile([ixml(inside)]))).slate?.scene).toBe('s'.repeat(1_000));
  });
});

it('sizes that lead nowhere end the reading, and what is no WAVE gives nothing', async () => {
  const endless = waveFile([], [{ id: 'junk', data: Buffer.alloc(0), size: 0xffff_fffe }, bext(48_000)]);
  expect(await factsOf(endless)).toMatchObject({ startTimecode: null });
  const many = waveFile([], [...Array(5_000).fill({ id: 'junk', data: Buffer.alloc(0) }), bext(48_000)]);
  expect(await factsOf(many)).toMatchObject({ startTimecode: null });
  const path = join(folder.path, 'b.wav');
  await writeFile(path, 'RIFF');
  expect(await waveFacts(path, 48_000)).toBeNull();
});
