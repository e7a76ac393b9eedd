import type { ScanName } from '../../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { ContainerFigures, Layer } from '../../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { SILENT_LAYER } from '../../probe/bitstream/bitstream-facts.js';
import { FRAMES_DECLARE } from '../../probe/scan-type.js';
import { codingFigures } from './coding-figures.js';
import type { ContainerReading } from './read-container.js';

/** Flags of every frame from the log of the decoder. */
export interface FrameFlags {
  readonly frames: number;
  readonly fields: { readonly top: number; readonly bottom: number };
  readonly pictures: {
    readonly typed: number;
    readonly key: number;
    readonly intra: number;
    readonly keyNotIntra: number;
  };
}

/** Joins the container reading with the flags of decoded frames. Pure. */
export function containerFigures(
  facts: ClipFacts,
  reading: ContainerReading,
  flags: FrameFlags,
): ContainerFigures & { readonly unmeasured: Measurement['unmeasured'] } {
  const { video } = facts;
  const unmeasured = [...reading.unmeasured];
  const scan = video === null ? null : scanOfFrames(video.codec, flags);
  if (scan === 'mixed') {
    unmeasured.push({
      what: 'layers.bitstream.scan',
      why: 'some of the frames are coded as fields and others not, or their field order differs',
    });
  }
  return {
    layers: {
      container: reading.container,
      bitstream: video && bitstreamLayer(reading.bitstream, scan),
    },
    wrapper: reading.wrapper,
    coding:
      video && reading.packets
        ? codingFigures(video.codec, reading.packets, { frames: flags.frames, ...flags.pictures })
        : null,
    unmeasured,
  };
}

/** The flags of all frames take precedence over the header of the first. */
function bitstreamLayer(layer: Layer | null, scan: ScanName | 'mixed' | null): Layer | null {
  if (scan === null) return layer;
  return { ...(layer ?? SILENT_LAYER), scan: scan === 'mixed' ? null : scan };
}

/** Null for codecs in which a missing field flag proves nothing. */
function scanOfFrames(codec: string, { frames, fields }: FrameFlags): ScanName | 'mixed' | null {
  const { top, bottom } = fields;
  if (frames === 0) return null;
  if (top + bottom === 0) return FRAMES_DECLARE.has(codec) ? 'progressive' : null;
  if (top === frames) return 'interlaced-tff';
  return bottom === frames ? 'interlaced-bff' : 'mixed';
}
