import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Batch, BatchClip, BatchItem } from '../../../../jobs/plan/batch.js';
import type { RequirementSet } from '../../../../jobs/requirements/requirement.js';
import type { Finding, Verdict } from '../../../../jobs/verdict/verdict.js';
import { NO_SECTIONS } from '../../../../workers/measure/picture/recording/studies.js';
import { NO_SOURCES } from '../../../../workers/report/html/commands.js';
import type { ReportDocuments } from '../../../../workers/report/html/pages/load-documents.js';

/**
 * An invented batch for the report's tests: every standing, every kind of trouble, nothing measured for real.
 */

export function measuredOf(path: string, part: Partial<Measurement> = {}): Measurement {
  const tags = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' } as const;
  return {
    schema: 'goodgate/measurement@1',
    key: null,
    file: {
      path,
      bytes: 4_568_509,
      modified: '2026-11-25T12:00:00.000Z',
      changed: null,
      digest: '0'.repeat(64),
      hash: null,
    },
    container: {
      format: 'mov,mp4,m4a,3gp,3g2,mj2',
      durationSeconds: 1.6,
      startTimecode: '10:00:00:00',
      reel: 'A001',
      slate: null,
      chapters: 0,
      tags: {},
    },
    video: {
      codec: 'prores',
      profile: 'HQ',
      width: 512,
      height: 288,
      sampleAspect: '1/1',
      frameRate: '25/1',
      constantRate: true,
      scan: 'progressive',
      frames: 40,
      framesDeclared: 40,
      durationSeconds: 1.6,
      pixelFormat: 'yuv422p10le',
      bitDepth: { declared: 10, effective: 10, confidence: 'high' },
      chroma: { declared: '4:2:2', effective: null, confidence: 'low' },
      colour: tags,
      colourByLayer: { container: tags, bitstream: tags },
      rotation: 0,
      mirrored: false,
      dynamicHdr: [],
      iccProfile: false,
      captions: false,
    },
    levels: {
      luma: { min: 60, max: 940, percentMin: -0.5, percentMax: 100 },
      rgb: { min: 41, max: 973, percentMin: -2.6, percentMax: 103.8 },
      percentiles: { p01: 62, p1: 70, p50: 400, p99: 900, p999: 935 },
      gamutError: { worstFrame: null, worstArea: 0, framesOver: 0, ranges: [] },
      reservedCodes: { samples: 0, firstFrame: null },
      looksFullRange: false,
    },
    luminance: null,
    ...NO_SECTIONS,
    effective: null,
    comparison: null,
    frameOrder: null,
    soundComparison: null,
    hdr: { mastering: null, lightLevel: null },
    layers: { container: null, bitstream: null },
    wrapper: null,
    coding: null,
    histograms: null,
    curves: { picture: null, sound: [] },
    exposure: null,
    otherStreams: [],
    audio: [
      {
        stream: 1,
        codec: 'pcm_s24le',
        channels: 2,
        layout: 'stereo',
        sampleRate: 48_000,
        bitDepth: 24,
        samples: 76_800,
        durationSeconds: 1.6,
        integratedLufs: -23,
        loudnessRange: 0,
        maxMomentaryLufs: -23,
        maxShortTermLufs: null,
        truePeakDbtp: -23,
        samplePeakDbfs: -23,
        startSeconds: 0,
        codedLoudness: null,
        content: null,
      },
    ],
    events: [],
    decode: { errors: 0, messages: [], truncated: false, endStated: true },
    unmeasured: [],
    method: { ffmpeg: '5.1.9', goodgate: '0.1.0', standards: ['EBU R 103 v3.0', 'ITU-R BS.1770-5'] },
    ...part,
  };
}

export const PASS: Finding = {
  requirement: 'raster',
  outcome: 'pass',
  expected: '512 × 288',
  limits: { width: 512, height: 288 },
  measured: '512 × 288',
  at: [],
  why: 'Another raster is scaled on the way to the screen.',
  advice: '',
  source: 'the screen itself',
  everyPlace: false,
  waiver: null,
};

/** Passes of everything that is required, with its limits. */
export function passesOf(require: RequirementSet): Finding[] {
  return Object.entries(require).map(([requirement, limits]) => ({
    ...PASS,
    requirement,
    limits: { ...limits },
  }));
}

export const HOT: Finding = {
  requirement: 'signal-range',
  outcome: 'fail',
  expected: 'at most 1 % of the picture outside -5 % to 105 %',
  limits: { maxArea: 0.01 },
  measured: '38.2 % in frame 17',
  at: [
    { from: 0, to: 12, fromTimecode: '10:00:00:00', toTimecode: '10:00:00:12' },
    { from: 17, to: 18, fromTimecode: '10:00:00:17', toTimecode: '10:00:00:18' },
  ],
  why: 'Levels outside the tolerance are clipped on the way to the viewer, and colours shift.',
  advice: 'Lift the blacks and lower the highlights, or limit the picture at the end of the grade.',
  source: 'EBU R 103 v3.0 (May 2020)',
  everyPlace: true,
  waiver: null,
};

export interface Sample {
  readonly clip: string;
  readonly kind?: BatchItem['kind'];
  readonly target?: string | null;
  readonly path: string;
  readonly word: BatchItem['word'];
  readonly findings?: readonly Finding[] | null;
  readonly measurement?: Measurement | null;
  readonly losses?: BatchItem['losses'];
}

/** Builds a batch and its documents from a short list of files. */
export function batchOf(
  samples: readonly Sample[],
  part: Partial<Batch> = {},
): { batch: Batch; documents: ReportDocuments } {
  const measurements = new Map<string, Measurement>();
  const verdicts = new Map<string, Verdict>();
  const originals = new Map<string, Measurement>();
  const clips = new Map<string, BatchClip>();
  samples.forEach((sample, index) => {
    const target = sample.target === undefined ? 'harbour-wall-sdr' : sample.target;
    const verdict = sample.word === null ? null : `verdicts/${index}.json`;
    const clip = clips.get(sample.clip) ?? {
      name: sample.clip,
      job: `job-${clips.size}`,
      state: 'done' as const,
      error: null,
      original: null,
      items: [],
      seconds: 2.25,
      run: null,
      wasThere: false,
      bytesAsBefore: null,
      slate: null,
    };
    clips.set(sample.clip, {
      ...clip,
      items: [
        ...clip.items,
        {
          kind: sample.kind ?? 'output',
          target,
          path: sample.path,
          measurement: `measurements/${index}.json`,
          verdict,
          sha256: { measurement: null, verdict: null },
          ...{ modified: null, changed: null, since: null },
          word: sample.word,
          losses: sample.losses ?? [],
          bytes: 4_568_509,
        },
      ],
    });
    originals.set(sample.clip, measuredOf(sample.clip));
    if (sample.measurement !== null) {
      measurements.set(`measurements/${index}.json`, sample.measurement ?? measuredOf(sample.path));
    }
    if (verdict !== null && sample.word !== null && sample.findings !== null) {
      verdicts.set(verdict, {
        schema: 'goodgate/verdict@1',
        file: sample.path,
        target: target ?? '',
        verdict: sample.word,
        findings: [...(sample.findings ?? [PASS])],
      });
    }
  });
  const batch: Batch = {
    schema: 'goodgate/batch@1',
    id: '4f1c09aa21b7c3d8e911',
    title: 'The Last Lamp, night 4',
    state: 'finished',
    startedAt: '2026-11-24T21:04:00.000Z',
    finishedAt: '2026-11-24T21:05:10.000Z',
    clips: [...clips.values()],
    refused: [],
    skipped: [],
    soundApart: [],
    manifests: [],
    left: [],
    unreadable: [],
    method: { ffmpeg: '5.1.9', goodgate: '0.1.0' },
    before: null,
    totals: null,
    ...part,
  };
  return {
    batch,
    documents: {
      measurements,
      verdicts,
      originals,
      sources: NO_SOURCES,
      markers: new Set(),
      stills: new Map(),
    },
  };
}
