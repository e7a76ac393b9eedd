/**
 * What is marked in a still: the pixels that offend against one requirement. Plain data: it goes to a thread.
 */
export type Mark =
  /** Outside the R 103 tolerance after its filter. */
  | { readonly kind: 'signal-range' }
  /** Stored as a code SDI keeps for itself, in any plane. */
  | { readonly kind: 'reserved-codes' }
  /** max(R,G,B) above so many cd/m2. */
  | { readonly kind: 'brighter-than'; readonly nits: number }
  /** max(R,G,B) at this many cd/m2 or above: where the peak lies. */
  | { readonly kind: 'peak'; readonly nits: number }
  | { readonly kind: 'outside-p3' }
  /** Black lines at the edges: bars, or lines that nobody wanted. */
  | ({ readonly kind: 'bars' | 'blank-lines' } & BlackLines)
  | FlashMark
  /** The whole frame is what the finding speaks of: what it is, in words. */
  | { readonly kind: 'nothing'; readonly seen: string };

/** Lines from each edge of the picture. */
export interface BlackLines {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
}

/** What brightens or darkens at once in the worst frame of a second of flashes. */
export interface FlashMark {
  readonly kind: 'flash';
  /** The flashes are those of a saturated red. */
  readonly red: boolean;
  /**
   * Frames of the second, half open. The frames to be followed before it begin with the one that is fetched.
   */
  readonly from: number;
  readonly to: number;
}

/** What is found in one frame by itself. */
export type FrameMark = Exclude<Mark, FlashMark>;

/**
 * What the measurement says of the frame, which the frame that was fetched must show again. It proves that
 * the right frame of the right file was read, in the colour it was measured in.
 */
export type Proof =
  /** Share of the picture that is marked. */
  | { readonly kind: 'area'; readonly value: number }
  /**
   * The marked share and, where it took two frames to change, that of the other frame: at least half of this
   * is marked.
   */
  | { readonly kind: 'flash-area'; readonly value: number }
  /** Largest max(R,G,B) of the frame, cd/m2. */
  | { readonly kind: 'peak'; readonly value: number }
  /** Something is marked. */
  | { readonly kind: 'some' };

/** One picture to be drawn. */
export interface FrameWork {
  readonly frame: number;
  readonly mark: Mark;
}

/** Every frame that has to be read for a picture. */
export function framesOf({ frame, mark }: FrameWork): number[] {
  const to = mark.kind === 'flash' ? mark.to : frame + 1;
  return Array.from({ length: Math.max(to - frame, 1) }, (_, i) => frame + i);
}

/** Pixels marked in a frame, and the light of its brightest pixel where light was looked at. */
export interface Marked {
  /** One byte a pixel, 1 where it offends. Null: nothing is to be marked. */
  readonly mask: Uint8Array | null;
  readonly pixels: number;
  readonly peakNits: number | null;
}

/** Area figures of the measurement are exact; tables of light are right to well under a per cent. */
const AREA_TOLERANCE = 0.0005;
const RELATIVE_TOLERANCE = 0.01;

/** Whether a frame shows what the measurement says of it. */
export function isProven(
  proof: Proof | null,
  shown: { readonly area: number; readonly peakNits: number | null },
): boolean {
  if (proof === null) return true;
  if (proof.kind === 'some') return shown.area > 0;
  const value = proof.kind === 'peak' ? shown.peakNits : shown.area;
  if (value === null) return false;
  const room = Math.max(proof.kind === 'peak' ? 0 : AREA_TOLERANCE, RELATIVE_TOLERANCE * proof.value);
  const least = proof.kind === 'flash-area' ? proof.value / 2 : proof.value;
  return value >= least - room && value <= proof.value + room;
}
