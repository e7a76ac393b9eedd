import type { RequirementName } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { type Change, noSound, note, noVideo, video } from './measured.js';

type Row = readonly [what: string, limits: object, change: Change, outcome: Finding['outcome']];
type Wrapper = Parameters<Change>[0]['wrapper'];
type Layers = Parameters<Change>[0]['layers'];
type Coding = Parameters<Change>[0]['coding'];
const none: Change = () => {};
const LEVEL = { profiles: ['High 4:2:2 Intra'], levels: ['4.1'] };

function wrapper(change: (w: NonNullable<Wrapper>) => void): Change {
  return (m) => {
    if (m.wrapper) change(m.wrapper);
  };
}
const noWrapper: Change = (m) => {
  m.wrapper = null;
};
const noCoding: Change = (m) => {
  m.coding = null;
};
function coding(figures: Partial<NonNullable<Coding>>): Change {
  return (m) => Object.assign(m.coding ?? {}, figures);
}
function layer(name: keyof Layers, fields: Partial<NonNullable<Layers['container']>>): Change {
  return (m) => Object.assign(m.layers[name] ?? {}, fields);
}
function noLayer(name: keyof Layers): Change {
  return (m) => {
    m.layers[name] = null;
  };
}
function track(kind: 'video' | 'audio', fields: object): Change {
  return wrapper((w) => Object.assign(w.tracks.find((t) => t.kind === kind) ?? {}, fields));
}
function many(...changes: readonly Change[]): Change {
  return (m) => {
    for (const change of changes) change(m);
  };
}
const uneven = video((v) => Object.assign(v, { constantRate: false }));
const fielded = layer('bitstream', { scan: 'interlaced-tff' });
/** Ten frames of 260 lie before the edit; so many are decoded. */
function hiding(frames: number, rate: number): Change {
  const edits = [{ seconds: 10, mediaStartSeconds: 0.4, rate }];
  return many(
    track('video', { samples: 260, mediaSeconds: 10.4, presentedSeconds: 10, edits }),
    coding({ packets: 260 }),
    video((v) => Object.assign(v, { frames, framesDeclared: 260 })),
  );
}
/** MXF declares no number of frames, but the length of its track. */
function mxf(seconds: number | null): Change {
  return many(
    track('video', { samples: null, edits: null, presentedSeconds: seconds }),
    video((v) => Object.assign(v, { framesDeclared: null })),
    (m) => Object.assign(m.container, { format: 'mxf' }),
  );
}
/** Ten seconds of picture in a container that keeps one length for all its tracks. */
function matroska(seconds: number, soundSeconds: number): Change {
  return many(
    track('video', { samples: null, edits: null, presentedSeconds: null }),
    (m) => Object.assign(m.container, { format: 'matroska,webm', durationSeconds: seconds }),
    (m) => Object.assign(m.audio[0] ?? {}, { durationSeconds: soundSeconds }),
    wrapper((w) => {
      w.tracks = w.tracks.filter(({ kind }) => kind === 'video' || kind === 'audio');
    }),
  );
}
function timecodeTrack(fields: object): Change {
  return wrapper((w) => Object.assign(w.timecode ?? {}, fields));
}
/** The picture, its timecode and its timecode track at another rate. */
function at(rate: string, start: string, fields: object): Change {
  return (m) => {
    video((v) => Object.assign(v, { frameRate: rate }))(m);
    m.container.startTimecode = start;
    timecodeTrack({ start, ...fields })(m);
  };
}
const named =
  (path: string, brand: string | null): Change =>
  (m) => {
    m.file.path = path;
    wrapper((w) => Object.assign(w, { brand }))(m);
  };

/** Just inside, just outside, and missing, for the requirements on container and coding. */
export const CONTAINER_ROWS = {
  'file-type': [
    ['.mov branded qt', {}, none, 'pass'],
    ['.mov branded isom', {}, named('/m/a.mov', 'isom'), 'fail'],
    ['.mp4 branded isom', {}, named('/m/a.mp4', 'isom'), 'pass'],
    ['.mp4 branded qt', {}, named('/m/a.mp4', 'qt  '), 'fail'],
    ['.mov older than brands', {}, named('/m/a.MOV', null), 'pass'],
    ['.mp4 without a brand', {}, named('/m/a.mp4', null), 'fail'],
    ['.mxf that is a mov', {}, named('/m/a.mxf', 'qt  '), 'fail'],
    ['a name that promises nothing', {}, named('/m/a.part', 'qt  '), 'unmeasured'],
    ['boxes not read', {}, noWrapper, 'unmeasured'],
  ],
  'fast-start': [
    ['index in front', {}, none, 'pass'],
    ['index behind', {}, wrapper((w) => Object.assign(w, { indexFirst: false })), 'fail'],
    ['a container without', {}, wrapper((w) => Object.assign(w, { indexFirst: null })), 'unmeasured'],
    ['boxes not read', {}, noWrapper, 'unmeasured'],
  ],
  'container-structure': [
    ['in one piece', {}, none, 'pass'],
    ['one fragment', {}, wrapper((w) => Object.assign(w, { fragments: 1 })), 'fail'],
    ['fragments allowed', { fragments: true }, wrapper((w) => Object.assign(w, { fragments: 9 })), 'pass'],
    ['one byte behind', {}, wrapper((w) => Object.assign(w, { trailingBytes: 1 })), 'fail'],
    [
      'as many bytes as allowed',
      { maxTrailingBytes: 8 },
      wrapper((w) => Object.assign(w, { trailingBytes: 8 })),
      'pass',
    ],
    [
      'not read',
      {},
      wrapper((w) => Object.assign(w, { fragments: null, trailingBytes: null })),
      'unmeasured',
    ],
    ['boxes not read', {}, noWrapper, 'unmeasured'],
  ],
  'codec-level': [
    ['both as asked', LEVEL, none, 'pass'],
    ['one of several', { profiles: ['High', 'High 4:2:2 Intra'], levels: ['4', '4.1'] }, none, 'pass'],
    [
      'another level',
      LEVEL,
      (m) => {
        layer('bitstream', { level: '4.2' })(m);
        layer('container', { level: '4.2' })(m);
      },
      'fail',
    ],
    ['another profile', { ...LEVEL, profiles: ['High 4:2:2'] }, none, 'fail'],
    // EBU QC 0035W: both are required, one that is absent fails.
    [
      'no level',
      LEVEL,
      (m) => {
        layer('bitstream', { level: null })(m);
        layer('container', { level: null })(m);
      },
      'fail',
    ],
    [
      'no profile',
      LEVEL,
      (m) => {
        layer('bitstream', { profile: null })(m);
        layer('container', { profile: null })(m);
      },
      'fail',
    ],
    ['the container says another level', LEVEL, layer('container', { level: '5.1' }), 'fail'],
    ['the container says none', LEVEL, layer('container', { level: null, profile: null }), 'pass'],
    ['bitstream not read', LEVEL, noLayer('bitstream'), 'unmeasured'],
    ['neither could be read', LEVEL, layer('bitstream', { level: null, profile: null }), 'unmeasured'],
    ['no picture', LEVEL, noVideo, 'fail'],
  ],
  'chroma-siting': [
    ['4:2:2 has no choice', { is: ['topleft'] }, none, 'pass'],
    ['as asked', { is: ['left'] }, video((v) => Object.assign(v.chroma, { declared: '4:2:0' })), 'pass'],
    ['another', { is: ['topleft'] }, video((v) => Object.assign(v.chroma, { declared: '4:2:0' })), 'fail'],
    [
      'layers differ',
      { is: ['left'] },
      (m) => {
        video((v) => Object.assign(v.chroma, { declared: '4:2:0' }))(m);
        layer('container', { chromaSiting: 'topleft' })(m);
      },
      'fail',
    ],
    [
      'not stated',
      { is: ['left'] },
      (m) => {
        video((v) => Object.assign(v.chroma, { declared: '4:2:0' }))(m);
        m.layers = { container: null, bitstream: null };
      },
      'unmeasured',
    ],
    ['no picture', { is: ['left'] }, noVideo, 'fail'],
  ],
  'clean-aperture': [
    ['the whole raster', { width: 1920, height: 1080 }, none, 'pass'],
    [
      'an aperture',
      { width: 1888, height: 1062 },
      layer('container', { cleanAperture: { width: 1888, height: 1062 } }),
      'pass',
    ],
    [
      'an aperture nobody asked for',
      { width: 1920, height: 1080 },
      layer('container', { cleanAperture: { width: 1888, height: 1062 } }),
      'fail',
    ],
    [
      'another container',
      { width: 1920, height: 1080 },
      wrapper((w) => Object.assign(w, { indexFirst: null })),
      'unmeasured',
    ],
    ['boxes not read', { width: 1920, height: 1080 }, noLayer('container'), 'unmeasured'],
    ['no picture', { width: 1920, height: 1080 }, noVideo, 'fail'],
  ],
  'display-aspect': [
    ['16:9', { is: '16/9' }, none, 'pass'],
    ['4:3 where 16:9 is', { is: '4/3' }, none, 'fail'],
    // 720 x 64/45 / 576 = 16/9 exactly.
    [
      'wide samples',
      { is: '16/9' },
      video((v) => Object.assign(v, { width: 720, height: 576, sampleAspect: '64/45' })),
      'pass',
    ],
    // 720 x 16/11 / 576 = 1.8182, 2.27 % wider than 16/9.
    [
      'wide samples of the clean aperture',
      { is: '16/9' },
      video((v) => Object.assign(v, { width: 720, height: 576, sampleAspect: '16/11' })),
      'fail',
    ],
    [
      'the same with tolerance',
      { is: '16/9', tolerance: 0.0228 },
      video((v) => Object.assign(v, { width: 720, height: 576, sampleAspect: '16/11' })),
      'pass',
    ],
    [
      'and just too little of it',
      { is: '16/9', tolerance: 0.0227 },
      video((v) => Object.assign(v, { width: 720, height: 576, sampleAspect: '16/11' })),
      'fail',
    ],
    ['turned', { is: '9/16' }, video((v) => Object.assign(v, { rotation: 90 })), 'pass'],
    ['not stated', { is: '16/9' }, video((v) => Object.assign(v, { sampleAspect: null })), 'unmeasured'],
    ['no picture', { is: '16/9' }, noVideo, 'fail'],
  ],
  'rate-layers': [
    ['agree', {}, none, 'pass'],
    ['agree in other numbers', {}, layer('bitstream', { frameRate: { rate: '50/2', fixed: true } }), 'pass'],
    ['a thousandth off', {}, layer('bitstream', { frameRate: { rate: '25000/1001', fixed: true } }), 'fail'],
    ['another clock tick', {}, layer('bitstream', { frameRate: { rate: '1000/1', fixed: false } }), 'warn'],
    ['the tick agrees', {}, layer('bitstream', { frameRate: { rate: '25/1', fixed: false } }), 'pass'],
    ['agree, but frames uneven', {}, uneven, 'unmeasured'],
    ['bitstream silent', {}, layer('bitstream', { frameRate: null }), 'unmeasured'],
    ['silent, no proof asked for', { proof: false }, layer('bitstream', { frameRate: null }), 'pass'],
    ['no rate at all', {}, video((v) => Object.assign(v, { frameRate: null })), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'raster-layers': [
    ['agree', {}, none, 'pass'],
    ['one line more', {}, layer('container', { raster: { width: 1920, height: 1081 } }), 'fail'],
    ['another width', {}, layer('container', { raster: { width: 1440, height: 1080 } }), 'fail'],
    // 1080 lines are 67.5 macroblocks of 16: 1088 stored.
    ['whole macroblocks', {}, layer('container', { raster: { width: 1920, height: 1088 } }), 'pass'],
    ['less than the picture', {}, layer('container', { raster: { width: 1920, height: 1072 } }), 'fail'],
    ['one silent', {}, layer('bitstream', { raster: null }), 'unmeasured'],
    ['one silent, no proof asked for', { proof: false }, layer('bitstream', { raster: null }), 'pass'],
    ['one not read', {}, noLayer('container'), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'aspect-layers': [
    ['agree', {}, none, 'pass'],
    ['agree in other numbers', {}, layer('container', { sampleAspect: '2/2' }), 'pass'],
    ['differ', {}, layer('container', { sampleAspect: '16/15' }), 'fail'],
    ['one silent', {}, layer('bitstream', { sampleAspect: null }), 'unmeasured'],
    ['one silent, no proof asked for', { proof: false }, layer('bitstream', { sampleAspect: null }), 'pass'],
    ['one not read', {}, noLayer('container'), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'scan-layers': [
    ['agree', {}, none, 'pass'],
    [
      'differ in field order',
      {},
      (m) => {
        layer('container', { scan: 'interlaced-tff' })(m);
        layer('bitstream', { scan: 'interlaced-bff' })(m);
      },
      'fail',
    ],
    ['progressive in fields', {}, layer('bitstream', { scan: 'interlaced-tff' }), 'fail'],
    [
      'progressive in fields, allowed',
      { segmented: true },
      layer('bitstream', { scan: 'interlaced-tff' }),
      'warn',
    ],
    [
      'fields in progressive frames are never allowed',
      { segmented: true },
      layer('container', { scan: 'interlaced-tff' }),
      'fail',
    ],
    ['one silent', {}, layer('container', { scan: null }), 'unmeasured'],
    ['one silent, no proof asked for', { proof: false }, layer('container', { scan: null }), 'pass'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'hdr-layers': [
    ['agree', {}, none, 'pass'],
    ['MaxCLL differs by 1', {}, layer('container', { lightLevel: { maxCll: 1001, maxFall: 180 } }), 'fail'],
    ['MaxFALL differs by 1', {}, layer('container', { lightLevel: { maxCll: 1000, maxFall: 181 } }), 'fail'],
    ['one chromaticity differs by one step', {}, greenY(0.690_02), 'fail'],
    ['one chromaticity in another unit', {}, greenY(0.690_001), 'pass'],
    ['light level in one alone', {}, layer('bitstream', { lightLevel: null }), 'unmeasured'],
    [
      'light level in one alone, no proof asked for',
      { proof: false },
      layer('bitstream', { lightLevel: null }),
      'pass',
    ],
    [
      'silent and contradicting, no proof asked for',
      { proof: false },
      (m) => {
        layer('bitstream', { lightLevel: null })(m);
        greenY(0.7)(m);
      },
      'fail',
    ],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'frame-count': [
    ['equal', {}, none, 'pass'],
    ['one less decoded', {}, video((v) => Object.assign(v, { frames: 249 })), 'fail'],
    ['one more decoded', {}, video((v) => Object.assign(v, { frames: 251 })), 'fail'],
    ['one less declared', {}, video((v) => Object.assign(v, { framesDeclared: 249 })), 'fail'],
    ['one packet more', {}, coding({ packets: 251 }), 'fail'],
    ['one less in the table', {}, track('video', { samples: 249 }), 'fail'],
    ['none at all', {}, video((v) => Object.assign(v, { frames: 0, framesDeclared: 0 })), 'fail'],
    // 260 frames in the table at 25 a second, ten of them before the edit begins.
    ['hidden by the edit list', {}, hiding(250, 1), 'pass'],
    ['shown although hidden', {}, hiding(260, 1), 'fail'],
    ['hidden, at another speed', {}, hiding(250, 0.5), 'unmeasured'],
    ['hidden, frames uneven', {}, many(hiding(250, 1), uneven), 'unmeasured'],
    ['a packet for each field', {}, many(coding({ packets: 500 }), fielded), 'pass'],
    ['twice the packets, progressive', {}, coding({ packets: 500 }), 'fail'],
    ['MXF, its length agrees', {}, mxf(10), 'pass'],
    ['MXF, its length one frame more', {}, mxf(10.04), 'fail'],
    ['MXF, no length', {}, mxf(null), 'unmeasured'],
    ['not declared', {}, many(mxf(null), noWrapper), 'unmeasured'],
    ['packets not listed', {}, noCoding, 'unmeasured'],
    ['packets not listed, and one less', {}, many(noCoding, track('video', { samples: 249 })), 'fail'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  duration: [
    ['equal', {}, none, 'pass'],
    // 25 frames a second: half a frame is 0.02 s.
    ['half a frame', {}, track('video', { presentedSeconds: 10.02 }), 'pass'],
    ['more than half a frame', {}, track('video', { presentedSeconds: 10.021 }), 'fail'],
    ['a frame less', {}, track('video', { presentedSeconds: 9.96 }), 'fail'],
    ['a frame allowed', { maxFrames: 1 }, track('video', { presentedSeconds: 9.96 }), 'pass'],
    ['not stated', {}, track('video', { presentedSeconds: null }), 'unmeasured'],
    ['boxes not read', {}, noWrapper, 'unmeasured'],
    ['boxes doubted', {}, note('wrapper'), 'unmeasured'],
    ['frames uneven', {}, uneven, 'unmeasured'],
    ['one length for all tracks', {}, matroska(10, 10), 'pass'],
    ['one length for all, a frame more', {}, matroska(10.04, 10), 'fail'],
    ['one length for all, the sound longer', {}, matroska(10.5, 10.5), 'unmeasured'],
    ['one length for all, the sound longer than it', {}, matroska(10, 10.5), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  timestamps: [
    ['even', {}, none, 'pass'],
    ['a gap', {}, event('timestamp-gap'), 'fail'],
    ['a repeat', {}, event('timestamp-repeat'), 'fail'],
    [
      'one packet without a time',
      {},
      coding({ timestamps: { missing: 1, repeated: 0, backward: 0 } }),
      'fail',
    ],
    [
      'no packet has one: the frames have',
      {},
      coding({ timestamps: { missing: 250, repeated: 0, backward: 0 } }),
      'pass',
    ],
    ['two packets at one time', {}, coding({ timestamps: { missing: 0, repeated: 1, backward: 0 } }), 'fail'],
    ['a step back', {}, coding({ timestamps: { missing: 0, repeated: 0, backward: 1 } }), 'fail'],
    [
      'stamps of the frames not known',
      {},
      video((v) => Object.assign(v, { constantRate: null })),
      'unmeasured',
    ],
    ['packets not listed', {}, noCoding, 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'edit-list': [
    ['together', {}, none, 'pass'],
    // 1024 samples at 48 kHz.
    ['one frame of AAC late', {}, track('audio', { startSeconds: 1024 / 48_000 }), 'pass'],
    ['one sample more', {}, track('audio', { startSeconds: 1025 / 48_000 }), 'fail'],
    ['as early', {}, track('audio', { startSeconds: -1025 / 48_000 }), 'fail'],
    [
      'both late together',
      {},
      (m) => {
        track('audio', { startSeconds: 1 })(m);
        track('video', { startSeconds: 1 })(m);
      },
      'pass',
    ],
    ['a limit of its own', { maxSamples: 0 }, track('audio', { startSeconds: 1 / 48_000 }), 'fail'],
    ['two edits', {}, track('video', { edits: [edit(5, 0), edit(5, 5)] }), 'fail'],
    ['two edits, allowed', { simple: false }, track('video', { edits: [edit(5, 0), edit(5, 5)] }), 'pass'],
    ['at half speed', {}, track('video', { edits: [{ ...edit(10, 0), rate: 0.5 }] }), 'fail'],
    ['a frame is hidden', {}, track('video', { presentedSeconds: 9.96 }), 'fail'],
    ['primed sound', {}, track('audio', { mediaSeconds: 10.05 }), 'pass'],
    [
      'a delay and one edit',
      {},
      (m) => {
        for (const kind of ['video', 'audio'] as const)
          track(kind, {
            startSeconds: 1,
            edits: [{ seconds: 1, mediaStartSeconds: null, rate: 1 }, edit(10, 0)],
          })(m);
      },
      'pass',
    ],
    [
      'no edit lists in this container',
      {},
      (m) => {
        track('audio', { edits: null })(m);
        track('video', { edits: null })(m);
      },
      'pass',
    ],
    [
      'no sound',
      {},
      (m) => {
        noSound(m);
        wrapper((w) => {
          w.tracks = w.tracks.filter(({ kind }) => kind !== 'audio');
        })(m);
      },
      'pass',
    ],
    ['start not known', {}, track('audio', { startSeconds: null }), 'unmeasured'],
    ['boxes not read', {}, noWrapper, 'unmeasured'],
    ['boxes doubted: there may be edit lists', {}, note('wrapper'), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  gop: [
    ['nothing asked', {}, none, 'pass'],
    ['as long as allowed', { maxLength: 12 }, none, 'pass'],
    ['one too long', { maxLength: 11 }, none, 'fail'],
    ['constant', { constant: true }, none, 'pass'],
    [
      'not constant',
      { constant: true },
      coding({ gop: { shortest: 11, longest: 12, closed: true } }),
      'fail',
    ],
    [
      'one group alone',
      { constant: true },
      coding({ gop: { shortest: null, longest: 12, closed: true } }),
      'unmeasured',
    ],
    ['closed', { closed: true }, none, 'pass'],
    ['open', { closed: true }, coding({ gop: { shortest: 12, longest: 12, closed: false } }), 'fail'],
    [
      'closed or open not known',
      { closed: true },
      coding({ gop: { shortest: 12, longest: 12, closed: null } }),
      'unmeasured',
    ],
    ['predicted pictures', { intraOnly: true }, none, 'fail'],
    ['intra only', { intraOnly: true }, coding({ intraOnly: true }), 'pass'],
    ['kinds not known', { intraOnly: true }, coding({ intraOnly: null }), 'unmeasured'],
    [
      'more key frames marked than there are',
      {},
      coding({ keyFrames: { container: 22, bitstream: 21 } }),
      'fail',
    ],
    ['fewer marked', {}, coding({ keyFrames: { container: 1, bitstream: 21 } }), 'pass'],
    [
      'marks the decoder does not confirm',
      { maxLength: 12 },
      coding({ keyFrames: { container: 21, bitstream: null } }),
      'unmeasured',
    ],
    ['frames that are hidden', { maxLength: 12 }, coding({ packets: 260 }), 'unmeasured'],
    ['frames that are hidden, nothing asked', {}, coding({ packets: 260 }), 'unmeasured'],
    [
      'too long by the marks alone',
      { maxLength: 11 },
      coding({ keyFrames: { container: 21, bitstream: null } }),
      'fail',
    ],
    ['packets not listed', {}, noCoding, 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'bit-rate': [
    ['nothing asked', {}, none, 'unmeasured'],
    ['within', { minMean: 50e6, maxMean: 50e6, maxPeak: 60e6 }, none, 'pass'],
    ['too low', { minMean: 50.1e6 }, none, 'fail'],
    ['too high', { maxMean: 49.9e6 }, none, 'fail'],
    ['a peak too high', { maxPeak: 59.9e6 }, none, 'fail'],
    [
      'shorter than a second',
      { maxPeak: 60e6 },
      coding({ bitRate: { mean: 5e7, peak: null } }),
      'unmeasured',
    ],
    [
      'shorter than a second, no peak asked',
      { maxMean: 60e6 },
      coding({ bitRate: { mean: 5e7, peak: null } }),
      'pass',
    ],
    ['no times', { maxMean: 60e6 }, coding({ bitRate: null }), 'unmeasured'],
    ['packets not listed', { maxMean: 60e6 }, noCoding, 'unmeasured'],
    ['no picture', { maxMean: 60e6 }, noVideo, 'fail'],
  ],
} satisfies Partial<Record<RequirementName, readonly Row[]>>;

/** Further rows of `timecode`, on the track of MOV and MP4. */
export const TIMECODE_TRACK_ROWS: readonly Row[] = [
  ['a track flagged drop frame at 25 (ST 12-1)', {}, timecodeTrack({ dropFrame: true, start: null }), 'fail'],
  [
    'a track that counts at another rate',
    {},
    timecodeTrack({ frameRate: '24/1', framesPerSecond: 24 }),
    'fail',
  ],
  ['a track that counts 24 labels at 25', {}, timecodeTrack({ framesPerSecond: 24 }), 'fail'],
  ['a track that begins elsewhere', {}, timecodeTrack({ start: '10:00:00:01' }), 'fail'],
  [
    'drop frame at 29.97 (ST 12-1)',
    {},
    at('30000/1001', '10:00:00;00', { frameRate: '30000/1001', framesPerSecond: 30, dropFrame: true }),
    'pass',
  ],
  ['25 labels for 50 frames', {}, at('50/1', '10:00:00:00', { frameRate: '25/1' }), 'pass'],
  ['no track at all', {}, noWrapper, 'pass'],
  ['a track that was not read', {}, note('wrapper'), 'unmeasured'],
  ['continuous', { continuous: true }, none, 'pass'],
  [
    'a jump',
    { continuous: true },
    timecodeTrack({ samples: 2, jumps: [{ frame: 5, expected: 905, found: 906 }] }),
    'fail',
  ],
  [
    'a jump nobody asked about',
    {},
    timecodeTrack({ samples: 2, jumps: [{ frame: 5, expected: 905, found: 906 }] }),
    'pass',
  ],
  ['a track one frame short', { continuous: true }, timecodeTrack({ frames: 249 }), 'fail'],
  ['continuity not known', { continuous: true }, noWrapper, 'unmeasured'],
  [
    'continuity doubted and start wrong',
    { continuous: true, start: '01:00:00:00' },
    (m) => {
      noWrapper(m);
      note('wrapper.timecode')(m);
    },
    'fail',
  ],
];

function edit(seconds: number, mediaStartSeconds: number) {
  return { seconds, mediaStartSeconds, rate: 1 };
}
function event(kind: string): Change {
  return (m) => {
    m.events.push({ kind, from: 3, to: 4, fromTimecode: null, toTimecode: null, detail: '' });
    video((v) => Object.assign(v, { constantRate: false }))(m);
  };
}
function greenY(value: number): Change {
  return (m) => {
    const mastering = m.layers.container?.mastering;
    if (mastering) mastering.green = [0.265, value];
  };
}
