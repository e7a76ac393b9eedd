import { describe, expect, it } from 'vitest';
import { FLASH_CAUTION } from '../../../jobs/measurement/measured-flashes.js';
import { renderMeasurement } from '../../../workers/report/html/pages/render-measurement.js';
import { measuredGroups } from '../../../workers/report/measured-rows/measured-groups.js';
import { type Change, measured, noVideo, sound, TRACK, there } from '../judge/measured.js';
import { CHANNEL, CONTENT, PAIR, quietAt } from '../judge/measured-sound.js';
import { everything } from './measured-everything.js';

/** What a row says; undefined where there is no such row. */
function row(group: string, label: string, m = everything()): string | undefined {
  return measuredGroups(m)
    .find(({ title }) => title === group)
    ?.rows.find(([name]) => name === label)?.[1];
}

describe('what happens in the picture', () => {
  it.each([
    ['Over time', 'Black', '11 frames in 1 place, first at 10:00:01:05 (frame 30)'],
    ['Over time', 'One colour', 'none'],
    [
      'Over time',
      'Stands still',
      '60 frames in 1 place, first at 10:00:02:10 (frame 60); changes below -60 dB',
    ],
    [
      'Over time',
      'Repeated frames',
      '2 frames in 2 places, first at 10:00:05:05 (frame 130); in step in 1 place, first at 10:00:06:00 (frame 150)',
    ],
    ['Over time', 'Lost frames', 'none'],
    ['Over time', 'Cuts', '7; shots of fewer than 12 frames: 1, first at 10:00:07:05 (frame 180)'],
    // 1920 / 804 = 2.388: a picture of 2.39:1.
    [
      'Over time',
      'Active picture',
      '1920 x 804 at 0, 138 (2.39:1 in samples); another one: 20 frames in 1 place, first at 10:00:08:00 (frame 200)',
    ],
    ['Over time', 'Blank edges', '4 frames in 1 place, first at 10:00:08:22 (frame 222); at most 3 lines'],
    ['Picture', 'Scan', 'progressive declared, interlaced-tff as it moves'],
    ['Picture', 'Combed', '12 frames in 1 place, first at 10:00:00:12 (frame 12), worst frame 13 (25 %)'],
    ['Picture', 'Cadence', '2:3 (not for sure), 1 break, first at 10:00:04:00 (frame 100)'],
    ['Picture', 'Raster', '1920 x 1080, square pixels; detail as of 1280 x 720 (not for sure)'],
    ['Picture', 'Chroma', '4:2:2 declared, 4:2:2 in use'],
    ['Light', 'Without bars', 'MaxFALL 240 cd/m² (frame 31)'],
    ['Light', 'Above its peak', '3 frames, first at 10:00:01:05 (frame 30)'],
    ['Exposure', 'Median', '-1.3 stops from 18 % grey'],
    ['Exposure', 'Advice, no verdict', 'Look at the shadows before lifting them.'],
  ])('%s, %s', (group, label, text) => {
    expect(row(group, label)).toBe(text);
  });
});

describe('flashes', () => {
  it('over the limit are told first, with the worst second', () => {
    expect(row('Flashes', 'Light')).toBe(
      'MORE THAN 3 IN A SECOND in 1 place, first at 10:00:01:00 (frame 25); worst second 4.5 flashes from 10:00:01:00 (frame 25), at most 50 % to 51 % of the screen at once; too near 25 % of the screen to tell in 1 place, first at 10:00:02:00 (frame 50); places that change out of step with one another, not judged, in 1 place, first at 10:00:03:00 (frame 75)',
    );
    expect(row('Flashes', 'Saturated red')).toBe('no flash over more than 25 % of the screen');
  });
  it('never come without the caution, what was not looked for, and what may be a risk', () => {
    expect(row('Flashes', 'Caution')).toBe(FLASH_CAUTION);
    expect(row('Flashes', 'Not looked for')).toContain('patterns');
    expect(row('Flashes', 'Longer than 5 s')).toContain('may be a risk all the same');
    expect(row('Flashes', 'Not measured')).toContain('finer than 8 pixels');
  });
  it('that were not screened are never shown as none', () => {
    const gone: Change = (m) => {
      m.flashes = null;
    };
    const refused: Change = (m) => m.unmeasured.push({ what: 'flashes', why: 'a thread died' });
    expect(row('Flashes', 'Screening', everything(gone))).toBe(
      'does not apply: no display shows this picture as it is',
    );
    expect(row('Flashes', 'Screening', everything(gone, refused))).toBe('not measured');
    expect(row('Flashes', 'Light', everything(gone))).toBeUndefined();
  });
});

describe('the file around the picture', () => {
  it.each<[string, string, Change, string]>([
    ['File', 'Edit lists', () => {}, 'shift and hide nothing'],
    [
      'File',
      'Edit lists',
      (m) => {
        there(m.wrapper, 'wrapper').tracks.splice(0, 1, {
          ...TRACK,
          startSeconds: 0.04,
          edits: [
            { seconds: 0.04, mediaStartSeconds: null, rate: 1 },
            { seconds: 9.92, mediaStartSeconds: 0.08, rate: 1 },
          ],
        });
      },
      'video: begins at 0.040 s, its first 0.080 s are not presented',
    ],
    [
      'File',
      'Timecode',
      (m) =>
        there(m.wrapper?.timecode, 'track of timecode').jumps.push({
          frame: 50,
          expected: 900_050,
          found: 900_060,
        }),
      'starts at 10:00:00:00; track at 25/1, non-drop frame, 250 frames, 1 jump, first before frame 50',
    ],
    ['Coding of the picture', 'Group of pictures', () => {}, '12 frames, closed'],
    ['Coding of the picture', 'Bit rate', () => {}, '50 Mbit/s, 60 Mbit/s in the worst second'],
    [
      'Coding of the picture',
      'Layers differ',
      (m) => {
        there(m.layers.bitstream, 'layer of the bitstream').scan = 'interlaced-tff';
      },
      'scan progressive in the container, interlaced-tff in the bitstream',
    ],
  ])('%s, %s', (group, label, change, text) => {
    expect(row(group, label, measured(change))).toBe(text);
  });
  it('has no row for layers that agree', () => {
    expect(row('Coding of the picture', 'Layers differ', measured())).toBeUndefined();
  });
  it('without a picture has no groups of it', () => {
    expect(measuredGroups(measured(noVideo)).map(({ title }) => title)).not.toContain('Flashes');
    expect(row('Picture', 'Picture', measured(noVideo))).toBe('none');
  });
});

/** A fragmented MP4 with AAC: 1,024 samples before the sound, that the edit list hides and ffmpeg decodes. */
const hiddenLeadIn: Change = (m) => {
  sound({ startSeconds: -1024 / 48_000 })(m);
  const track = m.wrapper?.tracks.find(({ kind }) => kind === 'audio');
  Object.assign(there(track, 'sound track'), {
    startSeconds: 0,
    edits: [{ seconds: null, mediaStartSeconds: 1024 / 48_000, rate: 1 }],
  });
};

describe('sound', () => {
  const stream = 'Sound, stream 1';
  it.each<[string, Change, string]>([
    ['Format', sound({}), 'pcm_s24le, stereo, 48000 Hz, 24 bits (24 in use)'],
    [
      'Format',
      sound({ content: { ...CONTENT, channels: [{ ...CHANNEL, usedBits: 16 }] } }),
      'pcm_s24le, stereo, 48000 Hz, 24 bits (16 in use)',
    ],
    ['Length', sound({ startSeconds: 0.02 }), '10.0 s, begins 0.020 s after the picture'],
    ['Length', sound({ startSeconds: -0.5 }), '10.0 s, begins 0.500 s before the picture'],
    [
      'Length',
      hiddenLeadIn,
      '10.0 s, begins with the picture, after 0.021 s that its edit list hides and that are measured too',
    ],
    [
      'Silence',
      sound({ content: { ...CONTENT, quiet: quietAt(-60, [1, 3.5], [7, 8]) } }),
      'at or below -60 dBFS: 2 runs, longest 2.500 s at 1.000 s; zeros: none',
    ],
    [
      'Clipping',
      sound({
        content: {
          ...CONTENT,
          channels: [
            {
              ...CHANNEL,
              clipping: { runs: 2, samples: 9, longest: 5, places: [{ from: 96_000, to: 96_100, runs: 2 }] },
            },
          ],
        },
      }),
      '2 runs of 3 and more full-scale samples, longest 5, first at 2.000 s',
    ],
    ['Phase', sound({}), 'FL and FR: correlation +0.60, lowest in 400 ms -0.20; mono loses 0.97 dB'],
    [
      'Phase',
      sound({ content: { ...CONTENT, pairs: [{ ...PAIR, correlation: null }] } }),
      'FL and FR: one of them is silent',
    ],
    [
      'Phase',
      sound({ content: { ...CONTENT, pairs: null } }),
      'which channels are a left and a right one is not stated',
    ],
    ['The same sound', sound({ content: { ...CONTENT, identical: [{ first: 0, second: 1 }] } }), 'FL and FR'],
    ['DC offset', sound({}), '0.02 % of full scale'],
    ['Channels', sound({ content: null }), 'not measured'],
    ['Programme loudness', sound({ integratedLufs: null }), 'none'],
    [
      'Dialogue level stated',
      sound({
        codedLoudness: {
          kind: 'dialnorm',
          levels: [
            { level: -23, frames: 1200 },
            { level: -27, frames: 1 },
          ],
          reservedFrames: 2,
        },
      }),
      '-23 dB in 1,200 frames, -27 dB in 1 frame, none in 2 frames',
    ],
  ])('%s', (label, change, text) => {
    expect(row(stream, label, measured(change))).toBe(text);
  });
});

describe('in a page', () => {
  const { markup } = renderMeasurement(everything());

  it.each(['1920 × 1080', '240\u00a0cd/m²', '−1.3 stops', '10:00:01:05 (frame 30)', FLASH_CAUTION])(
    'stands %s',
    (text) => {
      expect(markup).toContain(text);
    },
  );
  it('every row of every group, once', () => {
    const rows = measuredGroups(everything()).flatMap((group) => group.rows);
    // The size of the file is the page's own row.
    expect(markup.match(/<th scope="row">/g)?.length).toBe(rows.length + 1);
    expect(markup).not.toContain('cd/m2');
  });
});
