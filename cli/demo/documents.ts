import { stringify } from 'yaml';
import type { Manifest } from '../../jobs/manifest/manifest.js';
import type { Target } from '../../jobs/targets/target.js';
import { lattice } from '../../signal/lut/bake.js';
import { formatCube } from '../../signal/lut/cube-format.js';
import { makeRendering } from '../../signal/rendering/make-rendering.js';
import { DRAWN_CLIPS, UNREADABLE_FILE } from './clips.js';
import { HEIGHT, WIDTH } from './draw-frames.js';

/** The demo's manifest, below the folder of its clips. */
export const DEMO_MANIFEST = 'demo.yaml';

/** Path below the demo's folder and text of every document of the demo; the manifest comes last. */
export function demoDocuments(): [path: string, text: string][] {
  return [
    ['looks/last-lamp-night.cube', nightLook()],
    ...WALL_TARGETS.map((target): [string, string] => [`targets/${target.name}.yaml`, stringify(target)]),
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

const WALL_TARGETS = [
  wallTarget('sdr', 'hd-sdr-master', { scan: { is: ['progressive'], severity: 'fail' } }),
  wallTarget('hlg', 'uhd-hlg-master', {}),
  // Its panels reach 1000 cd/m2 and trust the light level they are told. The nearest 10-bit code is 1004.2.
  wallTarget('pq', 'uhd-pq-master', {
    'peak-luminance': { max: 1010, severity: 'fail', source: 'the screen itself' },
    'light-level': { tolerance: 0.01, severity: 'fail', source: 'CTA-861.3' },
    'mastering-display': { primaries: ['smpte432', 'bt2020'], maxLuminance: 1000, severity: 'fail' },
  }),
];

/**
 * The night look, as a grade hands it over for camera log: the usual rendering of S-Log3 to a BT.709 picture,
 * with shadows toward blue and lamp light toward amber.
 */
function nightLook(): string {
  const from = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', range: 'full' } as const;
  const { apply } = makeRendering({ from, to: { transfer: 'bt709', primaries: 'bt709', range: 'narrow' } });
  const table = lattice(33, (code) => {
    const [r, g, b] = apply(code);
    const shadow = (1 - (0.2126 * r + 0.7152 * g + 0.0722 * b)) ** 2;
    const limited = (value: number) => Math.min(1, value);
    return [
      limited(r * (1 - 0.12 * shadow)),
      limited(g * (1 - 0.04 * shadow)),
      limited(b * (0.95 + 0.19 * shadow)),
    ];
  });
  const comments = ['Night look, made for the demo. From S-Log3/S-Gamut3.Cine to BT.709.'];
  return formatCube({ title: 'last lamp night', comments, curve: null, cube: table });
}
