import {
  PICTURE_MISTAKES,
  type PictureComparison,
  type PictureMistake,
} from '../../../jobs/measurement/measured-comparison.js';
import { suspectChromaShift, suspectDisplaced } from './displaced.js';
import { suspectLook } from './look.js';
import type { Explained, FramePair, PairForm } from './mistake.js';
import { suspectOtherFrame } from './other-frame.js';
import { suspectOtherPicture } from './other-picture.js';
import { suspectRearranged } from './same-samples.js';
import { suspectTone } from './tone.js';
import { suspectCoding } from './wrong-coding.js';

/** A mistake explains a difference where it leaves no more than this of its squared error. */
const MOST_LEFT = 0.25;
/**
 * Of a copy two frames late one frame later leaves just that in steady movement: half the way, squared. And a
 * coder that rounds towards one side does too: its error lies evenly between none and its step, whose mean is
 * no shift of levels.
 */
const LESS_LEFT = 0.15;
const HAS_LESS_LEFT: ReadonlySet<PictureMistake> = new Set(['frame-offset', 'level-shift', 'gamma-shift']);
/**
 * Of several that explain it the simplest is named, the first of the list, that leaves hardly more than the
 * best one. Changes of levels are much alike: among them hardly more is much less.
 */
const AS_GOOD = { times: 2, plus: 0.02 };
const AS_GOOD_LEVELS = { times: 1.3, plus: 0.002 };
const LEVELS: ReadonlySet<PictureMistake> = new Set([
  'level-shift',
  'gamma-shift',
  'clipped-highlight',
  'look',
]);

/**
 * Finds the one mistake that explains how a copy differs from its original, from sampled frames; none where
 * no single one does. A coder's loss is explained by none: its errors lie where detail was, in either
 * direction.
 */
export class MistakeFinder {
  private readonly suspicions;

  constructor(form: PairForm) {
    this.suspicions = [
      suspectRearranged,
      suspectOtherFrame,
      suspectCoding,
      suspectDisplaced,
      suspectChromaShift,
      suspectTone,
      suspectLook,
      suspectOtherPicture,
    ].map((suspect) => suspect(form));
  }

  see(pair: FramePair): void {
    for (const suspicion of this.suspicions) suspicion.see(pair);
  }

  /** After all frames were seen. */
  find(): PictureComparison['mistake'] {
    return chooseMistake(this.suspicions.flatMap((suspicion) => suspicion.found()));
  }
}

/** Of everything that was suspected the one that explains the difference; null where none does. Pure. */
export function chooseMistake(all: readonly Explained[]): PictureComparison['mistake'] {
  const shares = all
    .filter(({ base }) => base > 0)
    .map(({ name, detail, base, left }) => ({ name, detail, left: left / base }))
    .filter(({ name, left }) => left <= (HAS_LESS_LEFT.has(name) ? LESS_LEFT : MOST_LEFT))
    .sort((a, b) => PICTURE_MISTAKES.indexOf(a.name) - PICTURE_MISTAKES.indexOf(b.name) || a.left - b.left);
  const best = Math.min(...shares.map(({ left }) => left));
  return (
    shares.find(({ name, left }) => {
      const { times, plus } = LEVELS.has(name) ? AS_GOOD_LEVELS : AS_GOOD;
      return left <= best * times + plus;
    }) ?? null
  );
}
