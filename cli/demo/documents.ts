import { stringify } from 'yaml';
import type { Manifest } from '../../jobs/manifest.js';
import type { Target } from '../../jobs/target.js';
import { DRAWN_CLIPS, UNREADABLE_FILE } from './clips.js';
import { HEIGHT, WIDTH } from './pictures.js';

/** The demo's manifest, below the folder of its clips. */
export const DEMO_MANIFEST = 'demo.yaml';

/** Path below the demo's folder and text of every document of the demo; the manifest comes last. */
export function demoDocuments(): [path: string, text: string][] {
  return [
    ['looks/last-lamp-night.cube', nightLook()],
    ['targets/harbour-wall-sdr.yaml', stringify(wallSdr())],
    ['targets/harbour-wall-pq.yaml', stringify(wallPq())],
    ['targets/harbour-wall-hlg.yaml', stringify(wallHlg())],
    [DEMO_MANIFEST, stringify(demoManifest())],
  ];
}

export function demoManifest(): Manifest {
  return {
    schema: 'goodgate/manifest@1',
    title: 'The Last Lamp, night 4',
    root: '.',
    clips: [
      ...DRAWN_CLIPS.map(({ file, wanted }) => ({ file, ...wanted })),
      { file: UNREADABLE_FILE, targets: ['proxy-h264'] },
    ],
  };
}

/** What the harbour's open-air screen takes: a small raster keeps the demo quick, the requirements are a master's. */
const wall = {
  decode: { maxErrors: 0, severity: 'fail' },
  raster: { width: WIDTH, height: HEIGHT, severity: 'fail' },
  'sample-aspect': { is: '1/1', severity: 'warn' },
  'frame-rate': { is: ['25/1'], severity: 'fail', source: "the screen's own rate" },
  'constant-rate': { severity: 'fail' },
  scan: { is: ['progressive'], severity: 'fail' },
  'frame-count': { severity: 'fail' },
  chroma: { declared: ['4:2:2', '4:4:4'], severity: 'fail' },
  'signal-range': { maxArea: 0.01, severity: 'fail', source: 'EBU R 103 v3' },
  'reserved-codes': { severity: 'fail' },
  'range-flag': { severity: 'fail' },
  loudness: { target: -23, tolerance: 0.5, severity: 'fail', source: 'EBU R 128' },
  'true-peak': { max: -1, severity: 'fail', source: 'EBU R 128' },
  'picture-sound-length': { maxFrames: 1, severity: 'fail' },
  timecode: { start: '10:00:00:00', severity: 'warn' },
} as const satisfies Target['require'];

function wallSdr(): Target {
  return {
    schema: 'goodgate/target@1',
    name: 'harbour-wall-sdr',
    title: 'Harbour wall screening, SDR',
    about: 'The open-air screen of the demo. Judges only.',
    standards: ['ITU-R BT.709-6', 'EBU R 103 v3', 'EBU R 128'],
    require: {
      ...wall,
      'bit-depth': { declared: 10, effective: 10, severity: 'fail' },
      colour: { primaries: 'bt709', transfer: ['bt709'], matrix: 'bt709', range: 'narrow', severity: 'fail' },
    },
  };
}

function wallPq(): Target {
  const { 'signal-range': _narrowOnly, ...shared } = wall;
  return {
    schema: 'goodgate/target@1',
    name: 'harbour-wall-pq',
    title: 'Harbour wall screening, HDR (PQ)',
    about: 'The open-air screen of the demo with its HDR panels. Judges only.',
    standards: ['ITU-R BT.2100', 'CTA-861.3', 'SMPTE ST 2086', 'EBU R 128'],
    require: {
      ...shared,
      'bit-depth': { declared: 10, severity: 'fail' },
      colour: {
        primaries: 'bt2020',
        transfer: ['smpte2084'],
        matrix: 'bt2020nc',
        range: 'narrow',
        severity: 'fail',
      },
      // The lamp is 1000 cd/m2; its nearest 10-bit code is 1004.2.
      'peak-luminance': { max: 1010, severity: 'fail' },
      'light-level': { tolerance: 0.01, severity: 'fail', source: 'CTA-861.3' },
      'mastering-display': { primaries: ['smpte432', 'bt2020'], maxLuminance: 1000, severity: 'fail' },
    },
  };
}

function wallHlg(): Target {
  return {
    schema: 'goodgate/target@1',
    name: 'harbour-wall-hlg',
    title: 'Harbour wall screening, HDR (HLG)',
    about: 'The open-air screen of the demo with its HDR panels. Judges only.',
    standards: ['ITU-R BT.2100', 'EBU R 103 v3', 'EBU R 128'],
    require: {
      ...wall,
      'bit-depth': { declared: 10, severity: 'fail' },
      colour: {
        primaries: 'bt2020',
        transfer: ['arib-std-b67'],
        matrix: 'bt2020nc',
        range: 'narrow',
        severity: 'fail',
      },
    },
  };
}

const LOOK_SIZE = 17;

/** The night look: shadows toward blue, lamp light toward amber, a soft shoulder. Display-referred, domain 0..1. */
function nightLook(): string {
  const lines = [
    '# The Last Lamp: night look, made for the demo',
    'TITLE "last lamp night"',
    `LUT_3D_SIZE ${LOOK_SIZE}`,
  ];
  const step = (index: number) => index / (LOOK_SIZE - 1);
  for (let b = 0; b < LOOK_SIZE; b++) {
    for (let g = 0; g < LOOK_SIZE; g++) {
      for (let r = 0; r < LOOK_SIZE; r++) {
        lines.push(
          night(step(r), step(g), step(b))
            .map((value) => Math.min(1, Math.max(0, value)).toFixed(6))
            .join(' '),
        );
      }
    }
  }
  return `${lines.join('\n')}\n`;
}

function night(r: number, g: number, b: number): [number, number, number] {
  const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  const shadow = (1 - luma) ** 2;
  const contrast = (value: number) => value + 0.12 * (value - value * value) * (2 * value - 1);
  return [
    contrast(r) * (1 - 0.12 * shadow) + 0.02 * luma,
    contrast(g) * (1 - 0.04 * shadow),
    contrast(b) * (1 + 0.14 * shadow) - 0.05 * luma * luma + 0.012 * shadow,
  ];
}
