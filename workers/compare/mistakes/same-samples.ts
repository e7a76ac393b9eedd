import type { PictureMistake } from '../../../jobs/measurement/measured-comparison.js';
import type { Plane } from '../pairs/frame-planes.js';
import { type Explained, lightPlanes, type PairForm, RUN, type Suspicion, sampledLines } from './mistake.js';

/** The sample of the original that would stand at this place of the copy, were the mistake made. */
type Source = (plane: Plane, x: number, y: number) => number;

interface Rearranged {
  readonly name: PictureMistake;
  readonly detail: string;
  /** Planes it changes, and the plane of the original each would be made of. */
  readonly planes: readonly (readonly [copy: number, original: number])[];
  readonly source: Source;
}

const at = (plane: Plane, x: number, y: number): number => plane.codes[y * plane.width + x] ?? 0;
const same: Source = at;
const across: Source = (plane, x, y) => at(plane, plane.width - 1 - x, y);
const down: Source = (plane, x, y) => at(plane, x, plane.height - 1 - y);
const turned: Source = (plane, x, y) => at(plane, plane.width - 1 - x, plane.height - 1 - y);
/** The other line of each pair. */
const otherLine: Source = (plane, x, y) => at(plane, x, Math.min(plane.height - 1, y ^ 1));

/** Mistakes that put the samples of a frame elsewhere and change none. */
function rearrangements(form: PairForm): Rearranged[] {
  const light = lightPlanes(form).map((plane) => [plane, plane] as const);
  const places: Rearranged[] = [
    { name: 'mirrored', detail: 'left and right are exchanged', planes: light, source: across },
    { name: 'mirrored', detail: 'top and bottom are exchanged', planes: light, source: down },
    { name: 'mirrored', detail: 'turned by 180 degrees', planes: light, source: turned },
    {
      ...{ name: 'swapped-fields', detail: 'the two lines of each pair are exchanged' },
      ...{ planes: light, source: otherLine },
    },
  ];
  return [...places, ...exchanges(form)];
}

function exchanges({ model }: PairForm): Rearranged[] {
  const exchanged = (detail: string, planes: Rearranged['planes']): Rearranged => ({
    ...{ name: 'channels-exchanged', detail, planes, source: same },
  });
  if (model === 'grey') return [];
  if (model === 'ycbcr') {
    return [
      exchanged('Cb and Cr are exchanged', [
        [1, 2],
        [2, 1],
      ]),
    ];
  }
  // Planes lie in the order G, B, R.
  const orders: readonly (readonly [string, number, number, number])[] = [
    ["R' and B' are exchanged", 0, 2, 1],
    ["R' and G' are exchanged", 2, 1, 0],
    ["G' and B' are exchanged", 1, 0, 2],
    ["R', G' and B' are moved round", 1, 2, 0],
    ["R', G' and B' are moved round", 2, 0, 1],
  ];
  return orders.map(([detail, ...from]) =>
    exchanged(
      detail,
      from.map((original, copy) => [copy, original] as const),
    ),
  );
}

interface Sum {
  base: number;
  left: number;
}

/** Mirrored pictures, exchanged lines, exchanged channels. */
export function suspectRearranged(form: PairForm): Suspicion {
  const all = rearrangements(form).map((mistake) => ({ mistake, sum: { base: 0, left: 0 } }));
  return {
    see({ original, copy }) {
      for (const { mistake, sum } of all) {
        for (const [into, from] of mistake.planes) {
          add(sum, original[into], copy[into], original[from], mistake.source);
        }
      }
    },
    found: () => all.map(({ mistake: { name, detail }, sum }): Explained => ({ name, detail, ...sum })),
  };
}

/** Adds the error of a plane as it is, and what is left of it were the copy made of `source`. */
function add(
  sum: Sum,
  original: Plane | undefined,
  copy: Plane | undefined,
  from: Plane | undefined,
  source: Source,
): void {
  if (original === undefined || copy === undefined || from === undefined) return;
  const { width, height } = copy;
  for (const y of sampledLines(width, height)) {
    for (let start = 0; start + RUN <= width; start += RUN) {
      let [is, made] = [0, 0];
      for (let x = start; x < start + RUN; x++) {
        const code = at(copy, x, y);
        is += code - at(original, x, y);
        made += code - source(from, x, y);
      }
      sum.base += is * is;
      sum.left += made * made;
    }
  }
}
