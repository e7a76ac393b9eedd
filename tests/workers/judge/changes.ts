import type { Layer } from '../../../jobs/measurement/measured-container.js';
import type { FrameRange } from '../../../jobs/measurement/measurement.js';
import { type Change, there, video } from './measured.js';

/**
 * Changes to the faultless file of measured.ts, for the rows of requirements. Each fails where there is
 * nothing to change.
 */
type Changed = Parameters<Change>[0];
type Part<K extends keyof Changed> = NonNullable<Changed[K]>;

export const none: Change = () => {};

export function both(...changes: readonly Change[]): Change {
  return (m) => {
    for (const change of changes) change(m);
  };
}

/** A range of frames without timecode. */
export function range(from: number, to: number): FrameRange {
  return { from, to, fromTimecode: null, toTimecode: null };
}

export const uneven = video({ constantRate: false });
export const noRate = video({ frameRate: null });

export function levels(figures: Partial<Part<'levels'>>): Change {
  return (m) => Object.assign(there(m.levels, 'levels'), figures);
}
export function luminance(figures: Partial<Part<'luminance'>>): Change {
  return (m) => Object.assign(there(m.luminance, 'luminance'), figures);
}

export function coding(figures: Partial<Part<'coding'>>): Change {
  return (m) => Object.assign(there(m.coding, 'coding'), figures);
}
export const noCoding: Change = (m) => {
  m.coding = null;
};

export function wrapper(change: ((w: Part<'wrapper'>) => void) | Partial<Part<'wrapper'>>): Change {
  return (m) => {
    const found = there(m.wrapper, 'wrapper');
    if (typeof change === 'function') change(found);
    else Object.assign(found, change);
  };
}
export const noWrapper: Change = (m) => {
  m.wrapper = null;
};
export function track(kind: 'video' | 'audio', fields: Partial<Part<'wrapper'>['tracks'][number]>): Change {
  return wrapper((w) =>
    Object.assign(
      there(
        w.tracks.find((t) => t.kind === kind),
        `track of ${kind}`,
      ),
      fields,
    ),
  );
}
export function timecodeTrack(fields: Partial<NonNullable<Part<'wrapper'>['timecode']>>): Change {
  return wrapper((w) => Object.assign(there(w.timecode, 'track of timecode'), fields));
}

export function layer(name: 'container' | 'bitstream', fields: Partial<Layer>): Change {
  return (m) => Object.assign(there(m.layers[name], `layer of the ${name}`), structuredClone(fields));
}
export function noLayer(name: 'container' | 'bitstream'): Change {
  return (m) => {
    there(m.layers[name], `layer of the ${name}`);
    m.layers[name] = null;
  };
}

export function startAt(startTimecode: string | null): Change {
  return (m) => {
    m.container.startTimecode = startTimecode;
  };
}
