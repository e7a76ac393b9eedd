import { stringify } from 'yaml';
import type { Manifest } from '../../jobs/manifest/manifest.js';
import type { Target } from '../../jobs/targets/target.js';
import { rgbToRgbMatrix } from '../../signal/gamut/convert.js';
import { transform3, type Vector3 } from '../../signal/matrix3.js';
import { transferFunction } from '../../signal/transfer/transfer-functions.js';
import { DRAWN_CLIPS, TARGETS, UNREADABLE_FILE } from './clips.js';
import { HEIGHT, sdrSignal, WIDTH } from './pictures.js';

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
 * What the harbour's open-air screen takes: a master's requirements on a raster that keeps the demo quick.
 * Each starts from the built-in target of its kind and says only what differs.
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

/**
 * Its panels reach 1000 cd/m2 and trust the light level they are told. The nearest 10-bit code is 1004.2
 * cd/m2.
 */
const wallPq = (): Target =>
  wallTarget('pq', 'uhd-pq-master', {
    'peak-luminance': { max: 1010, severity: 'fail', source: 'the screen itself' },
    'light-level': { tolerance: 0.01, severity: 'fail', source: 'CTA-861.3' },
    'mastering-display': { primaries: ['smpte432', 'bt2020'], maxLuminance: 1000, severity: 'fail' },
  });

const LOOK_SIZE = 33;

/**
 * The night look, as a grade hands it over for camera log: it takes S-Log3 code (0..1 is code 0..1023) in
 * S-Gamut3.Cine to a BT.709 picture, shadows toward blue and lamp light toward amber.
 */
function nightLook(): string {
  const lines = [
    '# The Last Lamp: night look, made for the demo. From S-Log3/S-Gamut3.Cine to BT.709.',
    'TITLE "last lamp night"',
    `LUT_3D_SIZE ${LOOK_SIZE}`,
  ];
  const log = transferFunction('S-Log3');
  if (log.referred !== 'scene') throw new RangeError('S-Log3 is not a scene curve');
  const toBt709 = rgbToRgbMatrix('S-Gamut3.Cine', 'bt709');
  const lights = Array.from({ length: LOOK_SIZE }, (_, index) => log.inverseOetf(index / (LOOK_SIZE - 1)));
  // A .cube counts red fastest.
  for (const b of lights) {
    for (const g of lights) {
      for (const r of lights) {
        const [sr, sg, sb] = transform3(toBt709, [r, g, b]);
        const graded = night(sdrSignal(sr), sdrSignal(sg), sdrSignal(sb));
        lines.push(graded.map((value) => Math.min(1, Math.max(0, value)).toFixed(6)).join(' '));
      }
    }
  }
  return `${lines.join('\n')}\n`;
}

function night(r: number, g: number, b: number): Vector3 {
  const luma = Math.min(1, Math.max(0, 0.2126 * r + 0.7152 * g + 0.0722 * b));
  const shadow = (1 - luma) ** 2;
  return [
    r * (1 - 0.12 * shadow) + 0.02 * luma,
    g * (1 - 0.04 * shadow),
    b * (1 + 0.14 * shadow) - 0.05 * luma * luma + 0.012 * shadow,
  ];
}
