import { describe, expect, it } from 'vitest';
import type { CodedLoudness } from '../../../jobs/measurement/measured-sound.js';
import {
  REQUIREMENT_NAMES,
  type RequirementName,
  requirementSet,
} from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { judge } from '../../../workers/judge/judge.js';
import { REQUIREMENTS } from '../../../workers/judge/requirements.js';
import type { JudgeContext } from '../../../workers/judge/ruling.js';
import { CONTAINER_ROWS, TIMECODE_TRACK_ROWS } from './container-rows.js';
import { FIELD_ROWS } from './field-rows.js';
import { FLASH_ROWS } from './flash-rows.js';
import {
  type Change,
  measured,
  noLevels,
  noLuminance,
  noSound,
  note,
  noVideo,
  SOUND,
  sound,
  video,
} from './measured.js';
import { AUDIO_FORM_CASES, SOUND_CASES } from './sound-cases.js';
import { TEMPORAL_ROWS } from './temporal-rows.js';

/** The finding on one requirement: limits as a target document writes them. */
function ruled(
  name: RequirementName,
  limits: object,
  changes: readonly Change[],
  context: JudgeContext = {},
): Finding {
  const require = requirementSet.parse({ [name]: limits });
  const verdict = judge(measured(...changes), { name: 't', require }, context);
  const finding = verdict.findings.find(({ requirement }) => requirement === name);
  if (finding === undefined) throw new Error(`${name} was not answered`);
  return finding;
}

type Row = readonly [what: string, limits: object, change: Change, outcome: Finding['outcome']];
const none: Change = () => {};

/** Just inside, just outside, and missing, for every requirement. */
const CASES: Readonly<Record<RequirementName, readonly Row[]>> = {
  decode: [
    ['no error', {}, none, 'pass'],
    ['one error', {}, (m) => Object.assign(m.decode, { errors: 1, messages: ['bad slice'] }), 'fail'],
    ['errors the target allows', { maxErrors: 2 }, (m) => Object.assign(m.decode, { errors: 2 }), 'warn'],
    ['one more than allowed', { maxErrors: 2 }, (m) => Object.assign(m.decode, { errors: 3 }), 'fail'],
    [
      'truncated, whatever is allowed',
      { maxErrors: 9, severity: 'warn' },
      (m) => Object.assign(m.decode, { truncated: true }),
      'fail',
    ],
    [
      'errors, whatever the severity',
      { severity: 'warn' },
      (m) => Object.assign(m.decode, { errors: 1 }),
      'fail',
    ],
    ['nothing came out', {}, (m) => Object.assign(m, { video: null, audio: [] }), 'fail'],
    ['sound alone, whole', {}, noVideo, 'pass'],
    [
      'sound alone, not one sample',
      {},
      (m) => Object.assign(m, { video: null, audio: [{ ...SOUND, samples: 0 }] }),
      'fail',
    ],
    ['picture alone, whole', {}, noSound, 'pass'],
    ['sound, but not one frame', {}, video((v) => Object.assign(v, { frames: 0 })), 'fail'],
    ['picture, but one stream without a sample', {}, sound({}, { samples: 0 }), 'warn'],
    [
      'picture, but sound not measured',
      {},
      (m) => {
        sound({ samples: 0 })(m);
        note('audio[0]')(m);
      },
      'pass',
    ],
  ],
  container: [
    ['mov named .mov', { is: ['mov'] }, none, 'pass'],
    ['mov where mp4 is wanted', { is: ['mp4'] }, none, 'fail'],
    ['mov or mp4 wanted', { is: ['mov', 'mp4'] }, (m) => Object.assign(m.file, { path: '/x' }), 'pass'],
    [
      'mov or mp4, its name says neither',
      { is: ['mov'] },
      (m) => Object.assign(m.file, { path: '/x.part' }),
      'unmeasured',
    ],
    ['mkv', { is: ['mkv'] }, (m) => Object.assign(m.container, { format: 'matroska,webm' }), 'pass'],
    ['another format', { is: ['mov'] }, (m) => Object.assign(m.container, { format: 'avi' }), 'fail'],
    [
      'mxf where mov is wanted, named .mov',
      { is: ['mov'] },
      (m) => Object.assign(m.container, { format: 'mxf' }),
      'fail',
    ],
  ],
  'video-codec': [
    ['the codec', { is: ['prores'] }, none, 'pass'],
    ['one of several codecs', { is: ['h264', 'prores'] }, none, 'pass'],
    ['one of several profiles', { is: ['prores'], profiles: ['4444', 'HQ'] }, none, 'pass'],
    ['its profile, written otherwise', { is: ['prores'], profiles: ['hq'] }, none, 'pass'],
    ['another codec', { is: ['h264', 'hevc'] }, none, 'fail'],
    ['another profile', { is: ['prores'], profiles: ['4444'] }, none, 'fail'],
    ['a profile that only begins alike', { is: ['prores'], profiles: ['HQ Intra'] }, none, 'fail'],
    [
      'no profile stated',
      { is: ['prores'], profiles: ['HQ'] },
      video((v) => Object.assign(v, { profile: null })),
      'fail',
    ],
    [
      'the trade name of a codec',
      { is: ['cineform'] },
      video((v) => Object.assign(v, { codec: 'cfhd' })),
      'pass',
    ],
    ['no picture', { is: ['prores'] }, noVideo, 'fail'],
  ],
  raster: [
    ['exact', { width: 1920, height: 1080 }, none, 'pass'],
    [
      'one line more',
      { width: 1920, height: 1080 },
      video((v) => Object.assign(v, { height: 1081 })),
      'fail',
    ],
    [
      'one column less',
      { width: 1920, height: 1080 },
      video((v) => Object.assign(v, { width: 1919 })),
      'fail',
    ],
    ['mirrored', { width: 1920, height: 1080 }, video((v) => Object.assign(v, { mirrored: true })), 'fail'],
    ['turned', { width: 1920, height: 1080 }, video((v) => Object.assign(v, { rotation: -90 })), 'fail'],
    [
      'turned all the way',
      { width: 1920, height: 1080 },
      video((v) => Object.assign(v, { rotation: 360 })),
      'pass',
    ],
    ['no picture', { width: 1920, height: 1080 }, noVideo, 'fail'],
  ],
  'sample-aspect': [
    ['square', {}, none, 'pass'],
    ['the same in other numbers', { is: '2/2' }, none, 'pass'],
    ['not square', {}, video((v) => Object.assign(v, { sampleAspect: '16/15' })), 'fail'],
    ['not stated', {}, video((v) => Object.assign(v, { sampleAspect: null })), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'frame-rate': [
    ['exact', { is: ['25'] }, none, 'pass'],
    ['one of several', { is: ['24/1', '25/1'] }, none, 'pass'],
    [
      '29.97 is not 30',
      { is: ['30/1'] },
      video((v) => Object.assign(v, { frameRate: '30000/1001' })),
      'fail',
    ],
    [
      '2997/100 is not 30000/1001',
      { is: ['30000/1001'] },
      video((v) => Object.assign(v, { frameRate: '2997/100' })),
      'fail',
    ],
    ['not stated', { is: ['25'] }, video((v) => Object.assign(v, { frameRate: null })), 'unmeasured'],
    ['no picture', { is: ['25'] }, noVideo, 'fail'],
  ],
  'constant-rate': [
    ['constant', {}, none, 'pass'],
    ['not constant', {}, video((v) => Object.assign(v, { constantRate: false })), 'fail'],
    ['not known', {}, video((v) => Object.assign(v, { constantRate: null })), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  scan: [
    ['as wanted', { is: ['progressive'] }, none, 'pass'],
    [
      'the other field first',
      { is: ['interlaced-tff'] },
      video((v) => Object.assign(v, { scan: 'interlaced-bff' })),
      'fail',
    ],
    ['not stated', { is: ['progressive'] }, video((v) => Object.assign(v, { scan: null })), 'unmeasured'],
    ['no picture', { is: ['progressive'] }, noVideo, 'fail'],
  ],
  'bit-depth': [
    ['declared', { declared: 10 }, none, 'pass'],
    ['one of several', { declared: [10, 12] }, none, 'pass'],
    ['fewer', { declared: 10 }, video((v) => Object.assign(v.bitDepth, { declared: 8 })), 'fail'],
    ['more', { declared: 10 }, video((v) => Object.assign(v.bitDepth, { declared: 12 })), 'fail'],
    ['all used', { declared: 10, effective: 10 }, none, 'pass'],
    [
      '8 bits dressed as 10',
      { declared: 10, effective: 10 },
      video((v) => Object.assign(v.bitDepth, { effective: 8 })),
      'fail',
    ],
    [
      'one bit short',
      { declared: 10, effective: 10 },
      video((v) => Object.assign(v.bitDepth, { effective: 9 })),
      'fail',
    ],
    [
      'use not known',
      { declared: 10, effective: 10 },
      video((v) => Object.assign(v.bitDepth, { effective: null })),
      'unmeasured',
    ],
    [
      'use not sure',
      { declared: 10, effective: 10 },
      video((v) => Object.assign(v.bitDepth, { confidence: 'low' })),
      'unmeasured',
    ],
    ['use doubted', { declared: 10, effective: 10 }, note('video.bitDepth'), 'unmeasured'],
    [
      'no proof asked for: use not known',
      { declared: 10, effective: 10, proof: false },
      video((v) => Object.assign(v.bitDepth, { effective: null, confidence: 'low' })),
      'pass',
    ],
    [
      'no proof asked for: 8 bits seen',
      { declared: 10, effective: 10, proof: false },
      video((v) => Object.assign(v.bitDepth, { effective: 8 })),
      'fail',
    ],
    [
      'no proof asked for: 8 bits, not sure',
      { declared: 10, effective: 10, proof: false },
      video((v) => Object.assign(v.bitDepth, { effective: 8, confidence: 'low' })),
      'unmeasured',
    ],
    [
      'no proof asked for: picture not read',
      { declared: 10, effective: 10, proof: false },
      noLevels,
      'unmeasured',
    ],
    [
      'no proof asked for: picture doubted',
      { declared: 10, effective: 10, proof: false },
      note('levels'),
      'unmeasured',
    ],
    ['no picture', { declared: 10 }, noVideo, 'fail'],
  ],
  chroma: [
    ['as wanted', { declared: ['4:2:2'] }, none, 'pass'],
    [
      'less',
      { declared: ['4:2:2', '4:4:4'] },
      video((v) => Object.assign(v.chroma, { declared: '4:2:0' })),
      'fail',
    ],
    [
      'without a name',
      { declared: ['4:2:2'] },
      video((v) => Object.assign(v.chroma, { declared: null })),
      'unmeasured',
    ],
    ['no picture', { declared: ['4:2:2'] }, noVideo, 'fail'],
  ],
  colour: [
    ['all four', PQ(), none, 'pass'],
    ['other primaries', PQ(), video((v) => Object.assign(v.colour, { primaries: 'bt709' })), 'fail'],
    ['other transfer', PQ(), video((v) => Object.assign(v.colour, { transfer: 'arib-std-b67' })), 'fail'],
    ['other matrix', PQ(), video((v) => Object.assign(v.colour, { matrix: 'bt709' })), 'fail'],
    ['other range', PQ(), video((v) => Object.assign(v.colour, { range: 'full' })), 'fail'],
    ['primaries not stated', PQ(), video((v) => Object.assign(v.colour, { primaries: null })), 'fail'],
    [
      'transfer unspecified',
      PQ(),
      video((v) => Object.assign(v.colour, { transfer: 'unspecified' })),
      'fail',
    ],
    ['matrix not stated', PQ(), video((v) => Object.assign(v.colour, { matrix: null })), 'fail'],
    ['range not stated', PQ(), video((v) => Object.assign(v.colour, { range: null })), 'fail'],
    ['no picture', PQ(), noVideo, 'fail'],
  ],
  'colour-layers': [
    ['agree where both speak', {}, none, 'pass'],
    [
      'differ in one tag',
      {},
      video((v) => Object.assign(v.colourByLayer.bitstream ?? {}, { transfer: 'bt709' })),
      'fail',
    ],
    ['one layer silent', {}, video((v) => Object.assign(v.colourByLayer, { bitstream: null })), 'unmeasured'],
    [
      'one layer silent, no proof asked for',
      { proof: false },
      video((v) => Object.assign(v.colourByLayer, { bitstream: null })),
      'pass',
    ],
    [
      'differ in one tag, no proof asked for',
      { proof: false },
      video((v) => Object.assign(v.colourByLayer.bitstream ?? {}, { matrix: 'bt709' })),
      'fail',
    ],
    [
      'no tag in both, no proof asked for',
      { proof: false },
      video((v) =>
        Object.assign(v.colourByLayer.container ?? {}, { primaries: null, transfer: null, matrix: null }),
      ),
      'pass',
    ],
    [
      'no tag in both',
      {},
      video((v) =>
        Object.assign(v.colourByLayer.container ?? {}, {
          primaries: 'unknown',
          transfer: null,
          matrix: 'unspecified',
        }),
      ),
      'unmeasured',
    ],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'signal-range': [
    ['nothing outside', {}, none, 'pass'],
    ['1 % exactly', {}, gamutError(0.01), 'pass'],
    ['a little more than 1 %', {}, gamutError(0.010_001), 'fail'],
    ['a limit of its own', { maxArea: 0.1 }, gamutError(0.099), 'pass'],
    ['no levels', {}, noLevels, 'unmeasured'],
    ['levels doubted', {}, note('levels'), 'unmeasured'],
    ['another figure doubted', {}, note('levels.looksFullRange'), 'pass'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'reserved-codes': [
    ['none', {}, none, 'pass'],
    [
      'one sample',
      {},
      (m) => Object.assign(m.levels?.reservedCodes ?? {}, { samples: 1, firstFrame: 7 }),
      'fail',
    ],
    ['no levels', {}, noLevels, 'unmeasured'],
    ['doubted', {}, note('levels.reservedCodes'), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'range-flag': [
    ['agree', {}, none, 'pass'],
    ['full picture, narrow flag', {}, (m) => Object.assign(m.levels ?? {}, { looksFullRange: true }), 'fail'],
    ['narrow picture, full flag', {}, video((v) => Object.assign(v.colour, { range: 'full' })), 'fail'],
    ['no flag', {}, video((v) => Object.assign(v.colour, { range: null })), 'unmeasured'],
    ['no levels, no proof asked for', { proof: false }, noLevels, 'unmeasured'],
    ['doubted, no proof asked for', { proof: false }, note('levels'), 'unmeasured'],
    [
      'too little tone, no proof asked for',
      { proof: false },
      (m) => Object.assign(m.levels ?? {}, { looksFullRange: null }),
      'pass',
    ],
    [
      'contradiction, no proof asked for',
      { proof: false },
      (m) => Object.assign(m.levels ?? {}, { looksFullRange: true }),
      'fail',
    ],
    ['too little tone', {}, (m) => Object.assign(m.levels ?? {}, { looksFullRange: null }), 'unmeasured'],
    ['no levels', {}, noLevels, 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'peak-luminance': [
    ['at the limit', { max: 1000 }, none, 'pass'],
    // PQ code 723 (10 bits, narrow) shows as 1004.19 cd/m2 (calc, published-values.md A1): the nearest code to 1000.
    ['at the code of the limit', { max: 1000 }, luminance({ maxCll: 1004.19 }), 'pass'],
    // Code 724 shows as about 1014 cd/m2 (calc).
    ['one code over', { max: 1000 }, luminance({ maxCll: 1013.8 }), 'fail'],
    ['half a code over', { max: 1000 }, luminance({ maxCll: 1004.3 }), 'fail'],
    ['no luminance', { max: 1000 }, noLuminance, 'unmeasured'],
    ['doubted', { max: 1000 }, note('luminance'), 'unmeasured'],
  ],
  'light-level': [
    ['true', {}, none, 'pass'],
    ['1 % off', {}, luminance({ maxCll: 990.1 }), 'pass'],
    ['more than 1 % off', {}, luminance({ maxCll: 989 }), 'fail'],
    ['1 cd/m2 off at a dark level', {}, lightLevels(20, 5, 19, 4), 'pass'],
    ['more than 1 cd/m2 off at a dark level', {}, lightLevels(20, 5, 18.9, 4), 'fail'],
    ['MaxFALL untrue', {}, luminance({ maxFall: 150 }), 'fail'],
    ['MaxFALL as high as MaxCLL', {}, lightLevels(100, 100, 100, 100), 'pass'],
    ['MaxFALL above MaxCLL', {}, lightLevels(100, 101, 100, 100), 'fail'],
    ['not stated', {}, (m) => Object.assign(m.hdr, { lightLevel: null }), 'fail'],
    ['0 means unknown', {}, lightLevels(1000, 0, 1000, 0), 'fail'],
    ['stated and not measured', {}, noLuminance, 'unmeasured'],
  ],
  'mastering-display': [
    ['one of the named', { primaries: ['smpte432'] }, none, 'pass'],
    ['another', { primaries: ['bt709', 'bt2020'] }, none, 'fail'],
    ['at most the peak', { primaries: ['smpte432'], maxLuminance: 1000 }, none, 'pass'],
    ['above the peak', { primaries: ['smpte432'], maxLuminance: 999 }, none, 'fail'],
    ['another green, in y alone', { primaries: ['smpte432'] }, mastering({ green: [0.265, 0.7] }), 'fail'],
    ['another white', { primaries: ['smpte432'] }, mastering({ white: [0.314, 0.351] }), 'fail'],
    ['rounded as metadata is', { primaries: ['smpte432'] }, mastering({ green: [0.26502, 0.68998] }), 'pass'],
    ['darkest above brightest', { primaries: ['smpte432'] }, mastering({ minLuminance: 1000 }), 'fail'],
    ['darkest 0 means unknown', { primaries: ['smpte432'] }, mastering({ minLuminance: 0 }), 'warn'],
    ['not stated', { primaries: ['smpte432'] }, (m) => Object.assign(m.hdr, { mastering: null }), 'fail'],
  ],
  'outside-p3': [
    ['at the limit', { maxArea: 0.01 }, luminance({ outsideP3: { worstFrame: 3, worstArea: 0.01 } }), 'pass'],
    ['over it', { maxArea: 0.01 }, luminance({ outsideP3: { worstFrame: 3, worstArea: 0.0101 } }), 'fail'],
    ['not measured', { maxArea: 0.01 }, luminance({ outsideP3: null }), 'unmeasured'],
    ['no luminance', { maxArea: 0.01 }, noLuminance, 'unmeasured'],
  ],
  audio: [
    [
      'as wanted',
      { sampleRate: 48_000, bitDepth: 24, minChannels: 2, maxChannels: 2, codecs: ['pcm_s24le'] },
      none,
      'pass',
    ],
    ...AUDIO_FORM_CASES,
    ['another rate', { sampleRate: 48_000 }, sound({ sampleRate: 44_100 }), 'fail'],
    ['another depth', { bitDepth: 24 }, sound({ bitDepth: 16 }), 'fail'],
    ['another codec', { codecs: ['aac'] }, none, 'fail'],
    ['lossy coding has no depth', { bitDepth: 24 }, sound({ codec: 'aac', bitDepth: null }), 'fail'],
    ['depth not stated', { bitDepth: 24 }, sound({ bitDepth: null }), 'unmeasured'],
    ['channels over all streams', { minChannels: 4, maxChannels: 4 }, sound({}, {}), 'pass'],
    ['one channel too few', { minChannels: 3 }, none, 'fail'],
    ['one channel too many', { maxChannels: 1 }, none, 'fail'],
    ['the second stream counts too', { sampleRate: 48_000 }, sound({}, { sampleRate: 32_000 }), 'fail'],
    ['no sound', {}, noSound, 'fail'],
    ['the wrong sound, where none is welcome too', { minChannels: 0, codecs: ['aac'] }, none, 'fail'],
    ['one channel, where no count is asked for', {}, sound({ channels: 1 }), 'pass'],
    ['no sound, which is welcome', { minChannels: 0, codecs: ['aac'] }, noSound, 'pass'],
  ],
  'coded-loudness': [
    ['the same', {}, stated(-23), 'pass'],
    ['1 LU apart', {}, stated(-24), 'pass'],
    ['2 LU apart', {}, stated(-25), 'fail'],
    ['2 LU apart, above', {}, stated(-21), 'fail'],
    ['2 LU allowed', { tolerance: 2 }, stated(-25), 'pass'],
    ['a level that changes', {}, stated(-23, -24), 'fail'],
    [
      'the reserved code in one frame',
      {},
      sound({ codedLoudness: { ...dialnorm(-23), reservedFrames: 1 } }),
      'fail',
    ],
    ['no metadata', {}, none, 'unmeasured'],
    ['one stream without', {}, sound({ codedLoudness: dialnorm(-23) }, {}), 'unmeasured'],
    ['silence', {}, sound({ codedLoudness: dialnorm(-23), integratedLufs: null }), 'unmeasured'],
    ['layout unknown', {}, sound({ codedLoudness: dialnorm(-23), channels: 4, layout: null }), 'unmeasured'],
    ['no sound', {}, noSound, 'fail'],
  ],
  loudness: [
    ['on target', R128(), none, 'pass'],
    ['just inside', R128(), sound({ integratedLufs: -22.8 }), 'pass'],
    ['just inside, below', R128(), sound({ integratedLufs: -23.2 }), 'pass'],
    ['just outside', R128(), sound({ integratedLufs: -22.79 }), 'fail'],
    ['just outside, below', R128(), sound({ integratedLufs: -23.21 }), 'fail'],
    ['the second stream counts too', R128(), sound({}, { integratedLufs: -20 }), 'fail'],
    ['silence', R128(), sound({ integratedLufs: null, truePeakDbtp: null }), 'fail'],
    ['shorter than a block', R128(), sound({ integratedLufs: null, durationSeconds: 0.3 }), 'unmeasured'],
    [
      'part of a programme',
      R128(),
      sound({ channels: 1, layout: 'mono' }, { channels: 1, layout: 'mono' }),
      'unmeasured',
    ],
    ['a mono programme', R128(), sound({ channels: 1, layout: 'mono' }), 'pass'],
    ['surround without a layout', R128(), sound({ channels: 6, layout: null }), 'unmeasured'],
    ['surround with one', R128(), sound({ channels: 6, layout: '5.1(side)' }), 'pass'],
    ['doubted', R128(), note('audio[0]'), 'unmeasured'],
    ['another stream doubted', R128(), note('audio[1]'), 'pass'],
    ['no sound', R128(), noSound, 'fail'],
  ],
  'true-peak': [
    ['at the limit', { max: -1 }, sound({ truePeakDbtp: -1 }), 'pass'],
    ['just over', { max: -1 }, sound({ truePeakDbtp: -0.99 }), 'fail'],
    ['the second stream counts too', { max: -1 }, sound({}, { truePeakDbtp: 0 }), 'fail'],
    ['digital silence', { max: -1 }, sound({ truePeakDbtp: null }), 'pass'],
    ['no samples', { max: -1 }, sound({ truePeakDbtp: null, samples: 0 }), 'unmeasured'],
    ['doubted', { max: -1 }, note('audio'), 'unmeasured'],
    ['no sound', { max: -1 }, noSound, 'fail'],
  ],
  ...SOUND_CASES,
  'picture-sound-length': [
    ['one frame longer', {}, sound({ durationSeconds: 10.04 }), 'pass'],
    ['one frame shorter', {}, sound({ durationSeconds: 9.96 }), 'pass'],
    ['more than a frame longer', {}, sound({ durationSeconds: 10.0401 }), 'fail'],
    ['more than a frame shorter', {}, sound({ durationSeconds: 9.9599 }), 'fail'],
    ['exact where it must be', { maxFrames: 0 }, none, 'pass'],
    ['sound not measured', {}, note('audio[0]'), 'unmeasured'],
    ['no frame rate', {}, video((v) => Object.assign(v, { frameRate: null })), 'unmeasured'],
    ['no sound', {}, noSound, 'fail'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  timecode: [
    ['there', {}, none, 'pass'],
    ['from the wanted label', { start: '10:00:00:00' }, none, 'pass'],
    ['a frame late', { start: '10:00:00:00' }, startAt('10:00:00:01'), 'fail'],
    ['none', {}, startAt(null), 'fail'],
    ['a label its rate does not have', {}, startAt('10:00:00:25'), 'fail'],
    ['drop frame at 25 (ST 12-1)', {}, startAt('10:00:00;00'), 'fail'],
    ['no text of a timecode', {}, startAt('ten'), 'fail'],
    ['no rate to count by', {}, video((v) => Object.assign(v, { frameRate: null })), 'unmeasured'],
    ...TIMECODE_TRACK_ROWS,
  ],
  ...CONTAINER_ROWS,
  ...FIELD_ROWS,
  ...TEMPORAL_ROWS,
  ...FLASH_ROWS,
  'as-original': [['no original to hold it against', {}, none, 'unmeasured']],
};

function dialnorm(...levels: readonly number[]): CodedLoudness {
  return {
    kind: 'dialnorm',
    levels: levels.map((level) => ({ level, frames: 100 })),
    reservedFrames: 0,
  };
}
function stated(...levels: readonly number[]): Change {
  return sound({ codedLoudness: dialnorm(...levels) });
}
function PQ(): object {
  return { primaries: 'bt2020', transfer: ['smpte2084'], matrix: 'bt2020nc', range: 'narrow' };
}
function R128(): object {
  return { target: -23, tolerance: 0.2 };
}
function gamutError(worstArea: number): Change {
  return (m) =>
    Object.assign(m.levels?.gamutError ?? {}, {
      worstArea,
      worstFrame: 25,
      framesOver: worstArea > 0.01 ? 1 : 0,
    });
}
function luminance(figures: object): Change {
  return (m) => Object.assign(m.luminance ?? {}, figures);
}
function lightLevels(saidCll: number, saidFall: number, maxCll: number, maxFall: number): Change {
  return (m) => {
    m.hdr.lightLevel = { maxCll: saidCll, maxFall: saidFall };
    Object.assign(m.luminance ?? {}, { maxCll, maxFall });
  };
}
function mastering(values: object): Change {
  return (m) => Object.assign(m.hdr.mastering ?? {}, values);
}
function startAt(startTimecode: string | null): Change {
  return (m) => Object.assign(m.container, { startTimecode });
}

describe.each(REQUIREMENT_NAMES)('%s', (name) => {
  it.each(CASES[name].map((row) => ({ what: row[0], row })))(
    '$what',
    ({ row: [, limits, change, outcome] }) => {
      const finding = ruled(name, limits, [change]);
      expect(finding.outcome, finding.measured).toBe(outcome);
      expect(finding.expected).not.toBe('');
      expect(finding.measured).not.toBe('');
      expect(finding.advice === '').toBe(outcome === 'pass');
      expect(finding.why).toMatch(/^[A-Z].*\.$/);
    },
  );

  it('turns a miss into a warning where the target says so, and keeps its source', () => {
    const miss = CASES[name].find(([, , , outcome]) => outcome === 'fail');
    if (miss === undefined || name === 'decode') return;
    const [, limits, change] = miss;
    expect(ruled(name, { ...limits, severity: 'warn', source: 'S' }, [change])).toMatchObject({
      outcome: 'warn',
      source: 'S',
    });
  });
});

it('every requirement of the schema has a check and cases, and there is no other', () => {
  expect(Object.keys(REQUIREMENTS).sort()).toEqual([...REQUIREMENT_NAMES].sort());
  expect(Object.keys(CASES).sort()).toEqual([...REQUIREMENT_NAMES].sort());
});

describe('a format that changes within the file', () => {
  const change: Change = (m) =>
    m.events.push({
      kind: 'format-change',
      from: 100,
      to: 250,
      fromTimecode: null,
      toTimecode: null,
      detail: '1280 x 720',
    });
  it.each([
    ['raster', { width: 1920, height: 1080 }],
    ['bit-depth', { declared: 10 }],
    ['chroma', { declared: ['4:2:2'] }],
    ['display-aspect', { is: '16/9' }],
  ] as const)('misses %s although the first frames fit', (name, limits) => {
    expect(ruled(name, limits, [change])).toMatchObject({ outcome: 'fail', at: [{ from: 100, to: 250 }] });
  });
});

describe('words a person can act on', () => {
  it('levels come as code and as percent, with the frame and its timecode', () => {
    const finding = ruled('signal-range', {}, [
      gamutError(0.0234),
      (m) => Object.assign(m.levels?.rgb ?? {}, { min: 4, max: 1019 }),
    ]);
    // EBU R 103 v3.0 Table 1: 20 to 984 at 10 bits, -5.0 % and 105.0 %; 4 and 1019 are -6.8 % and 109.0 % (calc).
    expect(finding.expected).toContain('20 (-5.0 %) to 984 (105.0 %) at 10 bits');
    expect(finding.measured).toContain('2.34 % outside, worst in frame 25');
    expect(finding.measured).toContain("R'G'B' 4 (-6.8 %) to 1019 (109.0 %)");
    expect(finding.at).toEqual([
      { from: 25, to: 26, fromTimecode: '10:00:01:00', toTimecode: '10:00:01:01' },
    ]);
  });
  it.each([
    [10.2, '5.00 frames longer'],
    [9.8, '5.00 frames shorter'],
  ])('sound of %f s is %s than the picture', (durationSeconds, words) => {
    expect(ruled('picture-sound-length', {}, [sound({ durationSeconds })]).measured).toContain(words);
  });
  it('loudness names the edition of the standard', () => {
    expect(ruled('loudness', R128(), []).expected).toContain('BS.1770-5');
    expect(ruled('true-peak', { max: -1 }, []).expected).toContain('BS.1770-5');
  });
});
