import { lightPlanes, type PairForm, type Suspicion, sampledLines } from './mistake.js';

/** Sums over the light of one frame, in codes. */
interface Sums {
  n: number;
  o: number;
  c: number;
  oo: number;
  cc: number;
  oc: number;
}

/** A frame has to have some contrast, the RMS around its mean, of the scale ... */
const LEAST_CONTRAST = 0.005;
/** ... and as much as that of the original, about: a coder that drops noise makes it flat. Variances. */
const LEAST_OF_ORIGINAL = 0.25;
/**
 * Samples that correlate by less have nothing in common. Of right copies of weak and of strong noise by six
 * encoders the frames that keep a quarter of its variance correlate by 0.38 at least.
 */
const MOST_CORRELATION = 0.1;

/** Other pictures altogether, as detailed as those of the original: in no frame do the samples follow it. */
export function suspectOtherPicture(form: PairForm): Suspicion {
  const planes = lightPlanes(form);
  const scale = 2 ** form.depth;
  const frames: Sums[] = [];
  return {
    see({ original, copy }) {
      const sum: Sums = { n: 0, o: 0, c: 0, oo: 0, cc: 0, oc: 0 };
      for (const index of planes) {
        const [had, is] = [original[index], copy[index]];
        if (had === undefined || is === undefined) continue;
        for (const y of sampledLines(had.width, had.height)) {
          for (let i = y * had.width; i < (y + 1) * had.width; i++) {
            const o = had.codes[i] ?? 0;
            const c = is.codes[i] ?? 0;
            sum.n++;
            sum.o += o;
            sum.c += c;
            sum.oo += o * o;
            sum.cc += c * c;
            sum.oc += o * c;
          }
        }
      }
      frames.push(sum);
    },
    found() {
      if (frames.length === 0 || !frames.every((sum) => isOther(sum, scale))) return [];
      const detail = 'in no frame that was looked at do its samples follow those of the original';
      // Two pictures without anything in common differ by the squares of both: what is not so is left.
      const [base, left] = frames.reduce(
        ([all, common], { n, o, c, oo, cc, oc }) => [
          all + oo + cc - 2 * oc,
          common + 2 * Math.abs(oc - (o * c) / n),
        ],
        [0, 0],
      );
      return [{ name: 'other-picture', detail, base, left }];
    },
  };
}

function isOther({ n, o, c, oo, cc, oc }: Sums, scale: number): boolean {
  if (n === 0) return false;
  const [vo, vc, cov] = [oo / n - (o / n) ** 2, cc / n - (c / n) ** 2, oc / n - (o / n) * (c / n)];
  const least = (LEAST_CONTRAST * scale) ** 2;
  if (vo < least || vc < Math.max(least, LEAST_OF_ORIGINAL * vo)) return false;
  return Math.abs(cov) < MOST_CORRELATION * Math.sqrt(vo * vc);
}
