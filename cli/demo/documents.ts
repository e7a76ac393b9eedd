import { stringify } from 'yaml';
import type { Manifest } from '../../jobs/manifest.js';
import type { Target } from '../../jobs/target.js';
import { DRAWN_CLIPS, TARGETS, UNREADABLE_FILE } from './clips.js';
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
      { file: UNREADABLE_FILE, targets: [TARGETS.proxy] },
    ],
  };
}

/**
 * What the harbour's open-air screen takes: a master's requirements on a raster that keeps the demo quick. Each
 * starts from the built-in target of its kind and says only what differs.
 */
const wall = {
  raster: { width: WIDTH, height: HEIGHT, severity: 'fail', source: 'the screen itself' },
  'frame-rate': { is: ['25/1'], severity: 'fail', source: 'the screen itself' },
  timecode: { start: '10:00:00:00', severity: 'warn', source: 'common practice, no source' },
} as const satisfies Target['require'];

function wallTarget(kind: string, from: string, require: Target['require']): Target {
  return {
    schema: 'goodgate/target@1',
    name: `harbour-wall-${kind}`,
    title: `Harbour wall screening, ${kind.toUpperCase()}`,
    about: 'The open-air screen of the demo. Judges only.',
    extends: from,
    require: { ...wall, ...require },
  };
}

const wallSdr = (): Target =>
  wallTarget('sdr', TARGETS.hdSdr, { scan: { is: ['progressive'], severity: 'fail' } });

const wallHlg = (): Target => wallTarget('hlg', 'uhd-hlg-master', {});

/** Its panels reach 1000 cd/m2 and trust the light level they are told. The nearest 10-bit code is 1004.2 cd/m2. */
const wallPq = (): Target =>
  wallTarget('pq', 'uhd-pq-master', {
    'peak-luminance': { max: 1010, severity: 'fail', source: 'the screen itself' },
    'light-level': { tolerance: 0.01, severity: 'fail', source: 'CTA-861.3' },
    'mastering-display': { primaries: ['smpte432', 'bt2020'], maxLuminance: 1000, severity: 'fail' },
  });

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
