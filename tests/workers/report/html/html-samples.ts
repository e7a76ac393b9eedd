import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { batchOf, HOT, measuredOf, PASS } from './html-batch.js';

/** One of everything: the page a designer looks at. */
export function sampleBatch() {
  const hdr: Measurement = measuredOf('masters/PQ v2.mov', {
    luminance: {
      maxCll: 1004.2,
      maxCllFrame: 12,
      maxFall: 31.6,
      maxFallFrame: 30,
      activeMaxFall: null,
      overMastering: null,
      p9999: 1004.2,
      displayPeak: null,
      declared: { maxCll: 620, maxFall: 180, masteringMin: 0.005, masteringMax: 1000 },
      outsideP3: { worstFrame: 3, worstArea: 0.00004 },
    },
  });
  const cut: Measurement = measuredOf('A001/A001C004.mov', {
    events: [
      {
        kind: 'truncated',
        from: 21,
        to: 40,
        fromTimecode: '22:08:04:01',
        toTimecode: '22:08:04:20',
        detail: '19 frames promised by the container are not there',
      },
    ],
    decode: {
      errors: 2,
      messages: ['[prores @ 0x1] invalid plane data size', 'partial file'],
      endStated: true,
      truncated: true,
    },
    unmeasured: [{ what: 'bit depth in the samples', why: 'too little tone in the frames that are there' }],
  });
  const dailies = ['A001/A001C001.mov', 'A001/A001C002.mov', 'A001/A001C003.mov'];
  return batchOf(
    [
      ...dailies.flatMap((clip, index) => [
        {
          clip,
          target: 'intermediate-422-10',
          path: `intermediate-422-10/A001/A001C00${index + 1}.mov`,
          word: 'pass' as const,
        },
        {
          clip,
          target: 'proxy-h264',
          path: `proxy-h264/A001/A001C00${index + 1}.mp4`,
          word: index === 1 ? ('warn' as const) : ('pass' as const),
          findings:
            index === 1
              ? [PASS, { ...HOT, outcome: 'warn' as const, measured: '1.4 % in frame 17' }]
              : [PASS],
          losses: [
            {
              what: 'depth',
              why: 'From 10 bits to 8: a quarter of the values remain. intermediate-422-10 keeps them.',
            },
            {
              what: 'look',
              why: 'The look last-lamp-night.cube is in the picture and cannot be taken out again.',
            },
          ],
        },
      ]),
      {
        clip: 'masters/last-lamp wall trailer.mov',
        kind: 'original',
        path: '/cards/masters/last-lamp wall trailer.mov',
        word: 'fail',
        findings: [
          PASS,
          HOT,
          {
            ...HOT,
            requirement: 'loudness',
            expected: '−23.0 LUFS ± 0.2 LU',
            measured: '−16.0 LUFS',
            at: [],
            why: 'Louder than the programmes around it, it is turned down or sent back.',
            advice: 'Lower the mix by 7.0 dB and check the true peak again.',
            source: 'EBU R 128 v5 (Nov 2023)',
          },
        ],
        measurement: measuredOf('t', {
          levels: {
            luma: { min: 4, max: 1019, percentMin: -6.8, percentMax: 109 },
            rgb: { min: 0, max: 1023, percentMin: -14.2, percentMax: 118.1 },
            percentiles: { p01: 64, p1: 70, p50: 400, p99: 900, p999: 930 },
            gamutError: { worstFrame: 17, worstArea: 0.382, framesOver: 13, ranges: [] },
            reservedCodes: { samples: 0, firstFrame: null },
            looksFullRange: false,
          },
        }),
      },
      {
        clip: 'masters/last-lamp PQ v2.mov',
        kind: 'original',
        target: 'harbour-wall-pq',
        path: '/cards/masters/last-lamp PQ v2.mov',
        word: 'fail',
        measurement: hdr,
        findings: [
          PASS,
          {
            ...HOT,
            requirement: 'light-level',
            expected: 'MaxCLL and MaxFALL true within 1 %',
            measured: 'MaxCLL 620 declared, 1004.2 cd/m² measured',
            at: [{ from: 12, to: 13, fromTimecode: '10:00:00:12', toTimecode: '10:00:00:13' }],
            source: 'CTA-861.3',
            why: 'A display maps the picture by these figures and clips the lamp where they are too low.',
            advice: 'Write MaxCLL 1004 and MaxFALL 32 into the file.',
          },
        ],
      },
      {
        clip: 'A001/A001C004.mov',
        target: 'proxy-h264',
        path: 'proxy-h264/A001/A001C004.mp4',
        word: 'warn',
        measurement: cut,
        findings: [
          PASS,
          {
            ...PASS,
            requirement: 'bit-depth',
            outcome: 'unmeasured',
            expected: '10 bits in the samples',
            measured: 'too little tone to tell',
            why: 'A picture that lost bits bands in the grade.',
            advice: 'Look at the take before it.',
          },
        ],
      },
    ],
    {
      refused: [
        {
          clip: 'B001/B001C001.mov',
          target: 'review-hevc-10',
          reason: 'no encoder here takes 4:4:4 at 12 bits for this target',
          next: 'Use intermediate-444-12, or install an ffmpeg with libx265.',
        },
      ],
      unreadable: [{ file: 'B001/B001C003.mov', reason: 'no header of a movie in it' }],
    },
  );
}
