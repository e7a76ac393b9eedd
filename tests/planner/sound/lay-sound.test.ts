import { expect, it } from 'vitest';
import type { ManifestClip, SoundFrom } from '../../../jobs/manifest/manifest.js';
import { type LayingWish, soundToLay } from '../../../planner/sound/lay-sound.js';
import { clipFacts, videoFacts } from '../make-facts.js';

/** A clip of four seconds from 10:00:00:00 on, which says that it was recorded on the evening of 10 March. */
const FACTS = {
  ...clipFacts(),
  video: videoFacts(),
  container: { ...clipFacts().container, tags: { creation_time: '2026-03-10T21:00:00.000000Z' } },
};

/** Mono sound of 4 s from this second of the day on. */
function sound(file: string, second: number, date?: string): ManifestClip {
  const facts = clipFacts(null);
  const [track] = facts.audio;
  if (track === undefined) throw new Error('a clip has sound');
  const timeReference = { samples: second * 48_000, sampleRate: 48_000 };
  const tags: Record<string, string> = date === undefined ? {} : { date, creation_time: '10:00:00' };
  const container = { ...facts.container, startTimecode: null, timeReference, tags };
  const audio = [{ ...track, stream: 0, channels: 1, layout: 'mono' }];
  return { file, facts: { ...facts, container, audio } };
}

function laid(from: SoundFrom, clips: readonly ManifestClip[], changes: Partial<LayingWish> = {}) {
  const found = soundToLay({
    ...{ from, isOwn: true, facts: FACTS, startTimecode: '10:00:00:00' },
    ...{ clips, kept: clips, unread: [], pathOf: (file) => `/card/${file}` },
    ...changes,
  });
  return found.ok
    ? { laid: found.laid?.map(({ name, from: at }) => `${name} ${at}`) ?? null, notes: found.notes }
    : { refused: found.reason, next: found.next };
}

const HOUR = 36_000;

it('a clip with a picture is no sound to lay, whatever its timecode', () => {
  expect(laid('b.mov', [{ file: 'b.mov', facts: FACTS }])).toEqual({
    refused: 'soundFrom: names b.mov, which has a picture: only sound recorded apart is laid',
    next: 'name a file of sound, or set soundFrom: null for this clip to use its own sound',
  });
});

it('a file that is gone since the scan is told as gone, by name and by timecode', () => {
  const unread = [{ clip: sound('s.wav', HOUR), reason: 'there is no such file' }];
  expect(laid('s.wav', [], { unread }).refused).toBe(
    'the sound of s.wav cannot be laid: there is no such file',
  );
  for (const isOwn of [true, false]) {
    expect(laid('timecode', [sound('far.wav', 0)], { unread, isOwn }).refused).toBe(
      'the sound of s.wav, which was recorded meanwhile, cannot be laid: there is no such file',
    );
  }
  // Nor is another one, that covers less, taken in its place.
  expect(laid('timecode', [sound('short.wav', HOUR + 2)], { unread }).refused).toContain('s.wav');
  expect(laid('timecode', [], { unread: [{ clip: sound('far.wav', 0), reason: 'gone' }] }).refused).toBe(
    'the manifest has no sound recorded apart',
  );
});

it('without sound in its time a clip keeps its own where defaults or a rule ask, and is named', () => {
  const far = [sound('far.wav', 0)];
  expect(laid('timecode', far, { isOwn: false })).toEqual({
    laid: null,
    notes: [
      'its own sound is kept: no sound recorded apart overlaps it in timecode; if that is wrong, name the file that belongs to it: soundFrom: FILE, or correct startTimecode',
    ],
  });
  expect(laid('timecode', far).refused).toBe('no sound recorded apart overlaps it in timecode');
  expect(laid('timecode', far, { isOwn: false, startTimecode: null }).notes?.[0]).toContain(
    'the clip has no start timecode',
  );
  const silent = { ...FACTS, audio: [] };
  expect(laid('timecode', far, { isOwn: false, facts: silent }).notes?.[0]).toContain(
    'it stays without sound: no sound recorded apart overlaps',
  );
  // Which of two is meant nobody can tell, whoever asked.
  const two = [sound('a.wav', HOUR), sound('b.wav', HOUR)];
  expect(laid('timecode', two, { isOwn: false }).refused).toContain('2 files of sound recorded apart');
});

it('sound of another day is not taken by timecode, and with a word of doubt where it is named', () => {
  const other = sound('wrong.wav', HOUR, '2026-03-14');
  const why = 'it says that it was recorded on 2026-03-14, the clip on 2026-03-10';
  expect(laid('timecode', [other]).refused).toBe(
    `no sound recorded apart overlaps it in timecode (wrong.wav: ${why})`,
  );
  // The right day's is then the only one.
  expect(laid('timecode', [other, sound('right.wav', HOUR, '2026-03-11')])).toEqual({
    ...{ laid: ['right.wav 0'], notes: [] },
  });
  expect(laid('wrong.wav', [other])).toEqual({
    ...{ laid: ['wrong.wav 0'], notes: [`look whether wrong.wav belongs to it: ${why}`] },
  });
});

it('several files are laid in the order given, each by its own time, at one sample rate', () => {
  const clips = [sound('a.wav', HOUR - 1), sound('b.wav', HOUR + 1)];
  expect(laid(['b.wav', 'a.wav'], clips)).toEqual({ laid: ['b.wav -48000', 'a.wav 48000'], notes: [] });
  const [first, second] = clips;
  if (first?.facts === undefined || second === undefined) throw new Error('two files');
  const audio = first.facts.audio.map((track) => ({ ...track, sampleRate: 96_000 }));
  const fast = { ...first, facts: { ...first.facts, audio } };
  expect(laid(['a.wav', 'b.wav'], [fast, second]).refused).toContain('they are no tracks of one take');
  expect(laid(['a.wav', 'c.wav'], clips).refused).toContain('names c.wav, which is not among the clips');
});
