import { MASTERING_TAG } from '../../../../jobs/plan/hdr-tags.js';
import { both, none } from '../changes.js';
import { type Change, measured, video } from '../measured.js';
import { describeRows, type Row } from '../rows.js';

const alpha = video({ pixelFormat: 'yuva444p12le' });
const noHdr: Change = (m) => {
  m.hdr = { mastering: null, lightLevel: null };
};
const noLightLevel: Change = (m) => {
  m.hdr.lightLevel = null;
};
/** P3-D65 display of 0.005 to 1000 cd/m2, in the units of ITU-T H.265 D.3.28 (0.00002 and 0.0001 cd/m2). */
const AS_TEXT = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)';
const tags =
  (found: Record<string, string>): Change =>
  (m) => {
    m.container.tags = found;
  };
const tracks =
  (...kinds: Measurement['otherStreams'][number]['kind'][]): Change =>
  (m) => {
    m.otherStreams = kinds.map((kind, i) => ({ stream: i + 2, kind, codec: 'x' }));
  };
const chapters =
  (count: number): Change =>
  (m) => {
    m.container.chapters = count;
  };
type Measurement = ReturnType<typeof measured>;

/** Changes to the copy, and its original. */
const PAIRS: readonly [string, object, readonly Change[], Measurement, Row[3]][] = [
  ['the same', {}, [], measured(), 'pass'],
  ['alpha kept', {}, [alpha], measured(alpha), 'pass'],
  ['alpha lost', {}, [], measured(alpha), 'fail'],
  ['alpha lost, not asked for', { alpha: false }, [], measured(alpha), 'pass'],
  ['alpha the original does not have', {}, [alpha], measured(), 'pass'],
  ['mastering display and light level lost', {}, [noHdr], measured(), 'fail'],
  ['the light level alone lost', {}, [noLightLevel], measured(), 'fail'],
  ['neither in the original', {}, [noHdr], measured(noHdr), 'pass'],
  [
    'kept as text',
    {},
    [noHdr, tags({ [MASTERING_TAG.toLowerCase()]: AS_TEXT })],
    measured(noLightLevel),
    'pass',
  ],
  [
    'kept as the text of another display',
    {},
    [noHdr, tags({ [MASTERING_TAG.toLowerCase()]: AS_TEXT.replace('50)', '1)') })],
    measured(noLightLevel),
    'fail',
  ],
  ['changing HDR metadata lost', {}, [], measured(video({ dynamicHdr: ['SMPTE ST 2094-40'] })), 'fail'],
  ['ICC profile lost', {}, [], measured(video({ iccProfile: true })), 'fail'],
  ['captions in the picture lost', {}, [], measured(video({ captions: true })), 'fail'],
  ['second picture lost', {}, [], measured(tracks('picture')), 'fail'],
  [
    'one of two subtitles lost',
    {},
    [tracks('subtitles')],
    measured(tracks('subtitles', 'subtitles')),
    'fail',
  ],
  ['subtitles kept', {}, [tracks('subtitles')], measured(tracks('subtitles')), 'pass'],
  ['data lost', {}, [], measured(tracks('data')), 'fail'],
  ['data lost, not asked for', { tracks: false }, [], measured(tracks('data')), 'pass'],
  ['a cover lost', {}, [], measured(tracks('cover')), 'pass'],
  ['timecode without a track of its own', {}, [], measured(tracks('timecode')), 'pass'],
  [
    'two tracks of timecode become one',
    {},
    [tracks('timecode')],
    measured(tracks('timecode', 'timecode')),
    'fail',
  ],
  ['chapters lost', {}, [chapters(1)], measured(chapters(2)), 'fail'],
  ['a comment lost', {}, [], measured(tags({ comment: 'x' })), 'fail'],
  ['a comment changed', {}, [tags({ comment: 'y' })], measured(tags({ comment: 'x' })), 'fail'],
  ['a comment kept', {}, [tags({ comment: 'x', more: '1' })], measured(tags({ comment: 'x' })), 'pass'],
  [
    'nothing asked for',
    { alpha: false, hdr: false, tracks: false, chapters: false, metadata: false },
    [noHdr],
    measured(alpha),
    'pass',
  ],
];

describeRows('carried', [
  ['no original to hold it against', {}, none, 'unmeasured'],
  ...PAIRS.map(
    ([what, limits, changes, original, outcome]): Row => [what, limits, both(...changes), outcome, original],
  ),
]);
