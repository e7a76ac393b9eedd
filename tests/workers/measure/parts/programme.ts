/**
 * A programme of 60 frames with something across every seam one could cut it at: black, movement, a still,
 * cuts, flashes of white and of red, bars that come and go, repeated frames, a single black frame, and fields
 * that change their order. Signals, 0 to 1.
 */
export const PROGRAMME_FRAMES = 60;

export interface Tone {
  readonly y: number;
  /** Colour difference, -0.5 to 0.5. */
  readonly cb: number;
  readonly cr: number;
}

const BLACK: Tone = { y: 0, cb: 0, cr: 0 };

/** What stands at a pixel. `x` and `line` count from 0; a line of an odd number is of the bottom field. */
export function toneAt(frame: number, x: number, line: number, height: number): Tone {
  const isBar = frame >= 12 && frame < 30 && (line < height / 6 || line >= height - height / 6);
  if (isBar || frame < 6 || frame === 58) return BLACK;
  // Flashes, the second half of them red: five frames a second make each state last a fifth of a second.
  if (frame >= 24 && frame < 40) {
    if (frame % 2 === 1) return { y: 0.02, cb: 0, cr: 0 };
    return frame < 32 ? { y: 0.95, cb: 0, cr: 0 } : { y: 0.24, cb: -0.12, cr: 0.5 };
  }
  // A still, then frames that come twice.
  const shown = frame >= 14 && frame < 22 ? 14 : frame >= 52 ? frame - (frame % 2) : frame;
  // From frame 46 on the other field comes first.
  const field = shown < 46 ? line % 2 : 1 - (line % 2);
  const moved = x + 5 * (2 * shown + (frame >= 40 ? field : 0));
  const pattern = Math.sin(moved / 7) * Math.cos((line * (shown < 10 ? 3 : 5)) / 11);
  return { y: 0.5 + 0.45 * pattern, cb: 0.3 * Math.sin(moved / 13), cr: 0.2 * Math.cos((moved + line) / 9) };
}

/** The planes of a frame in narrow range at 10 bits, chroma 4:2:2: Y', Cb, Cr one after the other. */
export function programmeFrame(frame: number, width: number, height: number): number[][] {
  const luma: number[] = [];
  const cb: number[] = [];
  const cr: number[] = [];
  for (let line = 0; line < height; line++) {
    for (let x = 0; x < width; x++) {
      const tone = toneAt(frame, x, line, height);
      luma.push(Math.round(64 + 876 * tone.y));
      if (x % 2 === 1) continue;
      cb.push(Math.round(512 + 896 * tone.cb));
      cr.push(Math.round(512 + 896 * tone.cr));
    }
  }
  return [luma, cb, cr];
}
